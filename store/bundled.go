package store

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"net/url"
	"strings"
	"time"
	"unicode"

	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/shop"
)

// A Bundled report says what a proof bundle has in it.
type Bundled struct {
	Kind, Number string // of the subject
	Count        int64  // entries about it that the checkpoint covers
	Later        int64  // entries about it that are newer, and not in the bundle; known to who wrote it only
	First, Last  int64  // numbers of the first and the last of them in the log
	From, Until  time.Time
	Size         int64 // entries that the checkpoint covers
	Root         tlog.Hash
	Earlier      []int64 // earlier sizes of the log with a proof
	Sealed       bool    // whether the shop signed for the bundle as a whole
	Since        int64   // size of the older checkpoint that it was compared with, 0 without one
}

// Subject is what the bundle is about, in words.
func (b Bundled) Subject() string { return b.Kind + " " + b.Number }

// A BundleKey is what an auditor holds against a bundle.
type BundleKey struct {
	Verifier string // public key, from outside the bundle
	Since    string // older signed checkpoint, "" without one
	SinceKey string // key of the older checkpoint, "" when it is the same
}

// CheckBundle reads a proof bundle and checks all that it says, without any
// book. The error is a *Finding for the first thing that is wrong. A bundle
// without a seal passes; the report says so.
func CheckBundle(from io.Reader, key BundleKey) (Bundled, error) {
	c := newBundleChecker(key.Verifier)
	if key.Since != "" {
		since, err := sinceOf(key)
		if err != nil {
			return Bundled{}, err
		}
		c.since = &since
	}
	lines := bufio.NewReaderSize(from, 1<<16)
	for !c.ended {
		text, err := nextLine(lines, c.line+1, c.expected, "")
		if err != nil {
			return Bundled{}, err
		}
		if err := c.takeText(text); err != nil {
			return Bundled{}, err
		}
	}
	if _, err := lines.ReadByte(); !errors.Is(err, io.EOF) {
		if err != nil {
			return Bundled{}, fmt.Errorf("reading line %d: %w", c.line+1, err)
		}
		return Bundled{}, found("Line %d: There is more behind the end of the bundle.", c.line+1)
	}
	return c.report, c.compare()
}

// sinceOf opens the older checkpoint that the auditor kept.
func sinceOf(key BundleKey) (sealed, error) {
	verifier := key.SinceKey
	if verifier == "" {
		verifier = key.Verifier
	}
	text, err := openStrictly("older checkpoint", key.Since, verifier)
	if err != nil {
		return sealed{}, err
	}
	since, err := parseSealed(text)
	if err != nil || since.size < 1 || since.size > bundleSizeLimit {
		return sealed{}, found("The older checkpoint is signed by the key, and is no checkpoint of a log that has entries.")
	}
	return since, nil
}

// ParseCheckpoint reads what a checkpoint fixes, whoever signed it.
func ParseCheckpoint(signed string) (size int64, root tlog.Hash, err error) {
	c, err := parseSealed(unopened(signed))
	if err != nil {
		return 0, tlog.Hash{}, found("The file has no checkpoint: %v.", err)
	}
	return c.size, c.root, nil
}

// BundleCheckpoint is the signed checkpoint in the first line of a bundle, as
// it stands there; ok is false for what begins no bundle.
func BundleCheckpoint(text string) (signed string, ok bool) {
	first, _, _ := strings.Cut(text, "\n")
	l, err := parseBundleLine([]byte(first + "\n"))
	if err != nil || l.Head == nil {
		return "", false
	}
	return l.Head.Checkpoint, true
}

// subjectLimit bounds the name of a subject, in bytes.
const subjectLimit = 300

// A bundleChecker goes through a bundle line by line. Whoever writes one lets
// it look at every line as well.
type bundleChecker struct {
	verifier string
	since    *sealed // older checkpoint; nil without one

	line   int
	begun  bool
	ended  bool
	head   bundleHead
	fixed  sealed
	seen   int64 // entries
	sum    hash.Hash
	leaves hash.Hash
	then   *tlog.Hash // root that the log had at the older checkpoint's size
	report Bundled
}

func newBundleChecker(verifier string) *bundleChecker {
	return &bundleChecker{verifier: verifier, sum: sha256.New(), leaves: sha256.New()}
}

// expected says what the next line has to be.
func (c *bundleChecker) expected() string {
	switch {
	case !c.begun:
		return fmt.Sprintf("the first line of a %s, version %d", bundleFormat, bundleVersion)
	case c.seen < c.head.Count:
		return fmt.Sprintf("entry %d of the %d about %s", c.seen+1, c.head.Count, c.report.Subject())
	}
	return "a proof from an earlier size, or the end"
}

