package views

import (
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// FactorList lists a lot's factors, the newest first; those that are no more
// in force are past.
func FactorList(all []shop.Factor, now time.Time, zone *time.Location) Listing {
	l := Listing{Name: "Factors", Empty: "No factor is in force yet: nothing is printed of this lot but its receipt coupons.", Columns: columnsOf("Axis", "State", "#Shrinkage s", "#Oversize k", "From", "By", "Rests on")}
	for i := len(all) - 1; i >= 0; i-- {
		f := all[i]
		state := stateItem("superseded", "past")
		if in, ok := shop.FactorAt(all, f.Lot, f.Axis, now); ok && in.Seq == f.Seq {
			state = stateItem("in force", "done")
		}
		l.Rows = append(l.Rows, Row{Past: state.Mark == "past", Cells: []Item{code(f.Axis), state, words(f.S.String()), words(f.K.Text), code(Day(f.From, zone)), code(f.By), words(f.Basis)}})
	}
	return l
}

// NewFactorPage puts a factor of a lot into force.
func NewFactorPage(p New, lots []shop.Lot) templ.Component {
	f := p.Form
	return plain(p, Wording{"Put a factor into force", "What is believed of a lot's shrinkage along one axis of the build. Open travelers printed by another factor say so from then on.", "Put it into force", "/lots"},
		group(choice(f.Pick("lot", "Lot", lotOptions(lots), true)), choice(f.Pick("axis", "Axis", Options(shop.Axes...), true))),
		group(field(f.Figure("s", "Shrinkage s, of green length", "%", true)), field(f.Figure("k", "Oversize k, green over sintered", "", true).WithHint("k = 1 / (1 − s), to four decimals; never 1 + s."))),
		group(area(f.Words("basis", "What it rests on", true))), group(field(f.PIN())))
}

// CertificateList lists what the maker certifies of a lot.
func CertificateList(lines []shop.CertificateLine) Listing {
	l := Listing{Name: "Certificate", Empty: "The maker's certificate was not entered yet.", Columns: columnsOf("Property", "#Value", "Unit", "#At least", "#At most", "By its limits")}
	for _, c := range lines {
		verdict := words("no limits")
		if v := c.Verdict(); v != "" {
			verdict = stateItem(v, verdictMark(v))
		}
		l.Rows = append(l.Rows, Row{Stopped: c.Verdict() == "fail", Cells: []Item{words(c.Property), words(c.Value), words(c.Unit), words(c.Lower), words(c.Upper), verdict}})
	}
	return l
}

// certificateCells are the cells of a line of a certificate.
func certificateCells(f Form, n int) []Line {
	return []Line{f.cell("lines", n, "", "Property").wide(), f.cell("lines", n, "value", "Value").figure(), f.cell("lines", n, "unit", "Unit").figure(),
		f.cell("lines", n, "lower", "At least").figure(), f.cell("lines", n, "upper", "At most").figure()}
}
