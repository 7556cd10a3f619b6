package server

import (
	"net/http"
	"strconv"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// designs answers GET /designs.
func (s *Server) designs(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Designs(r.Context())
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.DesignsPage(views.Designs{Frame: s.frame(r, "/book"), Designs: all, New: s.may(r, shop.DesignReleased{}, "")}))
}

// design answers GET /designs/{design}, by default with the revision in force.
func (s *Server) design(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	p := views.Design{Frame: s.frame(r, "/book"), At: s.now(), New: s.may(r, shop.DesignReleased{}, ""), NewRelease: s.may(r, shop.ReleaseDrafted{}, "")}
	var err error
	if p.Design, err = s.store.Design(ctx, pathWord(r, "design"), r.FormValue("revision")); err != nil {
		return err
	}
	all, err := s.store.Designs(ctx)
	if err != nil {
		return err
	}
	for _, d := range all {
		if d.Design == p.Design.Design {
			p.Revisions = append(p.Revisions, d.Revision)
		}
	}
	if p.Releases, err = s.store.ReleasesOf(ctx, p.Design.Design, p.Design.Revision); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.DesignPage(p))
}

// newDesign is the form that puts a revision of a part in force.
func (s *Server) newDesign() making[shop.DesignReleased] {
	return making[shop.DesignReleased]{
		path:  "/new/design",
		start: s.proposeRevision,
		more:  moreLines,
		read:  func(_ *http.Request, f *views.Form) (shop.DesignReleased, error) { return designOf(f) },
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewDesignPage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.DesignReleased) (to, notice string) {
			return views.DesignHref(e.Design, ""), "Revision " + e.Revision + " of " + e.Design + " is in force."
		},
	}
}

// designOf reads a design as it was typed.
func designOf(f *views.Form) (shop.DesignReleased, error) {
	said := shop.Fields{}
	size := func(field string) shop.Reading {
		return measured(said, f, field, "drawing_unit", "The unit of the drawing", shop.Length)
	}
	e := shop.DesignReleased{
		Design: f.Value("design"), Revision: f.Value("revision"), Name: f.Value("name"), Material: f.Value("material"), DrawingUnit: f.Value("drawing_unit"),
		X: size("x"), Y: size("y"), Z: size("z"), Layer: measured(said, f, "layer", "layer_unit", "The unit of the layer height", shop.Length),
		LayersBetweenPasses: countOf(said, f, "layers_between_passes", "The number of layers between shaping passes"), Orientation: f.Value("orientation"),
	}
	if f.Value("volume") != "" {
		e.Volume = measured(said, f, "volume", "volume_unit", "The unit of the volume", shop.Volume)
	}
	for n := range closeUp(f, "characteristics", views.CharacteristicColumns...) {
		e.Characteristics = append(e.Characteristics, characteristicOf(said, f, n+1))
	}
	return e, said.Err()
}

// characteristicOf reads a line of the table of characteristics.
func characteristicOf(said shop.Fields, f *views.Form, n int) shop.Characteristic {
	cell := func(column string) string { return views.Cell("characteristics", n, column) }
	c := shop.Characteristic{
		Number: f.Value(cell("")), Name: f.Value(cell("name")), Axis: f.Value(cell("axis")), Kind: shop.Quantity(f.Value(cell("quantity"))),
		Key: f.Value(cell("key")) != "", How: f.Value(cell("how")),
	}
	if c.Kind == "" {
		said.Say(cell(""), "What characteristic %s measures is missing: choose a quantity.", c.Number)
		return c
	}
	unit, typed := f.Value(cell("unit")), f.Value(cell("nominal"))+f.Value(cell("lower"))+f.Value(cell("upper"))
	if _, err := shop.ParseReading("1", unit, c.Kind); err != nil && typed != "" {
		said.Say(cell("unit"), "%s", err.Error())
		return c
	}
	c.Nominal = said.Read(cell("nominal"), f.Value(cell("nominal")), unit, c.Kind)
	c.Lower = said.Read(cell("lower"), f.Value(cell("lower")), unit, c.Kind)
	c.Upper = said.Read(cell("upper"), f.Value(cell("upper")), unit, c.Kind)
	return c
}

// proposeRevision fills a new revision with what stands in the one in force,
// when the address names a design.
func (s *Server) proposeRevision(r *http.Request, f *views.Form) error {
	number := r.FormValue("design")
	if number == "" {
		return nil
	}
	d, err := s.store.Design(r.Context(), number, "")
	if err != nil {
		return err
	}
	for field, value := range map[string]string{
		"design": d.Design, "name": d.Name, "material": d.Material, "drawing_unit": d.DrawingUnit, "x": d.X.Text, "y": d.Y.Text, "z": d.Z.Text,
		"layer": d.Layer.Text, "layer_unit": d.Layer.Unit, "volume": d.Volume.Text, "volume_unit": d.Volume.Unit, "layers_between_passes": strconv.Itoa(d.LayersBetweenPasses), "orientation": d.Orientation,
	} {
		f.Values.Set(field, value)
	}
	for i, c := range d.Characteristics {
		proposeCharacteristic(f, i+1, c)
	}
	return nil
}

func proposeCharacteristic(f *views.Form, n int, c shop.Characteristic) {
	unit := ""
	for _, r := range []shop.Reading{c.Nominal, c.Lower, c.Upper} {
		if r.Taken() {
			unit = r.Unit
		}
	}
	key := ""
	if c.Key {
		key = "yes"
	}
	for column, value := range map[string]string{
		"": c.Number, "name": c.Name, "axis": c.Axis, "quantity": string(c.Kind), "nominal": c.Nominal.Text,
		"lower": c.Lower.Text, "upper": c.Upper.Text, "unit": unit, "key": key, "how": c.How,
	} {
		f.Values.Set(views.Cell("characteristics", n, column), value)
	}
}
