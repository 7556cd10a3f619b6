package views

import (
	"maps"
	"net/url"
	"slices"
)

// JobPage is the page on which the job header of a print is chosen.
type JobPage struct {
	New
	Insert string
	Keep   url.Values // what was scanned and typed so far
}

// JobOf is the address at which a job header is chosen, with what was scanned
// and typed so far.
func JobOf(insert string, keep url.Values) string {
	to := StationOf(insert) + "/job"
	if len(keep) == 0 {
		return to
	}
	return to + "?" + keep.Encode()
}

// Back is the address of the print, with what was scanned and typed so far.
func (p JobPage) Back() string {
	q := maps.Clone(p.Keep)
	if q == nil {
		q = url.Values{}
	}
	q.Set("act", ActPrintStart)
	return StationOf(p.Insert) + "?" + q.Encode()
}

// Kept lists the fields that go along, in a steady order.
func (p JobPage) Kept() []string { return slices.Sorted(maps.Keys(p.Keep)) }

// FileField chooses the file.
func (p JobPage) FileField() FilesField {
	return FilesField{Form: p.Form.Name, Name: "job", Label: "Job header", Hint: "The small text file that the office makes with the program.", Wrong: p.Form.Wrong["job"], Required: true, Takes: ".txt,.job,.json,text/plain,application/json"}
}

// Names are what a job header says.
func (p JobPage) Names() []Fact {
	return []Fact{{Name: "program", Value: "name of the program"}, {Name: "program_sha256", Value: "its SHA-256, 64 digits"}, {Name: "kx, ky, kz", Value: "oversize given to the machine"},
		{Name: "layers", Value: "layers planned"}, {Name: "unit", Value: "mm or in, of its lengths"}}
}
