package views

import (
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

// Measured is the characteristic that the form is about; ok is false when the
// drawing has none of that number.
func (p Work) Measured() (c shop.Characteristic, ok bool) {
	if p.Form == nil {
		return shop.Characteristic{}, false
	}
	at := slices.IndexFunc(p.Design.Characteristics, func(c shop.Characteristic) bool { return c.Number == p.Form.Value("characteristic") })
	if at < 0 {
		return shop.Characteristic{}, false
	}
	return p.Design.Characteristics[at], true
}

// Picks reports whether a characteristic must be picked before anything is
// measured again.
func (p Work) Picks() bool {
	_, ok := p.Measured()
	return p.Act == ActResult && !ok
}

// Unread is the first characteristic without a reading that stands and counts,
// "" when all have one.
func (p Work) Unread() string {
	for _, c := range p.Design.Characteristics {
		if !slices.ContainsFunc(p.Sizes, func(s Size) bool { return s.Number == c.Number && s.Read() && !s.Struck() && p.counts(s) }) {
			return c.Number
		}
	}
	return ""
}

// counts reports whether a reading was taken since the insert went back; one
// that only corrects what was read before it was not.
func (p Work) counts(s Size) bool {
	from := p.Insert.ReadFrom
	return s.Result.Seq > from && !slices.ContainsFunc(p.Sizes, func(old Size) bool {
		return old.Result.CorrectedBy == s.Result.Seq && old.Result.Seq <= from && old.Read()
	})
}

// asked says what is to be read and between which limits.
func (p Work) asked() []Fact {
	c, ok := p.Measured()
	if !ok {
		return nil
	}
	s := Size{Characteristic: c, Drawing: p.Design.DrawingUnit}
	return together([]Fact{{Name: "Characteristic", Value: s.Label()}}, fact("Nominal", shown(c.Nominal)), fact("Limits", c.Limits()), []Fact{{Name: "Measured by", Value: c.How}})
}

// unitsOf are the units in which the characteristic may be read.
func (p Work) unitsOf() []string {
	c, _ := p.Measured()
	return shop.UnitsOf(c.Kind)
}

// characteristics are those of the drawing, to choose from.
func (p Work) characteristics() []Option {
	var o []Option
	for _, c := range p.Design.Characteristics {
		o = append(o, Option{Value: c.Number, Text: Size{Characteristic: c, Drawing: p.Design.DrawingUnit}.Label()})
	}
	return o
}

// unitsOnForm are the units of all characteristics of the drawing: on a form
// each line may be about another one.
func (p Work) unitsOnForm() []Option {
	var o []Option
	for _, c := range p.Design.Characteristics {
		for _, u := range UnitOptions(c.Kind) {
			if !slices.Contains(o, u) {
				o = append(o, u)
			}
		}
	}
	return o
}

// unitChoice asks for the unit among those in which the characteristic may be
// read.
func (p Work) unitChoice() Choice {
	c, _ := p.Measured()
	return p.Form.Unit("unit", "Unit", c.Kind, true)
}

// valueField is the reading; where there is but one unit it stands in the
// label.
func (p Work) valueField() Field {
	f := p.Form.Figure("value", "Reading", "", true)
	if units := p.unitsOf(); len(units) == 1 {
		f.Unit = shop.UnitWord(units[0])
	}
	return f
}

// GaugeOptions are the gauges of the register.
func (p Work) GaugeOptions() []Option {
	return gaugeOptions(p.Gauges)
}

// ResultWords is a reading in words, as a correction names it.
func ResultWords(r shop.Result) string {
	return fmt.Sprintf("entry %d, %s reads %s by %s", r.Seq, r.Characteristic, r.Value, r.Gauge)
}

// Auditing reports whether the visitor only reads.
func (p Work) Auditing() bool { return p.Role == string(shop.Auditor) }

func (p Work) measure(characteristic string) string {
	return ActOf(p.Insert.Insert, ActResult) + "&characteristic=" + characteristic
}
