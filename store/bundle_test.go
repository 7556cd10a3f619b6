package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	commandline "flag" // flag is a function of ours
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/shop"
)

// everyByte makes TestEveryByteOfABundleCounts flip every byte of a bundle in
// every bit, instead of one bit of some bytes.
var everyByte = commandline.Bool("every-byte", false, "flip every bit of every byte of a proof bundle")

// bundled is the bundle about a subject, as lines with their ends.
func bundled(t testing.TB, s *Store, subject string, since int64) ([]string, Bundled) {
	t.Helper()
	var b bytes.Buffer
	r, err := s.Bundle(t.Context(), subject, since, &b)
	if err != nil {
		t.Fatal(err)
	}
	return slices.Collect(strings.Lines(b.String())), r
}

func checked(lines []string, key BundleKey) (Bundled, error) {
	if key.Verifier == "" {
		key.Verifier = testVerifier
	}
	return CheckBundle(strings.NewReader(strings.Join(lines, "")), key)
}

func TestBundle(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		old, err := s.Checkpoints(t.Context(), 0, 10)
		if err != nil || len(old) != 2 {
			t.Fatalf("%d checkpoints (%v)", len(old), err)
		}
		for subject, later := range map[string]int64{"insert/I-0001": 0, "insert/I-0002": 1, "hold/H-001": 1, "person/207": 0, "container/L1/01": 0, "mould/M301": 0, "route/RT-1": 0, "load/F1-I-0001": 0} {
			lines, wrote := bundled(t, s, subject, 0)
			all, err := s.Count(t.Context(), subject)
			if err != nil {
				t.Fatal(err)
			}
			got, err := checked(lines, BundleKey{Since: old[1].Note})
			if err != nil {
				t.Errorf("of %s check says: %v", subject, err)
				continue
			}
			if wrote.Later != later || got.Count != all-later || got.Kind+"/"+got.Number != subject || !got.Sealed || got.Size != old[0].Size || got.Root.String() != old[0].Root ||
				!slices.Equal(got.Earlier, []int64{old[1].Size}) || got.Since != old[1].Size {
				t.Errorf("of %s, with %d entries of which %d are later, it reports %+v", subject, all, wrote.Later, got)
			}
			if again, _ := bundled(t, s, subject, 0); !slices.Equal(again, lines) {
				t.Errorf("the bundle of %s is another one the second time", subject)
			}
			text := strings.Join(lines, "")
			for _, secret := range []string{"Mara", "a hash"} {
				if strings.Contains(text, secret) {
					t.Errorf("the bundle of %s says %q", subject, secret)
				}
			}
			for _, e := range bundledEntries(t, lines) {
				if stands, err := s.Entry(t.Context(), e.place.seq); err != nil || stands.Payload != string(e.Text) {
					t.Errorf("entry %d is in the bundle as %s, in the log as %s (%v)", e.place.seq, e.Text, stands.Payload, err)
				}
			}
		}
	})
}

type entryAt struct {
	bundledEntry
	place place
}

func bundledEntries(t testing.TB, lines []string) []entryAt {
	t.Helper()
	var all []entryAt
	for _, text := range lines {
		l, err := parseBundleLine([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if l.Entry != nil {
			p, err := placeOf(l.Entry.Text)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, entryAt{*l.Entry, p})
		}
	}
	return all
}

// What is in a bundle is checked by another implementation of RFC 6962, and
// its signatures by openssl.
func TestBundleByAnotherHand(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		lines, r := bundled(t, s, "insert/I-0001", 11)
		for _, e := range bundledEntries(t, lines) {
			leaf := rfc6962.DefaultHasher.HashLeaf(e.Text)
			if err := proof.VerifyInclusion(rfc6962.DefaultHasher, uint64(e.place.seq), uint64(r.Size), leaf, raw(e.Path), r.Root[:]); err != nil {
				t.Errorf("entry %d: %v", e.place.seq, err)
			}
		}
		earlier := 0
		for _, text := range lines {
			l, err := parseBundleLine([]byte(text))
			if err != nil {
				t.Fatal(err)
			}
			if e := l.Earlier; e != nil {
				earlier++
				if err := proof.VerifyConsistency(rfc6962.DefaultHasher, uint64(e.Size), uint64(r.Size), raw(e.Path), e.Root[:], r.Root[:]); err != nil {
					t.Errorf("from %d: %v", e.Size, err)
				}
			}
			for _, signed := range signedIn(l) {
				if said, err := opensslOn(t, signed, signed); err != nil {
					t.Errorf("openssl says %q of\n%s", said, signed)
				}
				if said, err := opensslOn(t, signed, strings.Replace(signed, "\n", "\n1", 1)); err == nil {
					t.Errorf("of another text openssl says %q", said)
				}
			}
		}
		if earlier != 2 {
			t.Errorf("%d proofs from earlier sizes; want one from a checkpoint and the one asked for", earlier)
		}
	})
}

