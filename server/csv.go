package server

import (
	"io"
	"strings"
	"unicode/utf8"
)

// A csvTable is what is written for spreadsheets, by RFC 4180: the heading
// first.
type csvTable [][]csvCell

// A csvCell is a number, or text that no spreadsheet may take for a formula.
type csvCell struct {
	value  string
	number bool
}

func text(s string) csvCell { return csvCell{value: s} }

// number is a figure as the book has it, with its sign and decimal point.
func number(s string) csvCell { return csvCell{value: s, number: true} }

// write writes the table. Text stands in quotes; text that a spreadsheet would
// run as a formula, and text that begins with the mark itself, gets an
// apostrophe in front, so that taking one away gives the text back.
func (t csvTable) write(to io.Writer) error {
	var b strings.Builder
	for _, row := range t {
		for i, c := range row {
			if i > 0 {
				b.WriteByte(',')
			}
			if c.number {
				b.WriteString(c.value)
				continue
			}
			b.WriteByte('"')
			if first, _ := utf8.DecodeRuneInString(c.value); c.value != "" && strings.ContainsRune("=+-@\t\r\n'|%＝＋－＠", first) {
				b.WriteByte('\'')
			}
			b.WriteString(strings.ReplaceAll(c.value, `"`, `""`))
			b.WriteByte('"')
		}
		b.WriteString("\r\n")
	}
	_, err := io.WriteString(to, b.String())
	return err
}
