// Package reference reads the check values of testdata/reference for the tests
// of the packages beside it. They were computed by others; the README there
// says by whom, and how closely a value is to be met.
package reference

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// folder as seen from a package below store/calc.
const folder = "../../../testdata/reference"

// A Topic is one folder of check values.
type Topic struct {
	t      testing.TB
	name   string
	checks map[string]*check
}

type check struct {
	ID    string
	Value json.RawMessage
	Tol   struct{ Abs, Rel float64 }
	used  bool
}

// Open reads the values of a topic.
func Open(t testing.TB, name string) *Topic {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, name, "expected.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Checks []*check }
	if err := json.Unmarshal(text, &file); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	topic := &Topic{t, name, map[string]*check{}}
	for _, c := range file.Checks {
		topic.checks[c.ID] = c
	}
	return topic
}

// values of a check, be it one number or a list.
func (o *Topic) values(id string) (*check, []float64) {
	o.t.Helper()
	c, ok := o.checks[id]
	if !ok {
		o.t.Fatalf("%s holds no check %q", o.name, id)
	}
	var one float64
	var list []float64
	if json.Unmarshal(c.Value, &one) == nil {
		list = []float64{one}
	} else if err := json.Unmarshal(c.Value, &list); err != nil {
		o.t.Fatalf("%s: %v", id, err)
	}
	return c, list
}

// Equal compares numbers with the check of that id, as closely as it says.
func (o *Topic) Equal(id string, got ...float64) {
	o.t.Helper()
	c, _ := o.values(id)
	o.within(id, c.Tol.Abs, c.Tol.Rel, got)
}

// Near compares more closely or less than the file says.
func (o *Topic) Near(id string, rel float64, got ...float64) {
	o.t.Helper()
	o.within(id, 0, rel, got)
}

func (o *Topic) within(id string, abs, rel float64, got []float64) {
	o.t.Helper()
	c, want := o.values(id)
	c.used = true
	if len(got) != len(want) {
		o.t.Fatalf("%s: %d numbers, want %d", id, len(got), len(want))
	}
	for i := range want {
		if !(math.Abs(got[i]-want[i]) <= abs+rel*math.Abs(want[i])) {
			o.t.Errorf("%s[%d] = %.15g, want %.15g", id, i, got[i], want[i])
		}
	}
}

// Rest fails for each check that was neither compared nor left out with a
// reason, and for a reason that has nothing to say.
func (o *Topic) Rest(leftOut map[string]string) {
	o.t.Helper()
	for id, c := range o.checks {
		if _, out := leftOut[id]; c.used == out {
			o.t.Errorf("%s: compared %v, left out %v", id, c.used, out)
		}
	}
	for id := range leftOut {
		if o.checks[id] == nil {
			o.t.Errorf("%s is left out and is not there", id)
		}
	}
}

// Rows reads a CSV file of the topic, a map of column to text for each row.
func (o *Topic) Rows(name string) []map[string]string {
	o.t.Helper()
	file, err := os.Open(filepath.Join(folder, o.name, name))
	if err != nil {
		o.t.Fatal(err)
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil || len(lines) < 2 {
		o.t.Fatalf("%s: %d lines, %v", name, len(lines), err)
	}
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, column := range lines[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// Number reads a number of a row.
func Number(t testing.TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