func signedIn(l bundleLine) []string {
	switch {
	case l.Head != nil:
		return []string{l.Head.Checkpoint}
	case l.End != nil:
		return []string{l.End.Seal}
	}
	return nil
}

// A third party can make the sum of the lines again; what it cannot make is
// the seal.
func summed(lines []string) []string { return ended(lines, "") }

// ended gives lines a new end: with the seal that they have, or signed anew by
// a key.
func ended(lines []string, signer string) []string {
	lines = slices.Clone(lines)
	last := len(lines) - 1
	end, err := parseBundleLine([]byte(lines[last]))
	if err != nil || end.End == nil {
		return lines
	}
	sum := sha256.Sum256([]byte(strings.Join(lines[:last], "")))
	end.End.SHA256 = hex.EncodeToString(sum[:])
	if signer != "" {
		c := newBundleChecker(testVerifier)
		for _, text := range lines[:last] {
			if err := c.takeText([]byte(text)); err != nil {
				return lines
			}
		}
		if end.End.Seal, err = c.stated().sealWith(signer); err != nil {
			panic(err)
		}
	}
	text, err := end.text()
	if err != nil {
		panic(err)
	}
	lines[last] = string(text)
	return lines
}

// with changes what a line carries and writes it again.
func with(t *testing.T, lines []string, at int, change func(*bundleLine)) []string {
	t.Helper()
	l, err := parseBundleLine([]byte(lines[at]))
	if err != nil {
		t.Fatal(err)
	}
	change(&l)
	text, err := l.text()
	if err != nil {
		t.Fatal(err)
	}
	lines = slices.Clone(lines)
	lines[at] = string(text)
	return lines
}

