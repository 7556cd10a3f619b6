package shop

import "slices"

// A Furnace sinters loads; its positions are the places on its setters.
type Furnace struct {
	ID        int64
	Furnace   string
	Positions []Position
	Limits    FurnaceLimits
	Tests     []string // safety tests that it needs on record before each run
	Code      ScanCode

	Sensors []Sensor      // in place, each with its last test; only where they were asked for
	Survey  Survey        // the last one; only where it was asked for
	Tested  []FurnaceTest // safety tests before a load, oldest first; only where they were asked for
}

// FurnaceLimits are what a furnace is tested by, not taken or 0 where the
// shop has not said.
type FurnaceLimits struct {
	SAT     Reading `json:"sat" quantity:"temperature difference"` // plus or minus
	TUS     Reading `json:"tus" quantity:"temperature difference"` // plus or minus
	SATDays int     `json:"sat_days"`                              // from one test to the next
	TUSDays int     `json:"tus_days"`
}

// ControlledZones are the zones of its positions, from top to bottom as they
// were entered: each has a control sensor.
func (f Furnace) ControlledZones() []string {
	var zones []string
	for _, p := range f.Positions {
		if !slices.Contains(zones, p.Zone) {
			zones = append(zones, p.Zone)
		}
	}
	return zones
}

// Places names each position with its furnace, as "F2/T1", as its label does.
func (f Furnace) Places() []string {
	var places []string
	for _, p := range f.Positions {
		places = append(places, f.Furnace+"/"+p.Position)
	}
	return places
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
	Furnace   string        `json:"furnace"`
	Positions []Position    `json:"positions"`
	Limits    FurnaceLimits `json:"limits"`
	Code      ScanCode      `json:"code"`
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
	f.notNegative("sat", e.Limits.SAT, "The limit of its SAT")
	f.notNegative("tus", e.Limits.TUS, "The limit of its TUS")
	if e.Limits.SATDays < 0 || e.Limits.SATDays > 800 {
		f.sayCount("sat_days", "The days from one SAT to the next", e.Limits.SATDays, 800)
	}
	if e.Limits.TUSDays < 0 || e.Limits.TUSDays > 800 {
		f.sayCount("tus_days", "The days from one TUS to the next", e.Limits.TUSDays, 800)
	}
	needCode(f, e.Code)
	return f.Err()
}

// HasZone says about a field that the furnace has no such zone.
func (f Furnace) HasZone(field, zone string) error {
	zones := f.ControlledZones()
	if slices.Contains(zones, zone) {
		return nil
	}
	return Wrong(field, "Furnace %s has no zone %s: its zones are %s.", f.Furnace, zone, Listed(zones))
}

// HasPlace reports whether the furnace has a place of that name, for whatever
// lies there.
func (f Furnace) HasPlace(position string) bool {
	return slices.ContainsFunc(f.Positions, func(p Position) bool { return p.Position == position })
}
