package views

import (
	"fmt"

	"sinterbook/store/shop"
)

// MouldOptions are the moulds that are in the house.
func (p Work) MouldOptions() []Option {
	var o []Option
	for _, m := range p.Moulds {
		if m.Shipped.IsZero() {
			o = append(o, Option{Value: m.Mould, Text: fmt.Sprintf("%s of %s", m.Mould, m.Customer)})
		}
	}
	return o
}

// faceField is the field for stock removed from a face, or a shim put under it.
func (p Work) faceField(what, face string) Field {
	label := "Removed at "
	if what == "shim" {
		label = "Shim at "
	}
	return p.Form.Figure(what+"."+face, label+face, "", false)
}

// touched reports whether anything was typed or refused about the faces, so
// that they are shown.
func (p Work) touched() bool {
	for _, face := range shop.Faces {
		for _, what := range []string{"removed", "shim"} {
			if p.Form.Value(what+"."+face) != "" {
				return true
			}
		}
	}
	return p.Form.Wrong["faces"] != ""
}

// FitWords is a fit note in words, as a correction names it.
func FitWords(n shop.FitNote) string {
	return fmt.Sprintf("entry %d, %s at %s with shim %s", n.Seq, n.Mould, n.Place, n.Shim)
}
