package views

import (
	"fmt"
	"time"

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
	Ship    *Form // nil for those who may not deliver it, or where there is nothing to deliver
}

// MeaningOfDelivery is what the signature under a delivery means.
const MeaningOfDelivery = "I deliver this mould with the inserts that are fitted in it."

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