// takeText checks the next line as it is written.
func (c *bundleChecker) takeText(text []byte) error {
	c.line++
	l, err := parseBundleLine(text)
	if err == nil {
		err = c.take(l)
	}
	if f, ok := errors.AsType[*Finding](err); ok {
		return found("Line %d: %s", c.line, f.Why)
	}
	c.sum.Write(text) // never fails
	return err
}

func (c *bundleChecker) take(l bundleLine) error {
	switch {
	case !c.begun:
		if l.Head == nil {
			return found("It begins no proof bundle; expected %s.", c.expected())
		}
		return c.begins(*l.Head)
	case l.Entry != nil && c.seen == c.head.Count:
		return found("There is an entry more than the %d that the first line announces: one was added.", c.head.Count)
	case l.Entry != nil && len(c.report.Earlier) == 0:
		return c.entry(*l.Entry)
	case c.seen < c.head.Count:
		return found("Number %d about %s is missing: the first line announces %s, and there are %d.", c.seen+1, c.report.Subject(), entriesOf(c.head.Count), c.seen)
	case l.Earlier != nil:
		return c.earlier(*l.Earlier)
	case l.End != nil:
		return c.ends(*l.End)
	}
	return found("It is out of its place; expected %s.", c.expected())
}

func entriesOf(n int64) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}

func (c *bundleChecker) begins(h bundleHead) error {
	if h.Format != bundleFormat || h.Version != bundleVersion {
		return found("It begins a %q, version %d; expected %s.", h.Format, h.Version, c.expected())
	}
	if len(h.Subject) > subjectLimit || !strings.Contains(h.Subject, "/") || strings.ContainsFunc(h.Subject, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return found("It is about %.*q, which is nothing that a log can have entries about.", subjectLimit, h.Subject)
	}
	text, err := openStrictly("checkpoint", h.Checkpoint, c.verifier)
	if err != nil {
		return err
	}
	if c.fixed, err = parseSealed(text); err != nil {
		return found("The checkpoint is signed by the key, and is none: %v.", err)
	}
	if name, _, _ := strings.Cut(c.verifier, "+"); c.fixed.origin != name {
		return found("The checkpoint is of the log %q, not of %q.", c.fixed.origin, name)
	}
	if c.fixed.size > bundleSizeLimit || h.Count < 1 || h.Count > c.fixed.size {
		return found("It announces %s about %q in a log of %d: that cannot be.", entriesOf(h.Count), h.Subject, c.fixed.size)
	}
	kind, number := shop.SubjectParts(h.Subject)
	c.begun, c.head = true, h
	c.report = Bundled{Kind: kind, Number: number, Count: h.Count, Size: c.fixed.size, Root: c.fixed.root}
	if c.since != nil && c.since.size == c.fixed.size {
		c.then = &c.fixed.root
	}
	return nil
}

// entry checks the next entry: its text, what it is about, its number among
// those about the subject, and that it stands in the log.
func (c *bundleChecker) entry(e bundledEntry) error {
	leaf := tlog.RecordHash(e.Text)
	if leaf != e.Leaf {
		return found("The text of number %d about %s has the hash %v; expected %v: one of the two was changed.", c.seen+1, c.report.Subject(), leaf, e.Leaf)
	}
	p, err := placeOf(e.Text)
	if err != nil {
		return found("Number %d about %s cannot be read: %v.", c.seen+1, c.report.Subject(), err)
	}
	if err := c.follows(p); err != nil {
		return err
	}
	if err := tlog.CheckRecord(e.Path, c.fixed.size, c.fixed.root, p.seq, leaf); err != nil {
		return found("Entry %d, number %d about %s, does not stand in the log that the checkpoint fixes: its hash and its path do not lead to the root %v. It, or the path, was changed.", p.seq, p.n[c.head.Subject], c.report.Subject(), c.fixed.root)
	}
	c.leaves.Write(leaf[:]) // never fails
	if c.seen++; c.seen == 1 {
		c.report.First, c.report.From = p.seq, p.entered
	}
	c.report.Last, c.report.Until = p.seq, p.entered
	return nil
}

// follows checks that an entry is the next one about the subject.
func (c *bundleChecker) follows(p place) error {
	n, about := p.n[c.head.Subject]
	switch {
	case !about:
		return found("Entry %d is not about %s; expected number %d about it.", p.seq, c.report.Subject(), c.seen+1)
	case n > c.seen+1:
		return found("Entry %d is number %d about %s; expected number %d, which was left out or stands in another place.", p.seq, n, c.report.Subject(), c.seen+1)
	case n < c.seen+1:
		return found("Entry %d is number %d about %s; expected number %d: it stands here twice, or in another place.", p.seq, n, c.report.Subject(), c.seen+1)
	case c.seen > 0 && p.seq <= c.report.Last:
		return found("Entry %d is number %d about %s, and number %d is entry %d: the log numbers them in another order.", p.seq, n, c.report.Subject(), c.seen, c.report.Last)
	case p.seq >= c.fixed.size:
		return found("Entry %d is newer than the checkpoint, which covers %s.", p.seq, entriesOf(c.fixed.size))
	}
	return nil
}

