package server

import (
	"encoding/csv"
	"strings"
	"testing"
)

// Text that a spreadsheet would run as a formula stands in quotes behind one
// apostrophe, and taking that away gives the text back; numbers stay numbers.
func TestCSV(t *testing.T) {
	notes := []string{"=1+1", "+1+1", "-2+3", "@SUM(A1)", "\t=1+1", "\r=1+1", `=HYPERLINK("http://evil.example","open")`, "＝1+1", `plain, with "quotes"`, "-0.012", "+0.5 mm removed", "- see sketch", "'quoted on purpose", "00471", "12E05", "two\nlines", ""}
	numbers := []string{"-0.012", "0.000", "+0.5"}
	var table csvTable
	for i, note := range notes {
		table = append(table, []csvCell{text(note), number(numbers[i%len(numbers)])})
	}
	var out strings.Builder
	if err := table.write(&out); err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(strings.ReplaceAll(out.String(), "\r=", "\x00=")))
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range rows {
		cell := strings.ReplaceAll(row[0], "\x00=", "\r=")
		if strings.ContainsAny(cell[:min(1, len(cell))], "=+-@\t\r") || strings.HasPrefix(cell, "＝") {
			t.Errorf("%q begins as a formula does", cell)
		}
		back, _ := strings.CutPrefix(cell, "'")
		if back != notes[i] {
			t.Errorf("%q comes back as %q", notes[i], back)
		}
		if row[1] != numbers[i%len(numbers)] {
			t.Errorf("the number %s is written %s", numbers[i%len(numbers)], row[1])
		}
		var second, first strings.Builder
		if (csvTable{{text(back)}}).write(&second) != nil || (csvTable{{text(notes[i])}}).write(&first) != nil || second.String() != first.String() {
			t.Errorf("written again, %q is %q", first.String(), second.String())
		}
	}
	if len(rows) != len(notes) || strings.Contains(out.String(), `'-0.012,`) {
		t.Errorf("%d rows of %d:\n%s", len(rows), len(notes), out.String())
	}
}
