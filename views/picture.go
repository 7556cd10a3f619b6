package views

import (
	"math"
	"strconv"
)

// A SetterPicture is a furnace seen from the front, a row of positions for
// each zone.
type SetterPicture struct {
	Name  string // what is shown: "Load F2-05"
	Zones []SetterZone
}

// A SetterZone is one row of positions.
type SetterZone struct {
	Name      string // top, middle or bottom
	Positions []SetterPosition
}

// A SetterPosition is one place for an insert or a witness coupon.
type SetterPosition struct {
	Code  string // T1
	Holds string // the insert's or coupon's code; "" while the place is free
	Href  string // where touching the place leads; "" nowhere
	State string // here: the next to fill; stopped: what lies there is held; coupon: kept for a witness coupon; else ""
}

// Free says that nothing lies there.
func (p SetterPosition) Free() bool { return p.Holds == "" }

// What is what the place holds, in words.
func (p SetterPosition) What() string {
	switch {
	case p.Free() && p.State == "here":
		return "free, next"
	case p.Free() && p.State == "coupon":
		return "for a coupon"
	case p.Free():
		return "free"
	case p.State == "stopped":
		return p.Holds + ", held"
	default:
		return p.Holds
	}
}

// The picture's units: a place and the space around it.
const (
	setterCell  = 116
	setterPlace = 80
	setterGap   = 8
	setterRow   = 122
	setterTop   = 24 // for the zone's name
)

// Wide is the number of places in the widest zone.
func (p SetterPicture) Wide() int {
	wide := 1
	for _, z := range p.Zones {
		wide = max(wide, len(z.Positions))
	}
	return wide
}

// Width is the picture's width in its own units.
func (p SetterPicture) Width() int { return p.Wide()*(setterCell+setterGap) + setterGap }

// Height is the picture's height in its own units.
func (p SetterPicture) Height() int { return len(p.Zones)*setterRow - setterGap }

// ViewBox is the picture's own units for the browser.
func (p SetterPicture) ViewBox() string {
	return "0 0 " + strconv.Itoa(p.Width()) + " " + strconv.Itoa(p.Height())
}

// place moves to the i-th place of the z-th zone, which is centred on its
// plate.
func (p SetterPicture) place(z, i int) string {
	free := p.Wide() - len(p.Zones[z].Positions)
	x := setterGap + i*(setterCell+setterGap) + free*(setterCell+setterGap)/2
	return translate(x, setterTop+z*setterRow)
}

func translate(x, y int) string {
	return "translate(" + strconv.Itoa(x) + " " + strconv.Itoa(y) + ")"
}

// A LimitBar shows where a value lies between its limits. A limit that does
// not exist is infinite.
type LimitBar struct {
	Lower    float64
	Upper    float64
	Value    float64
	Decimals int
	Unit     string
}

// The bar's units: its limits stand at limitLow and limitHigh, with room
// outside for what is out of them.
const (
	limitLow  = 26.0
	limitHigh = 124.0
	limitEnd  = 144.0
	limitOff  = 6.0
)

// Inside says that the value is within its limits, which belong to it.
func (b LimitBar) Inside() bool { return b.Lower <= b.Value && b.Value <= b.Upper }

// Known says that there is a value to draw.
func (b LimitBar) Known() bool { return !math.IsNaN(b.Value) && !math.IsInf(b.Value, 0) }

// At is where the value is drawn. Far outside it stays at the picture's edge.
func (b LimitBar) At() float64 {
	at := limitLow + (limitHigh-limitLow)*b.share()
	return math.Min(math.Max(at, limitOff), limitEnd)
}

// share is how far from the lower to the upper limit the value lies. Beside a
// single limit there is no scale but the limit's own size.
func (b LimitBar) share() float64 {
	below, above := b.Value-b.Lower, b.Upper-b.Value
	switch {
	case math.IsInf(below, 1) && math.IsInf(above, 1), below == above:
		return 0.5
	case math.IsInf(below, 1):
		return 1 - above/scale(b.Upper, above)
	case math.IsInf(above, 1):
		return below / scale(b.Lower, below)
	default:
		return below / (b.Upper - b.Lower)
	}
}

// scale is the length drawn on the open side of a limit; never nought.
func scale(limit, off float64) float64 {
	return max(math.Abs(limit), 2*math.Abs(off), math.SmallestNonzeroFloat64)
}

// Said is the picture in words.
func (b LimitBar) Said() string {
	verdict := "inside"
	switch {
	case !b.Known():
		return notKnown + ", " + b.limits()
	case math.IsInf(b.Lower, -1) && math.IsInf(b.Upper, 1):
		verdict = "with"
	case b.Value < b.Lower:
		verdict = "below"
	case b.Value > b.Upper:
		verdict = "above"
	}
	return WithUnit(Number(b.Value, b.Decimals), b.Unit) + ", " + verdict + " " + b.limits()
}

func (b LimitBar) limits() string {
	lower, upper := Number(b.Lower, b.Decimals), Number(b.Upper, b.Decimals)
	switch {
	case math.IsInf(b.Lower, -1) && math.IsInf(b.Upper, 1):
		return "no limits"
	case math.IsInf(b.Lower, -1):
		return "the upper limit " + upper
	case math.IsInf(b.Upper, 1):
		return "the lower limit " + lower
	default:
		return "the limits " + lower + " to " + upper
	}
}

func (b LimitBar) at() string { return coordinate(b.At()) }

// rail is the line between the limits; it runs to the picture's edge where
// there is no limit.
func (b LimitBar) rail() string {
	from, to := limitLow, limitHigh
	if math.IsInf(b.Lower, -1) {
		from = limitOff
	}
	if math.IsInf(b.Upper, 1) {
		to = limitEnd
	}
	return "M" + coordinate(from) + " 11H" + coordinate(to)
}

// ends marks each limit there is, and the middle where there are both.
func (b LimitBar) ends() string {
	var d string
	if !math.IsInf(b.Lower, -1) {
		d += "M" + coordinate(limitLow) + " 4v14"
	}
	if !math.IsInf(b.Upper, 1) {
		d += "M" + coordinate(limitHigh) + " 4v14"
	}
	if !math.IsInf(b.Lower, -1) && !math.IsInf(b.Upper, 1) {
		d += "M" + coordinate((limitLow+limitHigh)/2) + " 7v8"
	}
	return d
}

// Kind is the class a place is drawn in.
func (p SetterPosition) Kind() string {
	switch {
	case p.State != "":
		return p.State
	case p.Free():
		return "free"
	default:
		return "full"
	}
}

// Label is what is written in the place.
func (p SetterPosition) Label() string {
	if p.Free() {
		return p.What()
	}
	return p.Holds
}

// plate is the height of a zone's plate, moved by dy.
func (p SetterPicture) plate(z, dy int) string {
	return strconv.Itoa(setterTop + z*setterRow + setterPlace + dy)
}

// shelf draws the plate of a zone.
func (p SetterPicture) shelf(z int) string {
	return "M0 " + p.plate(z, 3) + "H" + strconv.Itoa(p.Width())
}

func coordinate(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }
