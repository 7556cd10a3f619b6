package shop

import "slices"

// Markings are the ways in which a sintered part is marked.
var Markings = []string{"laser", "dot peen", "engraved"}

// InsertMarked records that a sintered part bears its own code: from here on
// the mark is its identity, as the carrier was while it was green.
type InsertMarked struct {
	Insert string   `json:"insert"`
	How    string   `json:"how"`
	Read   ScanCode `json:"code"` // the code as it was read back from the part
}

func (InsertMarked) Kind() string         { return "insert-marked" }
func (e InsertMarked) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses a mark of no kind, or one that was not read back.
func (e InsertMarked) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	if !slices.Contains(Markings, e.How) {
		f.Say("how", "It is marked by %q: it is one of %s.", e.How, Listed(Markings))
	}
	f.Need("code", string(e.Read), "The code, read back from the part,")
	return f.Err()
}
