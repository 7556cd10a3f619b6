package views

import (
	"cmp"
	"fmt"
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Moulds is the list of moulds.
type Moulds struct {
	Frame
	Moulds []shop.Mould
	Held   map[string]string // mould to the hold on it
	Zone   *time.Location
	New    bool // this person may receive one
}

// Mould is the page about one mould.
type Mould struct {
	Frame
	Mould   shop.Mould
	Inserts []shop.Insert // fitted in it, by place
	Orders  []shop.Order  // of inserts for it
	Holds   []shop.Hold
	Held    map[string]string // insert to the hold on it
	Zone    *time.Location
	Trips   []shop.Delivery // when it left and came back
	Back    bool            // this person may record that it came back
	Ship    *Form           // nil for those who may not deliver it, or where there is nothing to deliver
}

// MouldState says in a word where a mould is.
func MouldState(m shop.Mould, held string, zone *time.Location) (word, mark string) {
	switch {
	case held != "":
		return "held " + held, "stopped"
	case !m.Shipped.IsZero():
		return "delivered " + Stamp(m.Shipped, zone), "done"
	}
	return "in the toolroom", "open"
}

func mouldWord(m shop.Mould, held string, zone *time.Location) string {
	word, _ := MouldState(m, held, zone)
	return word
}

func mouldMark(m shop.Mould, held string, zone *time.Location) string {
	_, mark := MouldState(m, held, zone)
	return mark
}

// note is the field that a delivery note is scanned into, pin the one after it.
func (p Mould) note() Field {
	f := p.Ship.CodeField("note", "Number of the delivery note", true)
	f.Autofocus = f.Value == ""
	return f
}

func (p Mould) pin() Field {
	f := p.Ship.PIN(MeaningOfDelivery)
	f.Autofocus = p.Ship.Value("note") != ""
	return f
}

// Moves lists when the mould left and came back.
func (p Mould) Moves() Listing {
	l := Listing{Name: "Deliveries and returns of " + p.Mould.Mould, Columns: columnsOf("When", "What", "Note", "Inserts", "By")}
	for _, d := range p.Trips {
		what := stateItem("delivered", "done")
		if d.Why != "" {
			what = words("came back: " + d.Why)
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{code(Stamp(d.At, p.Zone)), what, code(d.Note), code(cmp.Or(shop.Listed(d.Inserts), "none")), code(d.By)}})
	}
	return l
}

// NewMouldReturn is the form for a mould that comes back.
type NewMouldReturn struct {
	New
	Inserts []string // that were delivered in it
}

// NewMouldReturnPage takes a mould back.
func NewMouldReturnPage(p NewMouldReturn) templ.Component {
	f := p.Form
	return plain(p.New, Wording{"Take a mould back", "Tick the inserts that are still in it. They stand as fitted again, and can be delivered with it again. What was taken out at the customer's stays delivered.", "Record that it came back", "/moulds"},
		group(field(f.CodeField("mould", "Mould number", true)), field(f.CodeField("note", "Customer's number for it", false))),
		group(pieces(f, "Inserts that came back in it", p.Inserts)),
		group(area(f.Words("why", "Why it came back", true))))
}

// NewReturnPage takes a single insert back.
func NewReturnPage(p New) templ.Component {
	f := p.Form
	return plain(p, Wording{"Take an insert back", "It came back by itself, out of its mould. Keep it apart and marked until it is decided what becomes of it; raise a nonconformance where something is wrong with it.", "Record that it came back", "/floor"},
		group(field(f.CodeField("insert", "Insert", true)), field(f.CodeField("note", "Customer's number for it", false))),
		group(field(f.Text("place", "Where it is kept apart", true)), choice(f.Pick("back", "It goes on with", Options(shop.ReturnTo...), true))),
		group(area(f.Words("why", "Why it came back", true))))
}

// Fitted says how many inserts of an order are in the mould.
func (p Mould) Fitted(o shop.Order) string {
	n := 0
	for _, i := range p.Inserts {
		if i.Order == o.Order {
			n++
		}
	}
	return fmt.Sprintf("%d of %d", n, o.Quantity)
}

// Facts are what is known of the mould.
func (p Mould) Facts() []Fact {
	m := p.Mould
	shipped := Fact{Name: "Delivered", Value: "not yet"}
	if !m.Shipped.IsZero() {
		shipped = Fact{Name: "Delivered", Value: Stamp(m.Shipped, p.Zone), Figure: true}
	}
	return []Fact{{Name: "Customer", Value: m.Customer, Figure: true}, shipped, {Name: "Scan code", Value: m.Code.Grouped(), Figure: true}}
}
