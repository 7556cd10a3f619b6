package views

import (
	"cmp"
	"strings"
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// NewLotChange is the form for a change of lot within a print. Release and Given
// are zero while no insert is named.
type NewLotChange struct {
	New
	Release shop.Release
	Given   shop.Release // machine and factors of the print
	Lots    []shop.Lot
	Factors []shop.Factor // of all lots
	Now     time.Time
}

// Compare are the factors of the lots that may be printed, beside those that the
// machine goes on with.
func (p NewLotChange) Compare() Listing {
	l := Listing{Name: "Factors in force", Columns: columnsOf("Lot", "#X", "#Y", "#Z")}
	if p.Given.Machine != "" {
		l.Rows = append(l.Rows, Row{Cells: []Item{code("Machine " + p.Given.Machine), words(p.Given.KX.Text), words(p.Given.KY.Text), words(p.Given.KZ.Text)}})
	}
	for _, lot := range p.Lots {
		row := Row{Cells: []Item{thingLink("lot", lot.Lot)}}
		for _, axis := range shop.Axes {
			in, _ := shop.FactorAt(p.Factors, lot.Lot, axis, p.Now)
			row.Cells = append(row.Cells, words(in.K.Text))
		}
		if lot.Released() {
			l.Rows = append(l.Rows, row)
		}
	}
	return l
}

// NewLotChangePage is the form for a change of lot within a print.
func NewLotChangePage(p NewLotChange) templ.Component {
	f := p.Form
	printed := "Name the insert that is being printed."
	if p.Release.Release != "" {
		printed = "It is printed of " + p.Release.LotWords() + "."
	}
	return plain(p.New, Wording{"Sign a change of lot", "Another lot takes over within a print from a layer on. Somebody else than who started the print signs it; both lots stay on the insert by their layers.", "Sign the change", "/floor"},
		group(field(f.CodeField("insert", "Insert", true).WithHint(printed))),
		group(choice(f.Pick("to_lot", "Lot that takes over", lotOptions(p.Lots), true)), field(f.Count("from_layer", "From layer", true))),
		group(listing(p.Compare())),
		group(area(f.Words("why", "Reason", true))), group(field(f.PIN(MeaningOfLotChange))))
}

// LotChangeList lists where another lot took over within the print, with the
// factors of both lots as they were in force when it was signed.
func (p Traveler) LotChangeList() Listing {
	l := Listing{Name: "Changes of lot in " + p.Insert.Insert, Columns: columnsOf("#From layer", "Lot until then", "#Its k, X Y Z", "Lot that takes over", "#Its k, X Y Z", "Signed", "Reason")}
	for _, c := range p.LotChanges {
		l.Rows = append(l.Rows, Row{Cells: []Item{words(Whole(c.FromLayer)), thingLink("lot", c.From), words(kOf(c, c.From)), thingLink("lot", c.To), words(kOf(c, c.To)), code(p.by(c.By, c.At)), words(c.Reason)}})
	}
	return l
}

// kOf are the factors of one lot of a change, "–" for an axis without one.
func kOf(c shop.LotChange, lot string) string {
	var k []string
	for _, f := range c.FactorsOf(lot) {
		k = append(k, cmp.Or(f, "–"))
	}
	return strings.Join(k, " ")
}