// A place is where an entry says that it stands.
type place struct {
	seq     int64
	n       map[string]int64 // among the entries about each subject
	entered time.Time
}

// placeOf reads the place of an entry. Members are taken by their exact names,
// each of which the canonical form has once.
func placeOf(text []byte) (place, error) {
	var p place
	var members map[string]json.RawMessage
	if err := json.Unmarshal(text, &members); err != nil {
		return p, err
	}
	var entered string
	for _, m := range []struct {
		name string
		into any
	}{{"seq", &p.seq}, {"n", &p.n}, {"entered", &entered}} {
		if members[m.name] == nil {
			return p, fmt.Errorf("it has no member %q", m.name)
		}
		if err := json.Unmarshal(members[m.name], m.into); err != nil {
			return p, fmt.Errorf("its member %q: %w", m.name, err)
		}
	}
	var err error
	if p.entered, err = time.Parse(stampForm, entered); err != nil {
		return p, fmt.Errorf("it was entered at %q, which is no time", entered)
	}
	if p.seq < 0 {
		return p, fmt.Errorf("it says that it is entry %d", p.seq)
	}
	return p, nil
}

// earlier checks a proof from an earlier size of the log.
func (c *bundleChecker) earlier(e bundleEarlier) error {
	last := int64(0)
	if n := len(c.report.Earlier); n > 0 {
		last = c.report.Earlier[n-1]
	}
	switch {
	case len(c.report.Earlier) == earlierAtMost+1:
		return found("It has more than %d proofs from earlier sizes.", earlierAtMost+1)
	case e.Size <= last || e.Size >= c.fixed.size:
		return found("The proof from %s stands in the wrong place: such proofs are sorted, and smaller than %d.", entriesOf(e.Size), c.fixed.size)
	}
	if err := tlog.CheckTree(e.Path, c.fixed.size, c.fixed.root, e.Size, e.Root); err != nil {
		return found("The proof that the log's first %s had the root %v does not lead to the checkpoint's root %v: it was changed.", entriesOf(e.Size), e.Root, c.fixed.root)
	}
	c.report.Earlier = append(c.report.Earlier, e.Size)
	if c.since != nil && c.since.size == e.Size {
		c.then = &e.Root
	}
	return nil
}

// stated is what the seal has to say of the lines that were read.
func (c *bundleChecker) stated() statement {
	return statement{subject: c.head.Subject, count: c.head.Count, leaves: c.leaves.Sum(nil), size: c.fixed.size, root: c.fixed.root, lines: c.sum.Sum(nil)}
}

func (c *bundleChecker) ends(e bundleEnd) error {
	want := c.stated()
	if e.Seal != "" {
		text, err := openStrictly("seal", e.Seal, c.verifier)
		if err != nil {
			return err
		}
		if err := want.differs(text); err != nil {
			return err
		}
	}
	if sum := hex.EncodeToString(want.lines); e.SHA256 != sum {
		return found("The lines above have the SHA-256 %s; this line says %s: one of them was changed.", sum, e.SHA256)
	}
	c.ended, c.report.Sealed = true, e.Seal != ""
	return nil
}

// differs names the first thing in which a sealed statement is not this one.
func (s statement) differs(text string) error {
	says := strings.Split(text, "\n")
	fields := s.fields()
	if len(says) != len(fields)+1 || says[len(fields)] != "" {
		return found("The seal does not say what seals of bundles say.")
	}
	for i, f := range fields {
		if says[i] != f.says {
			return found("The shop sealed another bundle than this one: %s is %q under the seal and %q here. Something was left out, added or changed since.", f.what, says[i], f.says)
		}
	}
	return nil
}

// compare holds the bundle against the older checkpoint.
func (c *bundleChecker) compare() error {
	switch {
	case c.since == nil:
		return nil
	case c.since.size > c.fixed.size:
		return found("Your older checkpoint covers %s, more than the bundle's, which covers %d. Take it for the newer one: ask the shop for a bundle that is made now.", entriesOf(c.since.size), c.fixed.size)
	case c.then == nil:
		return found("The bundle has no proof that begins at the %s of your older checkpoint. Ask the shop for a bundle that has one: in its Sinterbook at %s?since=%d, or by the command bundle %q --since FILE with your checkpoint as FILE.",
			entriesOf(c.since.size), (&url.URL{Path: "/proof/" + c.head.Subject}).EscapedPath(), c.since.size, c.head.Subject)
	case *c.then != c.since.root:
		return found("The log was rewritten: your older checkpoint fixes its first %s with the root %v, and in the log of this bundle they have the root %v.", entriesOf(c.since.size), c.since.root, *c.then)
	}
	c.report.Since = c.since.size
	return nil
}