func TestBundleTamperedWith(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		good, r := bundled(t, s, "insert/I-0001", 0)
		other, _ := bundled(t, s, "insert/I-0002", 0)
		last := int(r.Count) // the line of the last entry; that of the first is 1
		foreignSigner, foreignVerifier, err := note.GenerateKey(nil, "sinterbook-foreign")
		if err != nil {
			t.Fatal(err)
		}
		counted := func(lines []string, n int64) []string {
			return with(t, lines, 0, func(l *bundleLine) { l.Head.Count = n })
		}
		seq := bundledEntries(t, good)[2].place.seq
		for _, tt := range []struct {
			name string
			edit func([]string) []string
			want string
		}{
			{"an entry's text is changed", func(l []string) []string {
				l[3] = strings.Replace(l[3], `"by":"`, `"by":"9`, 1)
				return summed(l)
			}, "Line 4: The text of number 3 about insert I-0001 has the hash "},
			{"and its leaf hash with it", func(l []string) []string {
				return summed(with(t, l, 3, func(l *bundleLine) {
					l.Entry.Text = bytes.Replace(l.Entry.Text, []byte(`"by":"`), []byte(`"by":"9`), 1)
					l.Entry.Leaf = tlog.RecordHash(l.Entry.Text)
				}))
			}, fmt.Sprintf("Line 4: Entry %d, number 3 about insert I-0001, does not stand in the log that the checkpoint fixes", seq)},
			{"an entry's path is changed", func(l []string) []string {
				return summed(with(t, l, 3, func(l *bundleLine) { l.Entry.Path[0][5] ^= 1 }))
			}, fmt.Sprintf("Line 4: Entry %d, number 3 about insert I-0001, does not stand", seq)},
			{"the first entry is dropped", func(l []string) []string { return summed(slices.Delete(l, 1, 2)) }, "is number 2 about insert I-0001; expected number 1, which was left out"},
			{"an entry in the middle is dropped", func(l []string) []string { return summed(slices.Delete(l, 3, 4)) }, "is number 4 about insert I-0001; expected number 3, which was left out"},
			{"the last entry is dropped", func(l []string) []string { return summed(slices.Delete(l, last, last+1)) },
				fmt.Sprintf("Line %d: Number %d about insert I-0001 is missing: the first line announces %d entries, and there are %d.", last+1, last, last, last-1)},
			{"the last entry is dropped and the count with it", func(l []string) []string { return summed(counted(slices.Delete(l, last, last+1), int64(last-1))) },
				fmt.Sprintf(`The shop sealed another bundle than this one: the number of entries about it is "%d" under the seal and "%d" here.`, last, last-1)},
			{"all but the first are dropped", func(l []string) []string { return summed(counted(slices.Delete(l, 2, last+1), 1)) },
				fmt.Sprintf(`the number of entries about it is "%d" under the seal and "1" here.`, last)},
			{"an entry stands twice", func(l []string) []string { return summed(slices.Insert(l, 3, l[2])) }, "is number 2 about insert I-0001; expected number 3: it stands here twice"},
			{"the last entry stands twice", func(l []string) []string { return summed(slices.Insert(l, last+1, l[last])) }, "There is an entry more than the"},
			{"two entries change places", func(l []string) []string { l[2], l[3] = l[3], l[2]; return summed(l) }, "is number 3 about insert I-0001; expected number 2, which was left out or stands in another place"},
			{"an entry about another insert is put in its place", func(l []string) []string { l[2] = other[2]; return summed(l) }, "is not about insert I-0001; expected number 2 about it."},
			{"another entry of the log is added", func(l []string) []string {
				return summed(counted(slices.Insert(l, last+1, other[1]), int64(last+1)))
			}, fmt.Sprintf("is not about insert I-0001; expected number %d about it.", last+1)},
			{"another subject is claimed", func(l []string) []string {
				return summed(with(t, l, 0, func(l *bundleLine) { l.Head.Subject = "insert/I-0009" }))
			}, "is not about insert I-0009; expected number 1"},
			{"a subject with commands for a terminal", func(l []string) []string {
				return summed(with(t, l, 0, func(l *bundleLine) { l.Head.Subject = "insert/\x1b[2J" }))
			}, `It is about "insert/\x1b[2J", which is nothing`},
			{"a proof from an earlier size is dropped", func(l []string) []string { return summed(slices.Delete(l, last+1, last+2)) }, "the hash over the lines of the bundle is"},
			{"the root of an earlier size is changed", func(l []string) []string {
				return summed(with(t, l, last+1, func(l *bundleLine) { l.Earlier.Root[0] ^= 1 }))
			}, "does not lead to the checkpoint's root"},
			{"an earlier size is changed", func(l []string) []string { return summed(with(t, l, last+1, func(l *bundleLine) { l.Earlier.Size-- })) }, "does not lead to the checkpoint's root"},
			{"a proof from an earlier size stands twice", func(l []string) []string { return summed(slices.Insert(l, last+1, l[last+1])) }, "stands in the wrong place"},
			{"a proof from an earlier size stands between entries", func(l []string) []string { return summed(slices.Insert(l, last, l[last+1])) }, fmt.Sprintf("Number %d about insert I-0001 is missing", last)},
			{"the checkpoint's size is changed", func(l []string) []string {
				return summed(with(t, l, 0, func(l *bundleLine) { l.Head.Checkpoint = strings.Replace(l.Head.Checkpoint, "\n", "\n1", 1) }))
			}, "Line 1: The checkpoint was changed"},
			{"a checkpoint by another key", func(l []string) []string {
				signed, err := sign(foreignSigner, r.Size, r.Root)
				if err != nil {
					t.Fatal(err)
				}
				return summed(with(t, l, 0, func(l *bundleLine) { l.Head.Checkpoint = signed }))
			}, `Line 1: The checkpoint is signed by the key "` + foreignVerifier[:len("sinterbook-foreign+01234567")] + `", not by the one that you gave, sinterbook-test+`},
			{"a second signature on the checkpoint", func(l []string) []string {
				signed, err := sign(foreignSigner, r.Size, r.Root)
				if err != nil {
					t.Fatal(err)
				}
				return summed(with(t, l, 0, func(l *bundleLine) { l.Head.Checkpoint += strings.SplitN(signed, "\n\n", 2)[1] }))
			}, "Line 1: The checkpoint has more than one signature"},
			{"a seal by another key", func(l []string) []string { return ended(l, foreignSigner) }, `The seal is signed by the key "sinterbook-foreign+`},
			{"the checkpoint in place of the seal", func(l []string) []string {
				return with(t, l, len(l)-1, func(end *bundleLine) {
					end.End.Seal = noteIn(t, l)
				})
			}, "The seal does not say what seals of bundles say."},
			{"the seal in place of the checkpoint", func(l []string) []string {
				end, err := parseBundleLine([]byte(l[len(l)-1]))
				if err != nil {
					t.Fatal(err)
				}
				return summed(with(t, l, 0, func(l *bundleLine) { l.Head.Checkpoint = end.End.Seal }))
			}, "The checkpoint is signed by the key, and is none"},
			{"the seal of another bundle", func(l []string) []string { l[len(l)-1] = other[len(other)-1]; return l }, `the subject is "insert/I-0002" under the seal and "insert/I-0001" here`},
			{"the sum is changed", func(l []string) []string {
				return with(t, l, len(l)-1, func(l *bundleLine) { l.End.SHA256 = strings.Repeat("0", 64) })
			}, "this line says 0000"},
			{"it is cut after a line", func(l []string) []string { return l[:4] }, fmt.Sprintf("The file ends before line 5; expected entry 4 of the %d about insert I-0001.", last)},
			{"it is cut before its end", func(l []string) []string { return l[:len(l)-1] }, "expected a proof from an earlier size, or the end."},
			{"it is cut within a line", func(l []string) []string { l[4] = l[4][:20]; return l[:5] }, "Line 5 is cut: the file ends in it; expected entry 4"},
			{"there is more behind its end", func(l []string) []string { return append(l, "\n") }, fmt.Sprintf("Line %d: There is more behind the end of the bundle.", len(good)+1)},
			{"a line has a space more", func(l []string) []string { l[1] = " " + l[1]; return summed(l) }, "Line 2: It is not written as proof bundles are."},
			{"a line is no JSON", func(l []string) []string { l[1] = "entry\n"; return summed(l) }, "Line 2: It is not a line of a proof bundle"},
			{"a line is longer than any", func(l []string) []string { l[1] = strings.Repeat("a", lineLimit+1) + "\n"; return l }, "Line 2 is longer than 4194304 bytes"},
			{"another kind of file", func([]string) []string { return []string{`{"header":{}}` + "\n"} }, "Line 1: It is not one thing of a proof bundle."},
			{"an entry first", func(l []string) []string { return l[1:] }, "Line 1: It begins no proof bundle"},
			{"nothing", func([]string) []string { return nil }, "The file ends before line 1; expected the first line of a sinterbook proof bundle, version 1."},
			{"a version that is not known", func(l []string) []string {
				return summed(with(t, l, 0, func(l *bundleLine) { l.Head.Version = 2 }))
			}, "version 2; expected the first line"},
			{"more entries than the log has", func(l []string) []string { return summed(counted(l, r.Size+1)) }, "that cannot be"},
		} {
			t.Run(tt.name, func(t *testing.T) {
				_, err := checked(tt.edit(slices.Clone(good)), BundleKey{})
				f, ok := errors.AsType[*Finding](err)
				if !ok || !strings.Contains(f.Why, tt.want) {
					t.Errorf("it says %v\nwant a finding with %q", err, tt.want)
				}
			})
		}
		if _, err := checked(good, BundleKey{}); err != nil {
			t.Errorf("the good one: %v", err)
		}
	})
}

