package views

import (
	"slices"
	"strings"

	"sinterbook/store/shop"
)

// Machines lists the printers.
func Machines(all []shop.Machine, held map[string]string) Listing {
	l := Listing{Name: "Machines", Empty: "No machine was added yet. A release names the machine that it is for.", Columns: columnsOf("Machine", "State", "#Nozzle bore", "Controller", "Scan code", "Records")}
	for _, m := range all {
		l.Rows = append(l.Rows, Row{Stopped: held[m.Machine] != "", Cells: []Item{thingLink("machine", m.Machine), stateItem(heldWord(held[m.Machine]), heldMark(held[m.Machine])), words(m.Nozzle.String()), code(m.Controller),
			code(m.Code.Grouped()), historyItem("machine", m.Machine)}})
	}
	return l
}

// Furnaces lists the furnaces with their positions by zone.
func Furnaces(all []shop.Furnace, held map[string]string) Listing {
	l := Listing{Name: "Furnaces", Empty: "No furnace was added yet. A load is built on the positions of one.", Columns: columnsOf("Furnace", "State", "For inserts", "For coupons", "Scan code", "Records")}
	for _, f := range all {
		var inserts, coupons []string
		for _, z := range ZonesOf(f) {
			inserts = append(inserts, strings.TrimSpace(z.Name+" "+z.Names))
			if z.Spare != "" {
				coupons = append(coupons, z.Name+" "+z.Spare)
			}
		}
		l.Rows = append(l.Rows, Row{Stopped: held[f.Furnace] != "", Cells: []Item{thingLink("furnace", f.Furnace), stateItem(heldWord(held[f.Furnace]), heldMark(held[f.Furnace])), code(strings.Join(inserts, ", ")), code(strings.Join(coupons, ", ")),
			code(f.Code.Grouped()), historyItem("furnace", f.Furnace)}})
	}
	return l
}

// Gauges lists the gauge register.
func Gauges(all []shop.Gauge, held map[string]string) Listing {
	l := Listing{Name: "Gauges", Empty: "No gauge was entered yet.", Columns: columnsOf("Gauge", "State", "Kind", "Range", "#Resolution", "#Permissible error, ±", "#Uncertainty, ±", "Scan code", "Records")}
	for _, g := range all {
		l.Rows = append(l.Rows, Row{Stopped: held[g.Gauge] != "", Cells: []Item{thingLink("gauge", g.Gauge), stateItem(heldWord(held[g.Gauge]), heldMark(held[g.Gauge])), words(g.Type), code(g.Range), words(shown(g.Resolution)), words(shown(g.Error)), words(shown(g.Uncertain)),
			code(g.Code.Grouped()), historyItem("gauge", g.Gauge)}})
	}
	return l
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
