package scenario

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"
	"unicode/utf8"

	"sinterbook/store/shop"
)

// A Fault is one thing that is wrong with a folder, or that the book refused.
type Fault struct {
	File   string
	Line   int    // 0 where it is about the whole file
	Column string // "" where it is about the whole line
	Why    string // a sentence, or several
	Err    error  // shop.ErrInvalid, or what the book answered
}

func (f *Fault) Error() string {
	place := f.File
	if f.Line > 0 {
		place += fmt.Sprintf(" line %d", f.Line)
	}
	if f.Column != "" {
		place += ", column " + f.Column
	}
	return place + ": " + f.Why
}

// Unwrap gives the kind of no.
func (f *Fault) Unwrap() error { return f.Err }

// A table is one file of the folder. Its rows are found by their key.
type table struct {
	name    string
	key     []string
	columns map[string]int
	rows    []row
	byKey   map[string]row
}

// A row is one line of a file. Whoever reads a field of it that is wrong
// notes a fault in the folder and gets the zero value.
type row struct {
	*folder
	t     *table
	line  int
	cells []string
}

// kind describes a file: the columns of its key, and the others that are read.
type kind struct{ key, others []string }

func (k kind) columns() []string { return slices.Concat(k.key, k.others) }

// read reads one file of the folder. Where something is wrong with it the
// table has the rows up to there.
func (f *folder) read(name string, k kind) *table {
	t := &table{name: name, key: k.key, columns: map[string]int{}, byKey: map[string]row{}}
	text, err := fs.ReadFile(f.fsys, name)
	if errors.Is(err, fs.ErrNotExist) {
		f.fault(name, 0, "", "this file is missing from the folder.")
		return t
	}
	if err != nil {
		f.faults = append(f.faults, fmt.Errorf("reading %s: %w", name, err))
		return t
	}
	f.parse(t, k, text)
	return t
}

func (f *folder) parse(t *table, k kind, text []byte) {
	text = bytes.TrimPrefix(text, []byte("\uFEFF"))
	if !utf8.Valid(text) {
		f.fault(t.name, badLine(text), "", "the text is not UTF-8.")
		return
	}
	lines := csv.NewReader(bytes.NewReader(text))
	header, err := lines.Read()
	if err != nil {
		f.badCSV(t.name, err)
		return
	}
	if !f.header(t, k, header) {
		return
	}
	for {
		cells, err := lines.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			f.badCSV(t.name, err)
			return
		}
		line, _ := lines.FieldPos(0)
		t.add(row{folder: f, t: t, line: line, cells: cells})
	}
}

func badLine(text []byte) int {
	for i, line := range bytes.Split(text, []byte("\n")) {
		if !utf8.Valid(line) {
			return i + 1
		}
	}
	return 0
}

func (f *folder) badCSV(name string, err error) {
	var bad *csv.ParseError
	switch {
	case errors.Is(err, io.EOF):
		f.fault(name, 0, "", "the file is empty: its first line must name the columns.")
	case errors.Is(err, csv.ErrFieldCount) && errors.As(err, &bad):
		f.fault(name, bad.Line, "", "this line has another number of fields than the header.")
	case errors.As(err, &bad):
		f.fault(name, bad.Line, "", "the quotes do not pair: %v.", bad.Err)
	default:
		f.faults = append(f.faults, fmt.Errorf("reading %s: %w", name, err))
	}
}

// header notes where each column stands; false when one is missing or twice.
func (f *folder) header(t *table, k kind, names []string) bool {
	good := true
	for _, name := range k.columns() {
		name, optional := strings.CutSuffix(name, "?")
		at := slices.Index(names, name)
		switch {
		case at < 0 && optional:
		case at < 0:
			f.fault(t.name, 1, name, "the header lacks this column.")
			good = false
		case slices.Contains(names[at+1:], name):
			f.fault(t.name, 1, name, "the header names this column twice.")
			good = false
		}
		t.columns[name] = at
	}
	return good
}

// add takes a row in, unless its key stands already.
func (t *table) add(r row) {
	key := r.key()
	if first, twice := t.byKey[key]; twice {
		r.wrong(t.key[0], "%s stands twice, first in line %d.", strings.ReplaceAll(key, keySeparator, " "), first.line)
		return
	}
	t.byKey[key] = r
	t.rows = append(t.rows, r)
}

// keySeparator stands between the parts of a key; no label can carry it.
const keySeparator = "\x1f"

func keyOf(parts ...string) string { return strings.Join(parts, keySeparator) }

func (r row) key() string {
	var parts []string
	for _, c := range r.t.key {
		parts = append(parts, r.get(c))
	}
	return keyOf(parts...)
}

// find is the row with a key.
func (t *table) find(parts ...string) (row, bool) {
	r, ok := t.byKey[keyOf(parts...)]
	return r, ok
}

// of lists the rows in which a column has a value.
func (t *table) of(column, value string) []row {
	var found []row
	for _, r := range t.rows {
		if r.get(column) == value {
			found = append(found, r)
		}
	}
	return found
}

// wrong notes a fault in one field of the row.
func (r row) wrong(column, format string, args ...any) {
	r.fault(r.t.name, r.line, column, format, args...)
}

func (f *folder) fault(file string, line int, column, format string, args ...any) {
	f.faults = append(f.faults, &Fault{File: file, Line: line, Column: column, Why: fmt.Sprintf(format, args...), Err: shop.ErrInvalid})
}
