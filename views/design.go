package views

import (
	"fmt"
	"net/url"
	"slices"
	"time"

	"sinterbook/store/shop"
)

// Designs is the list of parts.
type Designs struct {
	Frame
	Designs []shop.Design // every revision
	New     bool          // this person may release one
}

// Design is the page about one revision of a part.
type Design struct {
	Frame
	Design     shop.Design
	Revisions  []string // all of the part, oldest first
	Releases   []shop.Release
	At         time.Time
	New        bool // this person may put a revision in force
	NewRelease bool // this person may draft a release
}

// CharacteristicColumns are the columns of the table of characteristics after
// its first, the number.
var CharacteristicColumns = []string{"name", "axis", "quantity", "nominal", "lower", "upper", "unit", "key", "how"}

// DesignHref is the page of a design; revision "" is the one in force.
func DesignHref(design, revision string) string {
	href := "/designs/" + pathOf(design)
	if revision != "" {
		href += "?revision=" + url.QueryEscape(revision)
	}
	return href
}

// InForce are the parts with the revision in force.
func (p Designs) InForce() []shop.Design {
	return slices.DeleteFunc(slices.Clone(p.Designs), func(d shop.Design) bool { return d.Superseded })
}

// Before is how many revisions of a part came before the one in force.
func (p Designs) Before(design string) int {
	n := -1
	for _, d := range p.Designs {
		if d.Design == design {
			n++
		}
	}
	return max(n, 0)
}

// sizeOf is the nominal size of a part in the drawing's unit.
func sizeOf(d shop.Design) string {
	return WithUnit(d.X.Text+" × "+d.Y.Text+" × "+d.Z.Text, shop.UnitWord(d.DrawingUnit))
}

// Words say what the part is.
func (p Design) Words() string {
	return fmt.Sprintf("%s, revision %s", p.Design.Name, p.Design.Revision)
}

// Facts are what is known of the revision.
func (p Design) Facts() []Fact {
	d := p.Design
	unit := shop.UnitWord(d.DrawingUnit)
	return []Fact{
		{Name: "Material", Value: d.Material}, {Name: "Unit of the drawing", Value: unit, Figure: true},
		{Name: "X", Value: d.X.Text, Unit: unit, Figure: true}, {Name: "Y", Value: d.Y.Text, Unit: unit, Figure: true}, {Name: "Z", Value: d.Z.Text, Unit: unit, Figure: true},
		{Name: "Volume", Value: orNotKnown(d.Volume), Figure: d.Volume.Taken()}, {Name: "Layer height", Value: d.Layer.String(), Figure: true}, {Name: "Layers between shaping passes", Value: Whole(d.LayersBetweenPasses), Figure: true},
		{Name: "Build orientation", Value: d.Orientation},
	}
}

// Others are the other revisions of the part, newest first.
func (p Design) Others() []string {
	others := slices.DeleteFunc(slices.Clone(p.Revisions), func(r string) bool { return r == p.Design.Revision })
	slices.Reverse(others)
	return others
}

func (p Design) word() string {
	if p.Design.Superseded {
		return "superseded"
	}
	return "in force"
}

func (p Design) mark() string {
	if p.Design.Superseded {
		return "todo"
	}
	return "done"
}

// unitOfLimits is the unit of a characteristic's figures as people write it.
func unitOfLimits(c shop.Characteristic) string {
	for _, r := range []shop.Reading{c.Nominal, c.Lower, c.Upper} {
		if r.Taken() {
			return shop.UnitWord(r.Unit)
		}
	}
	return ""
}

func keyWord(key bool) string {
	if key {
		return "key"
	}
	return ""
}

func quantityOptions() []Option {
	var o []Option
	for _, q := range shop.Quantities {
		o = append(o, Options(string(q))...)
	}
	return o
}

func allUnits() []Option {
	var o []Option
	for _, q := range shop.Quantities {
		o = append(o, UnitOptions(q)...)
	}
	return o
}

// characteristicCells are the cells of a line in the table of characteristics.
func characteristicCells(f Form, n int) []Line {
	cell := func(column, label string) Line { return f.cell("characteristics", n, column, label) }
	return []Line{
		cell("", "Number").figure(), cell("name", "Name").wide(), cell("axis", "Axis").of(Options("X", "Y", "Z")), cell("quantity", "Measures").of(quantityOptions()),
		cell("nominal", "Nominal").figure(), cell("lower", "Lower limit").figure(), cell("upper", "Upper limit").figure(), cell("unit", "Unit").of(allUnits()),
		cell("key", "Key characteristic").of([]Option{{"yes", "key"}}), cell("how", "How it is measured").wide(),
	}
}
