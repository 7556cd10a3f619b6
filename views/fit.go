package views

import (
	"fmt"
	"slices"

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

// What has to be known to name the faces and to fill them in.
const (
	facesSeen = "Seen as on the drawing: X to the right, Y away from you, Z up."
	facesLeft = "Leave empty what was not touched; without a shim under the base it is 0."
)

// A FaceField is one number about a face. Its label is short, because the row
// says which face it is; to those who listen it is said with the face.
type FaceField struct {
	Field
	Short, Rest string
}

// faceFields are the numbers about a face: what was taken off, what was welded or
// built up, and the shim under it. The shim under the base has to be stated.
func (p Work) faceFields(face string) []FaceField {
	fields := []FaceField{p.faceField("removed."+face, "Removed", " at "+face), p.faceField("added."+face, "Added", " at "+face)}
	if face == "base" {
		shim := p.faceField("shim", "Shim", " under the base, 0 for none")
		shim.Required = true
		return append(fields, shim)
	}
	return append(fields, p.faceField("shim."+face, "Shim", " at "+face))
}

func (p Work) faceField(name, short, rest string) FaceField {
	field := p.Form.Figure(name, short+rest, "", false)
	field.UnitIn = fieldID(p.Form.Name, "shim_unit")
	return FaceField{field, short, rest}
}

// gapField is the field for a pocket or a gap.
func (p Work) gapField(name, label string) Field {
	field := p.Form.Figure(name, label, "", false)
	field.UnitIn = fieldID(p.Form.Name, "unit")
	return field
}

// faceWords say where a face is when the insert stands before you as on its
// drawing: X to the right, Y away from you, Z up.
func faceWords(face string) string {
	switch face {
	case "base":
		return "underneath"
	case "+X":
		return "right"
	case "-X":
		return "left"
	case "+Y":
		return "back"
	case "-Y":
		return "front"
	}
	return ""
}

// WithPhotos says how many photos went with an act; nothing where none did.
func WithPhotos(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return ", with a photo"
	}
	return fmt.Sprintf(", with %d photos", n)
}

// A FaceRow is what was done at a face, as it was typed. The decimal signs of a
// column stand below each other.
type FaceRow struct {
	Face, Removed, Added, Shim string
}

// FaceUnit is the unit of all numbers about faces; "" where they are in several,
// and each says its own.
func FaceUnit(n shop.FitNote) string {
	unit := n.Shim.Unit
	for _, f := range n.Faces {
		for _, r := range []shop.Reading{f.Removed, f.Added, f.Shim} {
			if r.Taken() && r.Unit != unit {
				return ""
			}
		}
	}
	return shop.UnitWord(unit)
}

// FaceRows lists the faces at which something was written down, with the shim
// under the base.
func FaceRows(n shop.FitNote) []FaceRow {
	faces := slices.Clone(n.Faces)
	at := slices.IndexFunc(faces, func(f shop.Face) bool { return f.Face == "base" })
	if at < 0 {
		faces, at = slices.Insert(faces, 0, shop.Face{Face: "base"}), 0
	}
	if !faces[at].Shim.Taken() {
		faces[at].Shim = n.Shim
	}
	bare := FaceUnit(n) != ""
	column := func(of func(shop.Face) shop.Reading) []string {
		var figures []string
		for _, f := range faces {
			switch r := of(f); {
			case !r.Taken():
				figures = append(figures, "")
			case bare:
				figures = append(figures, r.Text)
			default:
				figures = append(figures, WithUnit(r.Text, shop.UnitWord(r.Unit)))
			}
		}
		if bare {
			return Aligned(figures)
		}
		return figures
	}
	removed := column(func(f shop.Face) shop.Reading { return f.Removed })
	added := column(func(f shop.Face) shop.Reading { return f.Added })
	shim := column(func(f shop.Face) shop.Reading { return f.Shim })
	rows := make([]FaceRow, len(faces))
	for i, f := range faces {
		rows[i] = FaceRow{f.Face, removed[i], added[i], shim[i]}
	}
	return rows
}

// withUnit heads a column with its unit, where it has one.
func withUnit(name, unit string) string {
	if unit == "" {
		return name
	}
	return name + ", " + unit
}

// FitWords is a fit note in words, as a correction names it.
func FitWords(n shop.FitNote) string {
	return fmt.Sprintf("entry %d, %s at %s with shim %s", n.Seq, n.Mould, n.Place, n.Shim)
}
