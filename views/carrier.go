package views

import (
	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Carriers lists the plates and trays with what each carries now.
func Carriers(all []shop.Carrier) Listing {
	l := Listing{Name: "Carriers", Empty: "No plate or tray was put into use yet. A print needs one: it holds the green part's identity.", Columns: columnsOf("Carrier", "State", "Kind", "Carries", "Scan code", "Records")}
	for _, c := range all {
		state, carries := stateItem("free", "done"), words("")
		if c.Insert != "" {
			state, carries = stateItem("taken", "open"), thingLink("insert", c.Insert)
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{code(c.Carrier), state, words(c.Type), carries, code(c.Code.Grouped()), historyItem("carrier", c.Carrier)}})
	}
	return l
}

// NewCarrierPage puts a carrier into use.
func NewCarrierPage(p New) templ.Component {
	f := p.Form
	return plain(p, Wording{"Put a carrier into use", "No label sticks to a green part: the plate or tray under it says which one it is.", "Put it into use", "/carriers"},
		group(field(f.CodeField("carrier", "Carrier number", true)), choice(f.Pick("type", "Kind", Options(shop.CarrierTypes...), true))))
}

// rebind asks for the carrier onto which a green part is moved.
func rebind(p Work) templ.Component {
	return field(p.Form.CodeField("carrier", "Carrier on which it lies now", true).WithHint(p.hinted("It lay on " + p.Insert.Carrier + ". Scan the one under it.")))
}

// marking asks for the mark that a sintered part bears.
func marking(p Work) templ.Component {
	return pair(choice(p.Form.Pick("how", "Marked by", Options(shop.Markings...), true)), field(p.Form.CodeField("code", "Its code, scanned from the part", true).WithHint(p.hinted("It must read "+p.Insert.Code.Grouped()+"."))))
}
