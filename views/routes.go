package views

import (
	"strings"

	"sinterbook/store/shop"
)

// Routes is the list of route templates with their versions.
type Routes struct {
	Frame
	Routes []shop.Route // by template, newest version first
	New    bool         // this person may put one in force
}

// Newest reports whether a version is the newest of its template.
func (p Routes) Newest(r shop.Route) bool {
	for _, other := range p.Routes {
		if other.Template == r.Template {
			return other.Version == r.Version
		}
	}
	return false
}

// routeSummary is a route in a line: what may be left out stands in brackets.
func routeSummary(r shop.Route) string {
	var words []string
	for _, st := range r.Steps {
		word := OperationName(st.Operation)
		if st.Optional {
			word = "(" + word + ")"
		}
		words = append(words, word)
	}
	return strings.Join(words, ", then ")
}

// stepCells are the cells of a line in the table of steps.
func stepCells(f Form, n int) []Line {
	return []Line{
		f.cell("steps", n, "", "Operation").of(Options(shop.Operations...)),
		f.cell("steps", n, "optional", "May be left out").of([]Option{{"yes", "may be left out"}}),
		f.cell("steps", n, "yields", "What it records").wide(),
	}
}
