// Package shop is the language of the toolroom: its nouns, the events that
// happen to them, the gates that stop a mistake, and the sentences in which
// the answer is no. It knows no SQL, no clock and no page.
package shop

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// The kinds of no. Code asks for the kind; a person reads the sentence.
var (
	ErrNotFound  = errors.New("not found")
	ErrConflict  = errors.New("conflict")
	ErrStale     = errors.New("changed meanwhile")
	ErrRefused   = errors.New("refused by a gate")
	ErrAsks      = errors.New("a gate asks for a reason")
	ErrInvalid   = errors.New("not understood")
	ErrForbidden = errors.New("not this person's work")
	ErrBusy      = errors.New("too many at once")
	ErrTooLarge  = errors.New("too large")
)

// A Refusal is a no that a person reads. Why is a whole sentence.
type Refusal struct {
	Kind error // ErrNotFound, ErrConflict, ErrStale, ErrRefused, ErrAsks, ErrForbidden, ErrBusy or ErrTooLarge
	Why  string

	Objections []Objection // the gates that said no, for ErrRefused and ErrAsks
	Meanwhile  []Change    // what others changed, for ErrStale
}

func (r *Refusal) Error() string { return r.Why }
func (r *Refusal) Unwrap() error { return r.Kind }

// NotFound says that a thing which somebody named is not in the book.
func NotFound(kind, code string) error {
	return &Refusal{Kind: ErrNotFound, Why: fmt.Sprintf("There is no %s %s in this book.", kind, code)}
}

// Conflict says that an act does not fit what is already recorded.
func Conflict(format string, args ...any) error {
	return &Refusal{Kind: ErrConflict, Why: fmt.Sprintf(format, args...)}
}

// Invalid is the answer to malformed or incomplete input: a sentence for each
// field that was not understood. Nothing is stored.
type Invalid struct {
	Fields map[string]string // field name to sentence
}

func (i *Invalid) Error() string {
	var said []string
	for _, field := range slices.Sorted(maps.Keys(i.Fields)) {
		said = append(said, i.Fields[field])
	}
	return strings.Join(said, " ")
}

// Unwrap makes errors.Is(err, ErrInvalid) true.
func (i *Invalid) Unwrap() error { return ErrInvalid }

// Wrong names one field that was not understood.
func Wrong(field, format string, args ...any) error {
	return &Invalid{Fields: map[string]string{field: fmt.Sprintf(format, args...)}}
}

// Fields collects sentences about fields while an event is checked.
// The first sentence about a field stays.
type Fields map[string]string

// Say notes a sentence about a field.
func (f Fields) Say(field, format string, args ...any) {
	if _, said := f[field]; !said {
		f[field] = fmt.Sprintf(format, args...)
	}
}

// Need says that a text field must be filled in.
func (f Fields) Need(field, value, what string) {
	if strings.TrimSpace(value) == "" {
		f.Say(field, "%s is missing.", what)
	}
}

// Take adds the fields of an Invalid and hands back any other error.
func (f Fields) Take(err error) error {
	if no, ok := errors.AsType[*Invalid](err); ok {
		for field, why := range no.Fields {
			f.Say(field, "%s", why)
		}
		return nil
	}
	return err
}

// Err is nil when nothing was wrong, else an *Invalid.
func (f Fields) Err() error {
	if len(f) == 0 {
		return nil
	}
	return &Invalid{Fields: f}
}
