package store

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"github.com/gowebpki/jcs"
)

// canonical is the RFC 8785 form of a value.
func canonical(v any) ([]byte, error) {
	raw, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	return jcs.Transform(raw)
}

// text is the canonical form of an entry whose body is in that form already. It
// is what canonical makes of the entry, without taking its JSON apart again: a
// member has its place by its name, and what needs more than quotes around it
// is left to canonical.
func (p payload) text() ([]byte, error) {
	t := members{text: make([]byte, 0, 512+len(p.Body))}
	t.value("answers", p.Answers, len(p.Answers) == 0)
	t.word("at", p.At, false)
	t.raw("body", p.Body)
	t.word("by", p.By, false)
	t.number("corrects", p.Corrects, p.Corrects == 0)
	t.word("device", p.Device, false)
	t.word("entered", p.Entered, false)
	t.word("id", p.ID.String(), false)
	t.word("instruction", p.Instruction, p.Instruction == "")
	t.value("kept", p.Kept, p.Kept == nil)
	t.word("kind", p.Kind, false)
	t.word("meaning", p.Meaning, p.Meaning == "")
	t.value("missed", p.Missed, len(p.Missed) == 0)
	t.counts("n", p.N)
	t.value("paper", p.Paper, p.Paper == nil)
	t.word("reason", p.Reason, p.Reason == "")
	t.word("salt", p.Salt, false)
	t.value("scans", p.Scans, len(p.Scans) == 0)
	t.number("seq", p.Seq, false)
	t.word("station", p.Station, false)
	t.number("v", int64(p.V), false)
	t.word("zone", p.Zone, false)
	if t.err != nil {
		return nil, fmt.Errorf("writing %s: %w", p.Kind, t.err)
	}
	return append(t.text, '}'), nil
}

// members are those of an object, as far as they are written.
type members struct {
	text []byte
	err  error
}

func (t *members) name(name string) {
	before := byte(',')
	if len(t.text) == 0 {
		before = '{'
	}
	t.text = append(t.text, before, '"')
	t.text = append(append(t.text, name...), '"', ':')
}

func (t *members) raw(name string, text []byte) {
	t.name(name)
	t.text = append(t.text, text...)
}

func (t *members) word(name, word string, leftOut bool) {
	switch {
	case leftOut:
	case printable(word):
		t.name(name)
		t.text = append(append(append(t.text, '"'), word...), '"')
	default:
		t.value(name, word, false)
	}
}

func (t *members) number(name string, n int64, leftOut bool) {
	if !leftOut {
		t.name(name)
		t.text = strconv.AppendInt(t.text, n, 10)
	}
}

func (t *members) value(name string, v any, leftOut bool) {
	if leftOut || t.err != nil {
		return
	}
	text, err := canonical(v)
	t.err = err
	t.raw(name, text)
}

// counts writes numbers by name; names are sorted as bytes only where they are
// plain.
func (t *members) counts(name string, counts map[string]int64) {
	names := make([]string, 0, len(counts))
	for n := range counts {
		if !printable(n) {
			t.value(name, counts, false)
			return
		}
		names = append(names, n)
	}
	slices.Sort(names)
	within := members{}
	for _, n := range names {
		within.number(n, counts[n], false)
	}
	if len(names) == 0 {
		within.text = append(within.text, '{')
	}
	t.raw(name, append(within.text, '}'))
}

// printable reports whether a text is the same in JSON, with quotes around it.
func printable(word string) bool {
	for i := range len(word) {
		if c := word[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			return false
		}
	}
	return true
}