// noteIn is the checkpoint of a bundle.
func noteIn(t *testing.T, lines []string) string {
	t.Helper()
	head, err := parseBundleLine([]byte(lines[0]))
	if err != nil {
		t.Fatal(err)
	}
	return head.Head.Checkpoint
}

// Whichever byte is another one, the check fails.
func TestEveryByteOfABundleCounts(t *testing.T) {
	t.Parallel()
	s := openAt(t, liteAddress(t), newClock(day))
	seeded(t, s)
	checkpointed(t, s)
	put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "check"})
	checkpointed(t, s)
	lines, _ := bundled(t, s, "hold/H-001", 0)
	text := []byte(strings.Join(lines, ""))
	step, bits := max(1, len(text)/700), 1
	if *everyByte {
		step, bits = 1, 8
	}
	for at := 0; at < len(text); at += step {
		for bit := range bits {
			flipped := bytes.Clone(text)
			flipped[at] ^= 1 << bit
			_, err := CheckBundle(bytes.NewReader(flipped), BundleKey{Verifier: testVerifier})
			if !errors.As(err, new(*Finding)) {
				t.Errorf("byte %d, %q made %q: %v; want a finding", at, text[at], flipped[at], err)
			}
		}
	}
	if _, err := CheckBundle(bytes.NewReader(text), BundleKey{Verifier: testVerifier}); err != nil {
		t.Error(err)
	}
}

