package store

import (
	"bytes"
	"encoding/json"
	"unicode/utf8"

	"golang.org/x/mod/sumdb/tlog"
)

// An exported book is text of one JSON value a line: a header, the entries in
// their order, the checkpoints, what stands beside the log, and an end that
// sums up everything above it. A line has one of these members.
type line struct {
	Header     *header         `json:"header,omitempty"`
	Leaf       *tlog.Hash      `json:"leaf,omitempty"`  // of the entry
	Entry      json.RawMessage `json:"entry,omitempty"` // the canonical text, byte for byte
	Checkpoint *sealedLine     `json:"checkpoint,omitempty"`
	Person     *personLine     `json:"person,omitempty"`
	Device     *deviceLine     `json:"device,omitempty"`
	Document   *documentLine   `json:"document,omitempty"`
	End        *ending         `json:"end,omitempty"`
}

// exportFormat and exportVersion name the form of the file.
const (
	exportFormat  = "sinterbook export"
	exportVersion = 1
)

type header struct {
	Format  string    `json:"format"`
	Version int       `json:"version"`
	Site    string    `json:"site"`
	Size    int64     `json:"size"`
	Root    tlog.Hash `json:"root"`
}

type sealedLine struct {
	Size int64  `json:"size"`
	Note string `json:"note"`
}

// personLine is what the log must not hold of a person. Sessions and tries to
// sign in are not exported: they belong to the service that ran.
type personLine struct {
	Badge    string `json:"badge"`
	Name     string `json:"name"`
	PIN      string `json:"pin_hash"`
	Password string `json:"password_hash"`
}

type deviceLine struct {
	Token   string `json:"token_hash"`
	Device  string `json:"device"`
	Station string `json:"station"`
}

// documentLine is a part of a document's bytes; the parts of one stand one after
// the other, so that no line has to be as long as a photo.
type documentLine struct {
	Document string `json:"document"`
	Part     int    `json:"part"` // counted from 1
	Of       int    `json:"of"`
	Bytes    []byte `json:"bytes"`
}

// documentPart is how many bytes of a document a line has.
const documentPart = 1 << 20

type ending struct {
	Entries     int64  `json:"entries"`
	Checkpoints int64  `json:"checkpoints"`
	People      int64  `json:"people"`
	Devices     int64  `json:"devices"`
	Parts       int64  `json:"document_parts,omitempty"` // a book without documents ends as it did before there were any
	SHA256      string `json:"sha256"`                   // of all lines above, hexadecimal
}

// text is the line as it is written, with its line end.
func (l line) text() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // else the bytes of an entry would change
	if err := e.Encode(l); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// members counts what a line carries; every line carries one thing.
func (l line) members() (n int) {
	for _, has := range []bool{l.Header != nil, l.Entry != nil, l.Checkpoint != nil, l.Person != nil, l.Device != nil, l.Document != nil, l.End != nil} {
		if has {
			n++
		}
	}
	return n
}

// parseLine reads what text wrote, and nothing else: neither other spaces nor
// members that are unknown here.
func parseLine(text []byte) (line, error) {
	var l line
	if !utf8.Valid(text) {
		return l, found("It is not UTF-8.")
	}
	if err := json.Unmarshal(text, &l); err != nil {
		return l, found("It is not a line of an exported book: %v.", err)
	}
	if l.members() != 1 || (l.Leaf == nil) != (l.Entry == nil) {
		return l, found("It is not one thing of an exported book.")
	}
	if again, err := l.text(); err != nil || !bytes.Equal(again, text) {
		return l, found("It is not written as exported books are.")
	}
	return l, nil
}
