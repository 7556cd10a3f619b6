package views

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"sinterbook/store/shop"
)

// A File is one that was sent with a form, as it came.
type File struct {
	Name   string // as the browser sent it, with whatever folders
	Bytes  []byte
	Larger bool // than is taken; its bytes were not kept
}

// A FilesField lets a person choose files.
type FilesField struct {
	Name     string
	Form     string // as in Field
	Label    string
	Hint     string
	Wrong    string
	Takes    string // kinds of files, as a browser names them; "" for photos and papers
	Several  bool
	Required bool
}

// ID is the field's id in the page.
func (f FilesField) ID() string { return fieldID(f.Form, f.Name) }

// DescribedBy names the hint and the error to a screen reader.
func (f FilesField) DescribedBy() string { return describedBy(f.ID(), f.Hint, f.Wrong) }

// Accept tells the browser which files to offer.
func (f FilesField) Accept() string { return cmp.Or(f.Takes, strings.Join(shop.DocumentTypes(), ",")) }

// Photos makes the field in which photos and papers are chosen. A browser gives
// no file a second time by itself, and the field says so.
func (f Form) Photos(label string, several, required bool) FilesField {
	field := FilesField{Form: f.Name, Name: "photo", Label: label, Several: several, Required: required, Wrong: f.Wrong["photo"],
		Hint: fmt.Sprintf("JPEG, PNG, WebP or PDF, each up to %s. It is kept as it is sent.", Bytes(shop.DocumentLimit))}
	if n := len(f.Files); n > 0 {
		field.Hint = "Not stored yet: choose " + fileWords(n) + " again. " + field.Hint
	}
	return field
}

func fileWords(n int) string {
	if n == 1 {
		return "the file"
	}
	return "the " + Whole(n) + " files"
}

// onWords are what a document is on.
func onWords(f Form) string { return f.Value("on_kind") + " " + f.Value("on_code") }

// documentSentence says what was put on a thing.
func documentSentence(e shop.DocumentAdded) string {
	return fmt.Sprintf("The %s “%s” was put on %s %s (%s, %s bytes, SHA-256 %s). It shows: %s",
		shop.DocumentWord(e.MediaType), e.Name, e.OnKind, e.OnCode, e.MediaType, Whole(int(e.Size)), e.Document, full(e.Shows))
}

// FileOf is the address of a document's bytes, as one entry named it.
func FileOf(document string, entry int64) string {
	return "/documents/" + document + "?entry=" + strconv.FormatInt(entry, 10)
}

// NewDocumentOn is the form that puts a photo or a paper on a thing.
func NewDocumentOn(kind, number string) string {
	return "/new/document?on_kind=" + queryOf(kind) + "&on_code=" + queryOf(number)
}

// Bytes writes how large a file is, to two digits or more.
func Bytes(n int64) string {
	switch {
	case n >= 10<<20:
		return WithUnit(Number(float64(n)/(1<<20), 0), "MiB")
	case n >= 1<<20:
		return WithUnit(Number(float64(n)/(1<<20), 1), "MiB")
	case n >= 1<<10:
		return WithUnit(Number(float64(n)/(1<<10), 0), "KiB")
	}
	return WithUnit(Whole(int(n)), "bytes")
}

// PhotosKept says that the photos of a fit that was refused need not be chosen
// again.
func PhotosKept(n int, insert string) string {
	if n == 1 {
		return "The photo is kept: it is on " + insert + " already, and need not be chosen again."
	}
	return fmt.Sprintf("%d photos are kept: they are on %s already, and need not be chosen again.", n, insert)
}