func TestBundleSince(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		signedAt := func(s *Store, size int64) string {
			root, err := s.Root(t.Context(), size)
			if err != nil {
				t.Fatal(err)
			}
			signed, err := sign(testSigner, size, root)
			if err != nil {
				t.Fatal(err)
			}
			return signed
		}
		plain, r := bundled(t, s, "insert/I-0001", 0)
		asked, _ := bundled(t, s, "insert/I-0001", 17)
		another := openAt(t, liteAddress(t), newClock(day)) // the same acts, signed by the same key: a second log
		book(t, another)
		for _, tt := range []struct {
			name  string
			lines []string
			since string
			want  string // in the finding, "" for none
		}{
			{"from a checkpoint of the book", plain, signedAt(s, r.Earlier[0]), ""},
			{"from the bundle's own checkpoint", plain, signedAt(s, r.Size), ""},
			{"from a size that was asked for", asked, signedAt(s, 17), ""},
			{"from a size that nobody asked for", plain, signedAt(s, 17), `no proof that begins at the 17 entries of your older checkpoint. Ask the shop for a bundle that has one: in its Sinterbook at /proof/insert/I-0001?since=17, or by the command bundle "insert/I-0001" --since FILE`},
			{"of a log that was rewritten", plain, signedAt(another, r.Earlier[0]), "The log was rewritten: your older checkpoint fixes its first"},
			{"of a log that was rewritten, at the same size", plain, signedAt(another, r.Size), "The log was rewritten"},
			{"of a log that was rewritten, at a size that was asked for", asked, signedAt(another, 17), "The log was rewritten"},
			{"newer than the bundle", plain, signedAt(s, r.Size+1), "more than the bundle's"},
			{"changed", plain, strings.Replace(signedAt(s, 17), "\n17\n", "\n18\n", 1), "The older checkpoint was changed"},
			{"no checkpoint", plain, "a letter\n", "The older checkpoint is not a signed note."},
		} {
			t.Run(tt.name, func(t *testing.T) {
				_, err := checked(tt.lines, BundleKey{Since: tt.since})
				f, isFinding := errors.AsType[*Finding](err)
				if tt.want == "" && err != nil || tt.want != "" && (!isFinding || !strings.Contains(f.Why, tt.want)) {
					t.Errorf("it says %v; want %q", err, tt.want)
				}
			})
		}
	})
}

