package store

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
)

// lineLimit bounds a line of an exported book or of a proof bundle, in bytes.
const lineLimit = 4 << 20

// readBook reads an exported book line by line and hands on what is well
// formed and in its place. What is wrong with a line, be it found here or by
// take, is a *Finding that names it.
func readBook(from io.Reader, take func(line) error) error {
	b := &bookReader{from: bufio.NewReaderSize(from, 1<<16), sum: sha256.New()}
	for {
		text, err := b.text()
		if err != nil {
			return err
		}
		l, err := parseLine(text)
		if err == nil {
			err = b.placed(l)
		}
		if err == nil {
			err = take(l)
		}
		if f, ok := errors.AsType[*Finding](err); ok {
			return found("Line %d: %s Nothing was imported.", b.line, f.Why)
		}
		if err != nil {
			return err
		}
		if l.End != nil {
			return b.stops()
		}
		b.sum.Write(text) // never fails
	}
}

// A bookReader knows where in an exported book it is.
type bookReader struct {
	from *bufio.Reader
	line int
	sum  hash.Hash // of the lines above

	begun bool
	size  int64  // entries that the first line announced
	seen  ending // counts of what was read
	after string // what the last line was, of its kind: things are sorted
}

// text reads the next line with its line end.
func (b *bookReader) text() ([]byte, error) {
	b.line++
	return nextLine(b.from, b.line, b.expected, " Nothing was imported.")
}

// nextLine reads line n with its line end. What is wrong with it is a *Finding
// that says what was expected and ends with a sentence of the caller's.
func nextLine(from *bufio.Reader, n int, expected func() string, after string) ([]byte, error) {
	var text []byte
	for {
		part, err := from.ReadSlice('\n')
		text = append(text, part...)
		if len(text) > lineLimit {
			return nil, found("Line %d is longer than %d bytes; expected %s.%s", n, lineLimit, expected(), after)
		}
		switch {
		case err == nil:
			return text, nil
		case errors.Is(err, io.EOF) && len(text) > 0:
			return nil, found("Line %d is cut: the file ends in it; expected %s.%s", n, expected(), after)
		case errors.Is(err, io.EOF):
			return nil, found("The file ends before line %d; expected %s.%s", n, expected(), after)
		case !errors.Is(err, bufio.ErrBufferFull):
			return nil, fmt.Errorf("reading line %d: %w", n, err)
		}
	}
}

// expected says what the next line has to be.
func (b *bookReader) expected() string {
	switch {
	case !b.begun:
		return fmt.Sprintf("the first line of a %s, version %d", exportFormat, exportVersion)
	case b.seen.Entries < b.size:
		return fmt.Sprintf("entry %d of the %d that the first line announces", b.seen.Entries, b.size)
	}
	return "a checkpoint, a person, a tablet, a part of a document or the end"
}

// placed checks that a line comes where it belongs.
func (b *bookReader) placed(l line) error {
	fits := false
	switch {
	case !b.begun:
		return b.begins(l)
	case b.seen.Entries < b.size:
		if fits = l.Entry != nil; fits {
			b.seen.Entries++
		}
	case l.Checkpoint != nil:
		fits = b.seen.People+b.seen.Devices+b.seen.Parts == 0 && b.sorted(b.seen.Checkpoints, fmt.Sprintf("%020d", l.Checkpoint.Size))
		b.seen.Checkpoints++
	case l.Person != nil:
		fits = b.seen.Devices+b.seen.Parts == 0 && b.sorted(b.seen.People, l.Person.Badge)
		b.seen.People++
	case l.Device != nil:
		fits = b.seen.Parts == 0 && b.sorted(b.seen.Devices, l.Device.Token)
		b.seen.Devices++
	case l.Document != nil:
		fits = b.sorted(b.seen.Parts, fmt.Sprintf("%s %08d", l.Document.Document, l.Document.Part))
		b.seen.Parts++
	case l.End != nil:
		return b.ends(*l.End)
	}
	if !fits {
		return found("It is out of its place; expected %s.", b.expected())
	}
	return nil
}

// sorted reports whether a key lies behind the one before it, if there was one
// of its kind.
func (b *bookReader) sorted(before int64, key string) bool {
	last := b.after
	b.after = key
	return before == 0 || last < key
}

func (b *bookReader) begins(l line) error {
	if l.Header == nil || l.Header.Format != exportFormat || l.Header.Version != exportVersion || l.Header.Size < 0 {
		return found("It begins no file that can be imported; expected %s.", b.expected())
	}
	b.begun, b.size = true, l.Header.Size
	return nil
}

// ends compares what the last line says with what was read.
func (b *bookReader) ends(e ending) error {
	want := b.seen
	want.SHA256 = hex.EncodeToString(b.sum.Sum(nil))
	if e.SHA256 != want.SHA256 {
		return found("The lines above have the SHA-256 %s; this line says %s, so that one of them was changed.", want.SHA256, e.SHA256)
	}
	if e != want {
		return found("It counts %d entries, %d checkpoints, %d people, %d tablets and %d parts of documents; the lines above are %d, %d, %d, %d and %d.",
			e.Entries, e.Checkpoints, e.People, e.Devices, e.Parts, want.Entries, want.Checkpoints, want.People, want.Devices, want.Parts)
	}
	return nil
}

// stops refuses anything behind the end.
func (b *bookReader) stops() error {
	b.line++
	if _, err := b.from.ReadByte(); !errors.Is(err, io.EOF) {
		if err != nil {
			return fmt.Errorf("reading line %d: %w", b.line, err)
		}
		return found("Line %d: There is more behind the end of the book. Nothing was imported.", b.line)
	}
	return nil
}
