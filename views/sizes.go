package views

import (
	"fmt"
	"math"
	"slices"

	"sinterbook/store/shop"
)

// mmPerInch is exact by definition.
const mmPerInch = 25.4

// A Size is one reading of one characteristic, or a characteristic that has
// none yet.
type Size struct {
	shop.Characteristic
	Result  shop.Result // Seq 0 before there is a reading
	Drawing string      // unit of the drawing
	Reason  string      // why the reading was replaced, "" while it stands
	First   bool        // first line of its characteristic
}

// SizesOf lists the readings of an insert by characteristic, in the drawing's
// order, those that were replaced too.
func SizesOf(d shop.Design, results []shop.Result, reasons map[int64]string) []Size {
	var sizes []Size
	for _, c := range d.Characteristics {
		line := Size{Characteristic: c, Drawing: d.DrawingUnit, First: true}
		for _, r := range results {
			if r.Characteristic != c.Number {
				continue
			}
			line.Result, line.Reason = r, reasons[r.CorrectedBy]
			sizes = append(sizes, line)
			line.First = false
		}
		if line.First {
			sizes = append(sizes, line)
		}
	}
	return sizes
}

// Lengths reports whether the characteristic is a length.
func (s Size) Lengths() bool { return s.Kind == shop.Length }

// Read reports whether there is a reading.
func (s Size) Read() bool { return s.Result.Value.Taken() }

// Struck reports whether another reading took this one's place.
func (s Size) Struck() bool { return s.Result.CorrectedBy != 0 }

// shownIn is the unit in which the line is shown: the drawing's for a length,
// else the one in which it was typed.
func (s Size) shownIn() string {
	if s.Lengths() {
		return s.Drawing
	}
	if s.Read() {
		return s.Result.Value.Unit
	}
	return s.Lower.Unit
}

// ShownUnit is the unit of the line in words.
func (s Size) ShownUnit() string {
	if unit := s.shownIn(); unit != "" {
		return shop.UnitWord(unit)
	}
	return shop.UnitWord(s.Upper.Unit)
}

// in is a length in the drawing's unit: as typed where it was typed in it.
func (s Size) in(r shop.Reading) string {
	switch {
	case !r.Taken():
		return ""
	case r.Unit == s.shownIn() || !s.Lengths():
		return r.Text
	case s.Drawing == "in":
		return Number(r.Value()/mmPerInch, r.Decimals()+2)
	default:
		return Number(r.Value(), max(0, r.Decimals()-1))
	}
}

// Limit is the characteristic's limits in the drawing's unit.
func (s Size) Limit() string {
	switch lower, upper := s.in(s.Lower), s.in(s.Upper); {
	case lower != "" && upper != "":
		return lower + " – " + upper
	case lower != "":
		return lower + " or more"
	case upper != "":
		return upper + " or less"
	}
	return "no limits"
}

// Value is the reading in the drawing's unit.
func (s Size) Value() string { return s.in(s.Result.Value) }

// AsTyped is the reading as it was typed, where that was in another unit than
// the drawing's; else "".
func (s Size) AsTyped() string {
	if s.Read() && s.Lengths() && s.Result.Value.Unit != s.Drawing {
		return s.Result.Value.String()
	}
	return ""
}

// Off is how far a length lies off its nominal, in whole µm.
func (s Size) Off() string {
	if !s.measures() {
		return ""
	}
	return Micron(s.Result.Value.Value() - s.Nominal.Value())
}

// OffThou is Off in thousandths of an inch.
func (s Size) OffThou() string {
	if !s.measures() {
		return ""
	}
	return Number((s.Result.Value.Value()-s.Nominal.Value())/mmPerInch*1000, 2)
}

// PerMM is the length error in µm per mm, which is also thou per inch.
func (s Size) PerMM() string {
	if !s.measures() || s.Nominal.Value() == 0 {
		return ""
	}
	return Number(1000*(s.Result.Value.Value()-s.Nominal.Value())/s.Nominal.Value(), 3)
}

func (s Size) measures() bool { return s.Read() && s.Lengths() && s.Nominal.Taken() }

// Bar shows where the reading lies between its limits, in the unit shown.
func (s Size) Bar() LimitBar {
	scale, decimals := 1.0, s.Result.Value.Decimals()
	if s.Lengths() && s.Drawing == "in" {
		scale = 1 / mmPerInch
		if s.Result.Value.Unit != "in" {
			decimals += 2
		}
	}
	b := LimitBar{Lower: math.Inf(-1), Upper: math.Inf(1), Value: s.Result.Value.Value() * scale, Decimals: decimals, Unit: s.ShownUnit()}
	if s.Lower.Taken() {
		b.Lower = s.Lower.Value() * scale
	}
	if s.Upper.Taken() {
		b.Upper = s.Upper.Value() * scale
	}
	if s.Result.Verdict == "pass" {
		// Rounding of the conversion must not draw what passed outside.
		b.Value = min(max(b.Value, b.Lower), b.Upper)
	}
	return b
}

// Judged is the verdict as recorded, in a word.
func (s Size) Judged() (word, mark string) {
	switch {
	case !s.Read():
		return "not read yet", "todo"
	case s.Struck():
		return "replaced", "todo"
	case s.Result.Verdict == "pass":
		return "pass", "done"
	case s.Result.Verdict == "fail":
		return "fail", "stopped"
	}
	return "no limits", "open"
}

func (s Size) verdict() string { word, _ := s.Judged(); return word }
func (s Size) mark() string    { _, mark := s.Judged(); return mark }

// Label names the characteristic.
func (s Size) Label() string {
	label := s.Number + " " + s.Name
	if s.Key {
		label += ", key"
	}
	return label
}

// Purpose is why it was measured, where it was not the inspection itself.
func (s Size) Purpose() string {
	if s.Result.Purpose == "inspection" {
		return ""
	}
	return s.Result.Purpose
}

// Warm is the part's temperature at the reading.
func (s Size) Warm() string { return taken("part at ", s.Result.PartTemp) }

// replacedWords say by which entry and why a record was replaced.
func replacedWords(seq int64, reason string) string {
	return fmt.Sprintf("replaced by entry %d: %s", seq, full(reason))
}

// sizesTitle heads the lengths of an insert.
func sizesTitle(all []Size) string {
	if slices.ContainsFunc(all, Size.Read) {
		return "Sizes as sintered"
	}
	return "Sizes, to be read after the furnace"
}

// lengthsOf and othersOf part the lengths from the rest.
func lengthsOf(all []Size) []Size { return sizesWhere(all, Size.Lengths) }

func othersOf(all []Size) []Size {
	return sizesWhere(all, func(s Size) bool { return !s.Lengths() })
}

func sizesWhere(all []Size, want func(Size) bool) []Size {
	var some []Size
	for _, s := range all {
		if want(s) {
			some = append(some, s)
		}
	}
	return some
}