// A rewritten past gets past neither the proof nor the seal, even where the
// shop itself signs: the older root that it would have to state is not the one
// that was kept.
func TestBundleOfARewrittenLogSealedByTheShop(t *testing.T) {
	t.Parallel()
	s, another := openAt(t, liteAddress(t), newClock(day)), openAt(t, liteAddress(t), newClock(day))
	book(t, s)
	book(t, another)
	_, kept := bundled(t, s, "insert/I-0001", 0)
	lines, r := bundled(t, another, "insert/I-0001", 0)
	lied := ended(with(t, lines, int(r.Count)+1, func(l *bundleLine) {
		root, err := s.Root(t.Context(), l.Earlier.Size)
		if err != nil {
			t.Fatal(err)
		}
		l.Earlier.Root = root
	}), testSigner)
	if _, err := checked(lied, BundleKey{}); err == nil || !strings.Contains(err.Error(), "does not lead to the checkpoint's root") {
		t.Errorf("with the root of the log before, of %d entries: %v", kept.Earlier[0], err)
	}
}

// Where the key of the checkpoint is not at hand, the bundle has no seal.
func TestBundleWithoutTheKey(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		foreign, _, err := note.GenerateKey(nil, "sinterbook-foreign")
		if err != nil {
			t.Fatal(err)
		}
		for _, signer := range []string{"", foreign} {
			s.signer = signer
			lines, wrote := bundled(t, s, "insert/I-0001", 0)
			if got, err := checked(lines, BundleKey{}); err != nil || got.Sealed || wrote.Sealed {
				t.Errorf("signed by %.20q: %+v (%v)", signer, got, err)
			}
		}
	})
}

// A bundle is checked by the key that signed its checkpoint, and holds against
// one by the key before it.
func TestBundleAfterTheKeyChanged(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		_, old := checkpointed(t, s)
		signer, verifier, err := note.GenerateKey(nil, "sinterbook-second")
		if err != nil {
			t.Fatal(err)
		}
		put(t, s, "601", shop.KeyChanged{Verifier: verifier})
		s.signer = signer
		if before, _ := bundled(t, s, "lot/L1", 0); !strings.Contains(before[len(before)-1], `"sha256"`) || strings.Contains(before[len(before)-1], "seal") {
			t.Errorf("before the new key signed a checkpoint the bundle ends with %s", before[len(before)-1])
		}
		checkpointed(t, s)
		lines, _ := bundled(t, s, "lot/L1", 0)
		if got, err := checked(lines, BundleKey{Verifier: verifier, Since: old, SinceKey: testVerifier}); err != nil || !got.Sealed || got.Since == 0 {
			t.Errorf("by the new key: %+v (%v)", got, err)
		}
		for _, key := range []BundleKey{{Verifier: testVerifier}, {Verifier: verifier, Since: old}} {
			if _, err := checked(lines, key); err == nil || !strings.Contains(err.Error(), "A shop that changed its key signs by the new one from then on.") {
				t.Errorf("by the key that does not fit: %v", err)
			}
		}
	})
}

func TestBundleOfWhatCannotBeProven(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		bundle := func(subject string, since int64) error {
			_, err := s.Bundle(t.Context(), subject, since, &bytes.Buffer{})
			return err
		}
		seeded(t, s)
		if err := bundle("lot/L1", 0); !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "No checkpoint of this book was signed yet") {
			t.Errorf("without a checkpoint: %v", err)
		}
		n, _ := checkpointed(t, s)
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "check"})
		if err := bundle("hold/H-001", 0); !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "covers no entry about hold H-001") {
			t.Errorf("of what is newer than the checkpoint: %v", err)
		}
		if err := bundle("lot/L9", 0); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("of what is not there: %v", err)
		}
		for _, since := range []int64{-1, n + 1} {
			if err := bundle("lot/L1", since); !errors.Is(err, shop.ErrInvalid) {
				t.Errorf("since %d: %v", since, err)
			}
		}
	})
}

