package shop

import (
	"crypto/sha256"
	"encoding/hex"
	"path"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// A Document is a photo or a paper as it was given to the book about a thing.
// It is named by the SHA-256 of its bytes, which are kept as they came: nothing
// is scaled, turned or compressed again, and what a camera wrote into the file
// stays in it. One document may be on many things.
type Document struct {
	Seq       int64 // of the entry that put it on the thing
	Document  string
	MediaType string
	Size      int64
	Name      string // as whoever gave it calls it
	OnKind    string
	OnCode    string
	Shows     string
	At        time.Time
	By        string
}

// Picture reports whether it can be shown on a page.
func (d Document) Picture() bool { return DocumentWord(d.MediaType) == "photo" }

// DocumentLimit is how many bytes a document may have.
const DocumentLimit = 12 << 20

// documentTypes are the kinds of files that a browser shows by itself, each
// with what it is called and how its name ends.
var documentTypes = []struct{ mediaType, word, ending string }{
	{"image/jpeg", "photo", ".jpg"}, {"image/png", "photo", ".png"}, {"image/webp", "photo", ".webp"}, {"application/pdf", "paper", ".pdf"},
}

// DocumentWord is what a kind of file is called; "" for one that is not taken.
func DocumentWord(mediaType string) string {
	for _, t := range documentTypes {
		if t.mediaType == mediaType {
			return t.word
		}
	}
	return ""
}

// DocumentTypes lists the kinds of files that are taken.
func DocumentTypes() []string {
	var all []string
	for _, t := range documentTypes {
		all = append(all, t.mediaType)
	}
	return all
}

// DocumentKinds are the kinds of things that a document can be on. A person is
// none: the log names people by their badges only.
var DocumentKinds = []string{"insert", "lot", "container", "load", "order", "design", "release", "mould", "machine", "furnace", "sensor", "setter", "oven", "carrier", "cutter",
	"gauge", "coupon", "station", "hold", "nonconformance", "concession", "permit", "containment"}

// DocumentNamed is the SHA-256 of some bytes in hexadecimal: a document's name.
func DocumentNamed(bytes []byte) string {
	sum := sha256.Sum256(bytes)
	return hex.EncodeToString(sum[:])
}

// documentNameLimit is how many bytes a file's name may have, as in most file
// systems.
const documentNameLimit = 255

// DocumentName is the name that a browser sent for a file, without the folders
// of another computer. What is no name gets one of ours; one that is too long
// keeps its end.
func DocumentName(sent, mediaType string) string {
	name := sent[strings.LastIndexAny(sent, `/\`)+1:]
	name = strings.Map(func(r rune) rune {
		if r == utf8.RuneError || unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) { // marks that turn the line round hide how a name ends
			return -1
		}
		return r
	}, name)
	name = strings.TrimSpace(name)
	if strings.Trim(name, ".") == "" {
		return madeUpName(mediaType)
	}
	return shortened(name)
}

func madeUpName(mediaType string) string {
	for _, t := range documentTypes {
		if t.mediaType == mediaType {
			return t.word + t.ending
		}
	}
	return "file"
}

// shortened cuts a name in its middle, between letters.
func shortened(name string) string {
	if len(name) <= documentNameLimit {
		return name
	}
	end := path.Ext(name)
	if len(end) > 16 {
		end = ""
	}
	stem := name[:documentNameLimit-len(end)]
	for !utf8.ValidString(stem) {
		stem = stem[:len(stem)-1]
	}
	return strings.TrimSpace(stem) + end
}

// DocumentAdded puts a photo or a paper on a thing.
//
// The log has its hash, and with that fixes every byte of it; the bytes
// themselves stand beside the log, so that a history and its proof stay small
// enough to print and to carry.
type DocumentAdded struct {
	Document  string `json:"document"` // SHA-256 of the bytes, hexadecimal
	MediaType string `json:"media_type"`
	Size      int64  `json:"size"` // bytes
	Name      string `json:"name"`
	OnKind    string `json:"on_kind"`
	OnCode    string `json:"on_code"`
	Shows     string `json:"shows"` // what is to be seen in it

	Bytes []byte `json:"-"` // nil when the entry is read from the log
}

func (DocumentAdded) Kind() string         { return "document-added" }
func (e DocumentAdded) Subjects() []string { return []string{Subject(e.OnKind, e.OnCode)} }

// Valid refuses a document without a name, of a kind that is not shown, or with
// other bytes than it says.
func (e DocumentAdded) Valid() error {
	f := Fields{}
	f.file(e.Document, e.MediaType, e.Size, e.Name, e.Bytes)
	if !slices.Contains(DocumentKinds, e.OnKind) {
		f.Say("on_kind", "Nothing can be attached to %q.", e.OnKind)
	}
	f.Need("on_code", e.OnCode, "What it is attached to")
	f.Need("shows", e.Shows, "What it shows")
	return f.Err()
}

// file says what is wrong with a file that an event names, and with its bytes
// where they came along.
func (f Fields) file(document, mediaType string, size int64, name string, bytes []byte) {
	if !isSHA256(document) {
		f.Say("document", "The SHA-256 of the file must be 64 digits 0-9 and a-f.")
	}
	f.Need("media_type", mediaType, "The kind of the file")
	if mediaType != "" && DocumentWord(mediaType) == "" {
		f.Say("media_type", "A file of the kind %q is not kept: expected is a JPEG, PNG or WebP photo, or a PDF.", mediaType)
	}
	if size < 1 || size > DocumentLimit {
		f.Say("size", "The file has %d bytes: it must have from 1 to %d.", size, DocumentLimit)
	}
	f.Need("name", name, "The name of the file")
	if name != "" && (name != DocumentName(name, mediaType) || len(name) > documentNameLimit) {
		f.Say("name", "%q is not the name of a file by itself.", name)
	}
	if bytes != nil && (int64(len(bytes)) != size || DocumentNamed(bytes) != document) {
		f.Say("document", "The file was changed on its way: its bytes are not those of %s.", document)
	}
}
