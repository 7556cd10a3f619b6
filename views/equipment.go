package views

import (
	"slices"
	"strings"

	"sinterbook/store/shop"
)

// Machines is the list of printers.
type Machines struct {
	Frame
	Machines []shop.Machine
	Held     map[string]string // machine to the hold on it
	New      bool              // this person may add one
}

// Furnaces is the list of furnaces.
type Furnaces struct {
	Frame
	Furnaces []shop.Furnace
	Held     map[string]string
	New      bool
}

// Gauges is the gauge register.
type Gauges struct {
	Frame
	Gauges []shop.Gauge
	Held   map[string]string
	New    bool
}

// A Zone is a part of a furnace with its positions.
type Zone struct {
	Name  string
	Names string // positions for inserts
	Spare string // positions for coupons
}

// ZonesOf sorts a furnace's positions by zone, as they were entered.
func ZonesOf(f shop.Furnace) []Zone {
	var zones []Zone
	for _, p := range f.Positions {
		i := slices.IndexFunc(zones, func(z Zone) bool { return z.Name == p.Zone })
		if i < 0 {
			zones, i = append(zones, Zone{Name: p.Zone}), len(zones)
		}
		into := &zones[i].Names
		if p.Use == "coupon" {
			into = &zones[i].Spare
		}
		*into = strings.TrimSpace(*into + " " + p.Position)
	}
	return zones
}

// positionCells are the cells of a line in the table of positions.
func positionCells(f Form, n int) []Line {
	return []Line{
		f.cell("positions", n, "", "Position").figure(),
		f.cell("positions", n, "zone", "Zone").of(Options("top", "middle", "bottom")),
		f.cell("positions", n, "use", "For").of([]Option{{"insert", "an insert"}, {"coupon", "a coupon"}}),
	}
}

// lengthUnitOfGauge is asked for only where one of its figures is given.
func (f Form) lengthUnitOfGauge() Choice {
	c := f.Pick("length_unit", "Unit of both", lengthUnits(), false)
	c.Empty = "none"
	return c
}