// A book that was changed makes no bundle.
func TestBundleOfADamagedBook(t *testing.T) {
	t.Parallel()
	for name, damage := range map[string][]string{
		"an entry":        {"DROP TRIGGER entry_stays", "UPDATE entry SET payload = replace(payload, 'Test Shop', 'Best Shop') WHERE seq = 0"},
		"a hash":          {"DROP TRIGGER node_stays", "UPDATE node SET hash = zeroblob(32) WHERE idx = 1"},
		"a checkpoint":    {"DROP TRIGGER checkpoint_stays", "UPDATE checkpoint SET note = replace(note, 'test', 'best')"},
		"the place of it": {"UPDATE subject_entry SET seq = 5 WHERE name = 'book/1' AND n = 1"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := openAt(t, liteAddress(t), newClock(day))
			seeded(t, s)
			checkpointed(t, s)
			for _, q := range damage {
				if _, err := s.write.Exec(q); err != nil {
					t.Fatal(err)
				}
			}
			_, err := s.Bundle(t.Context(), "book/1", 0, &bytes.Buffer{})
			if f, ok := errors.AsType[*Finding](err); !ok || !strings.Contains(f.Why, "erify") {
				t.Errorf("it says %v; want a finding that sends to verify", err)
			}
		})
	}
}

func TestSubjectOf(t *testing.T) {
	t.Parallel()
	s := openAt(t, liteAddress(t), newClock(day))
	seeded(t, s)
	lot, err := s.Lot(t.Context(), "L1")
	if err != nil {
		t.Fatal(err)
	}
	for code, want := range map[string]string{"l1": "lot/L1", "L1/01": "container/L1/01", string(lot.Code): "lot/L1", "route/RT-1": "route/RT-1", "book/1": "book/1", "204": "person/204", "M-12": "gauge/M-12"} {
		if got, err := s.SubjectOf(t.Context(), code); got != want || err != nil {
			t.Errorf("%s is %s (%v); want %s", code, got, err, want)
		}
	}
	if _, err := s.SubjectOf(t.Context(), "route/RT-9"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("of nothing: %v", err)
	}
}

// Whatever is given to check, the answer is a sentence; and what passes is
// what the shop wrote.
func FuzzBundle(f *testing.F) {
	s := openAt(f, liteAddress(f), newClock(day))
	seeded(f, s)
	checkpointed(f, s)
	put(f, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "check"})
	_, since := checkpointed(f, s)
	lines, _ := bundled(f, s, "lot/L1", 0)
	good := strings.Join(lines, "")
	f.Add(good, since)
	f.Add("", "")
	f.Add(lines[0]+`{"entry":{"leaf":"","path":null,"text":null}}`+"\n", "a\n\n— b c\n")
	f.Add(strings.Replace(good, `"count":`, `"count":1`, 1), strings.Replace(since, "\n", "\n9", 1))
	f.Fuzz(func(t *testing.T, text, since string) {
		_, err := CheckBundle(strings.NewReader(text), BundleKey{Verifier: testVerifier, Since: since})
		if err != nil && !errors.As(err, new(*Finding)) {
			t.Errorf("it says %v", err)
		}
		if err == nil && text != good {
			t.Errorf("it passes %s", text)
		}
		if _, _, err := ParseCheckpoint(since); err != nil && !errors.As(err, new(*Finding)) {
			t.Errorf("it says %v", err)
		}
		if l, err := parseBundleLine([]byte(text)); err == nil {
			if again, err := l.text(); err != nil || string(again) != text {
				t.Errorf("written again it is %s", again)
			}
		}
	})
}
