package store

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"unicode/utf8"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// A proof bundle is text of one JSON value a line, each in the canonical form
// of RFC 8785: a head with the signed checkpoint, the entries about one
// subject in their order, proofs from earlier sizes of the log, and an end
// that the shop sealed. A line has one of these members.
type bundleLine struct {
	Head    *bundleHead    `json:"bundle,omitempty"`
	Entry   *bundledEntry  `json:"entry,omitempty"`
	Earlier *bundleEarlier `json:"earlier,omitempty"`
	End     *bundleEnd     `json:"end,omitempty"`
}

// bundleFormat and bundleVersion name the form of the file.
const (
	bundleFormat  = "sinterbook proof bundle"
	bundleVersion = 1
)

// bundleSizeLimit bounds the log that a bundle can be about: canonical JSON
// cannot carry larger numbers.
const bundleSizeLimit = 1 << 53

type bundleHead struct {
	Format     string `json:"format"`
	Version    int    `json:"version"`
	Subject    string `json:"subject"`
	Count      int64  `json:"count"`      // entries about the subject that the checkpoint covers
	Checkpoint string `json:"checkpoint"` // the signed note, three lines and a signature
}

// bundledEntry is an entry with the hashes on the way from its leaf to the
// checkpoint's root.
type bundledEntry struct {
	Leaf tlog.Hash        `json:"leaf"`
	Path tlog.RecordProof `json:"path"`
	Text json.RawMessage  `json:"text"` // as it was hashed, byte for byte
}

// bundleEarlier proves that the log's first entries were the same when it had
// only so many.
type bundleEarlier struct {
	Size int64          `json:"size"`
	Root tlog.Hash      `json:"root"`
	Path tlog.TreeProof `json:"path"`
}

type bundleEnd struct {
	SHA256 string `json:"sha256"`         // of all lines above, hexadecimal
	Seal   string `json:"seal,omitempty"` // signed note of what the bundle says; "" where the key was not at hand
}

// text is the line as it is written, with its line end.
func (l bundleLine) text() ([]byte, error) {
	text, err := canonical(l)
	if err != nil {
		return nil, err
	}
	return append(text, '\n'), nil
}

// members counts what a line carries; every line carries one thing.
func (l bundleLine) members() (n int) {
	for _, has := range []bool{l.Head != nil, l.Entry != nil, l.Earlier != nil, l.End != nil} {
		if has {
			n++
		}
	}
	return n
}

// parseBundleLine reads what text wrote, and nothing else.
func parseBundleLine(text []byte) (bundleLine, error) {
	var l bundleLine
	if !utf8.Valid(text) {
		return l, found("It is not UTF-8.")
	}
	if err := json.Unmarshal(text, &l); err != nil {
		return l, found("It is not a line of a proof bundle: %v.", err)
	}
	if l.members() != 1 {
		return l, found("It is not one thing of a proof bundle.")
	}
	if again, err := l.text(); err != nil || !bytes.Equal(again, text) {
		return l, found("It is not written as proof bundles are.")
	}
	return l, nil
}

// A statement is what the shop signs about a bundle, so that nobody can take
// its last entries off. Its first line is no name that a key can have: it is
// never taken for a checkpoint.
type statement struct {
	subject string
	count   int64
	leaves  []byte // SHA-256 of all leaf hashes in their order
	size    int64
	root    tlog.Hash
	lines   []byte // SHA-256 of all lines above the end
}

// fields are the statement's lines with what each is about.
func (s statement) fields() []struct{ what, says string } {
	return []struct{ what, says string }{
		{"the form", fmt.Sprintf("%s %d", bundleFormat, bundleVersion)},
		{"the subject", s.subject},
		{"the number of entries about it", fmt.Sprint(s.count)},
		{"the hash over all these entries", hex.EncodeToString(s.leaves)},
		{"the number of entries in the log", fmt.Sprint(s.size)},
		{"the log's root", s.root.String()},
		{"the hash over the lines of the bundle", hex.EncodeToString(s.lines)},
	}
}

func (s statement) text() string {
	var b bytes.Buffer
	for _, f := range s.fields() {
		fmt.Fprintln(&b, f.says)
	}
	return b.String()
}

// sealWith signs the statement.
func (s statement) sealWith(key string) (string, error) {
	signer, err := note.NewSigner(key)
	if err != nil {
		return "", fmt.Errorf("the key cannot be used: %w", err)
	}
	signed, err := note.Sign(&note.Note{Text: s.text()}, signer)
	return string(signed), err
}
