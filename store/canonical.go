package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/gowebpki/jcs"
)

// canonical is the RFC 8785 form of a value.
func canonical(v any) ([]byte, error) {
	raw, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	o := ordering{in: raw, out: make([]byte, 0, len(raw))}
	if o.value() && o.at == len(raw) {
		return o.out, nil
	}
	return jcs.Transform(raw)
}

// An ordering puts the members of JSON into the order of RFC 8785, where that is
// all there is to do: what json.Marshal wrote has no space in it, and where no
// text has an escape and each number is whole, the rest is in its form already.
// Most events are so, and it takes a fifth of the time. What is not is left to
// jcs: then value is false.
type ordering struct {
	in  []byte
	at  int
	out []byte
}

// value takes one value.
func (o *ordering) value() bool {
	if o.at >= len(o.in) {
		return false
	}
	switch o.in[o.at] {
	case '{':
		return o.object()
	case '[':
		return o.array()
	case '"':
		return o.word()
	}
	begin := o.at
	for o.at < len(o.in) && bytes.IndexByte([]byte(",]}"), o.in[o.at]) < 0 {
		o.at++
	}
	token := o.in[begin:o.at]
	o.out = append(o.out, token...)
	switch string(token) {
	case "true", "false", "null":
		return true
	}
	_, err := strconv.ParseUint(string(token), 10, 64)
	return err == nil && len(token) < 16 // the whole numbers that a float64 has
}

// word takes a text without an escape.
func (o *ordering) word() bool {
	if o.at >= len(o.in) || o.in[o.at] != '"' {
		return false
	}
	n := bytes.IndexByte(o.in[o.at+1:], '"')
	if n < 0 || bytes.IndexByte(o.in[o.at+1:o.at+1+n], '\\') >= 0 {
		return false
	}
	o.out = append(o.out, o.in[o.at:o.at+n+2]...)
	o.at += n + 2
	return true
}

// sign takes one of some bytes that must come next, and says which.
func (o *ordering) sign(of string) (byte, bool) {
	if o.at >= len(o.in) || !strings.Contains(of, string(o.in[o.at:o.at+1])) {
		return 0, false
	}
	o.at++
	return o.in[o.at-1], true
}

func (o *ordering) array() bool {
	o.at++
	o.out = append(o.out, '[')
	if o.at < len(o.in) && o.in[o.at] == ']' {
		o.at++
		o.out = append(o.out, ']')
		return true
	}
	for {
		if !o.value() {
			return false
		}
		c, ok := o.sign(",]")
		if !ok {
			return false
		}
		o.out = append(o.out, c)
		if c == ']' {
			return true
		}
	}
}

// object writes the members as they come, and then anew in their order.
func (o *ordering) object() bool {
	type member struct {
		name     []byte
		from, to int // in what was written
	}
	var few [24]member
	all, begin := few[:0], len(o.out)
	o.at++
	for o.at < len(o.in) && o.in[o.at] != '}' {
		if len(all) > 0 {
			if _, ok := o.sign(","); !ok {
				return false
			}
		}
		from, at := len(o.out), o.at
		if !o.word() {
			return false
		}
		name := o.in[at+1 : o.at-1]
		if _, ok := o.sign(":"); !ok || !printable(string(name)) {
			return false
		}
		o.out = append(o.out, ':')
		if !o.value() {
			return false
		}
		all = append(all, member{name, from - begin, len(o.out) - begin})
	}
	if _, ok := o.sign("}"); !ok {
		return false
	}
	slices.SortFunc(all, func(a, b member) int { return bytes.Compare(a.name, b.name) })
	written := bytes.Clone(o.out[begin:])
	o.out = append(o.out[:begin], '{')
	for i, m := range all {
		if i > 0 {
			o.out = append(o.out, ',')
		}
		o.out = append(o.out, written[m.from:m.to]...)
	}
	o.out = append(o.out, '}')
	return true
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
