package views

import (
	"fmt"
	"slices"
	"strings"

	"sinterbook/store/shop"
)

// A Flow is the picture of a trace: what went in on the left, the thing in the
// middle, where it is now on the right. Each box leads on; the wider a band, the
// more inserts go that way. What it shows stands in the tables below it.
type Flow struct {
	Name  string
	Left  []FlowBox
	Mid   FlowBox
	Right []FlowBox
}

// A FlowBox is a thing of the picture, or several of a kind.
type FlowBox struct {
	Text string
	Soft string // kind, or how many
	Href string
	Said string
	N    int  // inserts that go there; 0 where they are not counted
	Held bool // something in it is held
}

// Sizes of the picture, in its own units.
const (
	flowWidth  = 960
	flowBox    = 250
	flowHeight = 44
	flowStep   = 56
)

// picture is the trace as it is drawn.
func (p Trace) picture() Flow {
	f := Flow{Name: "Trace of " + p.Found.Kind + " " + p.Found.Number, Mid: FlowBox{Text: p.Found.Number, Soft: p.Found.Kind}}
	if href := p.page(); href != "" {
		f.Mid.Href, f.Mid.Said = href, "its page"
	}
	if p.Found.Kind != "insert" {
		f.Mid.Soft += ", " + insertsWord(len(p.Found.Inserts))
	}
	f.Left = gathered(p.Found.Upstream, "#behind")
	if p.Found.Kind == "insert" {
		f.Right = gathered(p.Found.Into, "#ahead")
		return f
	}
	f.Right = spots(p.Found.Inserts)
	return f
}

// gathered has a box for each kind of thing.
func gathered(all []shop.Touched, several string) []FlowBox {
	var boxes []FlowBox
	of := map[string][]string{}
	var kinds []string
	for _, t := range all {
		if of[t.Kind] == nil {
			kinds = append(kinds, t.Kind)
		}
		of[t.Kind] = append(of[t.Kind], t.Number)
	}
	for _, kind := range kinds {
		b := FlowBox{Text: strings.Join(of[kind], ", "), Soft: kind, Href: TraceOf(kind, of[kind][0]), Said: "trace it"}
		if n := len(of[kind]); n > 1 {
			b.Href, b.Said, b.Soft = several, "they are in the table", kind+" ×"+Whole(n)
		}
		boxes = append(boxes, b)
	}
	return boxes
}

// spots has a box for each place where inserts are now.
func spots(all []shop.Affected) []FlowBox {
	at := map[string]int{}
	var boxes []FlowBox
	for _, a := range all {
		place, href := a.Place, "#inserts"
		switch {
		case strings.HasSuffix(a.Status, ", in quarantine"):
			place = "in quarantine"
		case a.Mould != "":
			place, _, _ = strings.Cut(a.Place, " since ")
			href = TraceOf("mould", a.Mould)
		}
		n, ok := at[place]
		if !ok {
			n, at[place] = len(boxes), len(boxes)
			boxes = append(boxes, FlowBox{Text: place, Href: href})
		}
		boxes[n].N++
		boxes[n].Held = boxes[n].Held || len(a.HeldBy) > 0
	}
	boxes = mostly(boxes)
	for i := range boxes {
		b := &boxes[i]
		if b.Text == "" {
			b.Text = "not placed yet"
		}
		b.Soft, b.Said = insertsWord(b.N), "trace it"
		if b.Href == "#inserts" {
			b.Said = "they are in the table"
		}
		if b.Held {
			b.Soft += ", some held"
		}
	}
	return boxes
}

// boxesAtMost is how many boxes of a column can be told apart.
const boxesAtMost = 12

// mostly leaves the boxes with something held and those with the most inserts,
// in their order, and puts the rest into one.
func mostly(boxes []FlowBox) []FlowBox {
	if len(boxes) <= boxesAtMost {
		return boxes
	}
	order := make([]int, len(boxes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case boxes[a].Held == boxes[b].Held:
			return boxes[b].N - boxes[a].N
		case boxes[a].Held:
			return -1
		}
		return 1
	})
	few, rest := order[:boxesAtMost-1], order[boxesAtMost-1:]
	slices.Sort(few)
	var drawn []FlowBox
	for _, i := range few {
		drawn = append(drawn, boxes[i])
	}
	other := FlowBox{Text: Whole(len(rest)) + " more places", Href: "#inserts"}
	for _, i := range rest {
		other.N += boxes[i].N
		other.Held = other.Held || boxes[i].Held
	}
	return append(drawn, other)
}

// height is the height of the picture.
func (f Flow) height() int {
	return max(len(f.Left), len(f.Right), 1)*flowStep - flowStep + flowHeight + 4
}

// ViewBox is its size. A side with nothing on it is left out.
func (f Flow) ViewBox() string {
	from, width := 0, flowWidth
	if len(f.Left) == 0 {
		from, width = (flowWidth-flowBox)/2, (flowWidth+flowBox)/2
	}
	if len(f.Right) == 0 {
		width -= (flowWidth - flowBox) / 2
	}
	return fmt.Sprintf("%d 0 %d %d", from, width, f.height())
}

// size is its class: how many columns it has.
func (f Flow) size() string {
	if len(f.Left) == 0 || len(f.Right) == 0 {
		return "narrow-flow"
	}
	return ""
}

// top is where box n of a column of some stands; a column is centred.
func (f Flow) top(n, of int) int {
	return 2 + (f.height()-4-(of*flowStep-flowStep+flowHeight))/2 + n*flowStep
}

// at moves to box n of a column.
func (f Flow) at(column, n, of int) string {
	return fmt.Sprintf("translate(%d %d)", column*(flowWidth-flowBox)/2, f.top(n, of))
}

// band is the way from box n on the left to the middle, or from there to box n
// on the right.
func (f Flow) band(column, n, of int) string {
	from, to := flowBox, (flowWidth-flowBox)/2
	y := f.top(n, of) + flowHeight/2
	mid := f.top(0, 1) + flowHeight/2
	a, b := y, mid
	if column == 2 {
		from, to = (flowWidth+flowBox)/2, flowWidth-flowBox
		a, b = mid, y
	}
	half := (from + to) / 2
	return fmt.Sprintf("M%d %dC%d %d %d %d %d %d", from, a, half, a, half, b, to, b)
}

// width is how wide the band to a box is drawn.
func (f Flow) width(b FlowBox) string {
	most := 1
	for _, r := range f.Right {
		most = max(most, r.N)
	}
	return fmt.Sprintf("%.1f", 2+14*float64(b.N)/float64(most))
}

// said is what a screen reader says: what is seen, and where it leads.
func (b FlowBox) said() string {
	said := b.Soft + " " + b.fits() + ": " + b.Said
	if b.fits() != b.Text {
		said += " (" + b.Text + ")"
	}
	return said
}

// fits is as much of a text as a box can hold.
func (b FlowBox) fits() string {
	if r := []rune(b.Text); len(r) > 22 {
		return string(r[:21]) + "…"
	}
	return b.Text
}
