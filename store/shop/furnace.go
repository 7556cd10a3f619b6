package shop

import "slices"

// A Furnace sinters loads; its positions are the places on its setters.
type Furnace struct {
	ID        int64
	Furnace   string
	Positions []Position
	Code      ScanCode
}

// A Position is one place in a furnace.
type Position struct {
	Position string `json:"position"` // as M1
	Zone     string `json:"zone"`     // top, middle or bottom
	Use      string `json:"use"`      // insert or coupon
}

// Has reports whether the furnace has a place for inserts of that name.
func (f Furnace) Has(position string) bool {
	return slices.ContainsFunc(f.Positions, func(p Position) bool { return p.Position == position && p.Use == "insert" })
}

// FurnaceAdded puts a furnace on the floor.
type FurnaceAdded struct {
	Furnace   string     `json:"furnace"`
	Positions []Position `json:"positions"`
	Code      ScanCode   `json:"code"`
}

func (FurnaceAdded) Kind() string         { return "furnace-added" }
func (e FurnaceAdded) Subjects() []string { return []string{Subject("furnace", e.Furnace)} }

// Valid refuses a furnace without places, or with two of one name.
func (e FurnaceAdded) Valid() error {
	f := Fields{}
	f.Number("furnace", e.Furnace, "The furnace's number")
	if len(e.Positions) == 0 {
		f.Say("positions", "A position is missing: a furnace without one takes no load.")
	}
	var seen []string
	for _, p := range e.Positions {
		f.Number("positions", p.Position, "The name of a position")
		if p.Use != "insert" && p.Use != "coupon" {
			f.Say("positions", "Position %s is for %q: it must be for an insert or a coupon.", p.Position, p.Use)
		}
		if slices.Contains(seen, p.Position) {
			f.Say("positions", "Position %s stands twice.", p.Position)
		}
		seen = append(seen, p.Position)
	}
	needCode(f, e.Code)
	return f.Err()
}
