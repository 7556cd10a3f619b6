package server

import (
	"strings"

	"sinterbook/store/shop"
	"sinterbook/views"
)

var actDryingStart = act{
	name: views.ActDryingStart, operation: shop.OpDry,
	event: func(f views.Form, insert string) (shop.Event, error) {
		wrong := shop.Fields{}
		return valid(wrong, shop.DryingStarted{Insert: insert, Oven: strings.TrimSpace(f.Value("oven")), Shelf: strings.TrimSpace(f.Value("shelf")),
			Air: wrong.Read("air", f.Value("air"), "C", shop.Temperature), Wet: wrong.Read("wet", f.Value("wet"), "g", shop.Mass), Constant: wrong.Read("constant_mass", f.Value("constant_mass"), "%", shop.Percentage)})
	},
	past: func(e shop.Event) string { return "Final drying of " + e.(shop.DryingStarted).Insert + " started" },
	probe: func(p views.Work) shop.Act {
		return shop.DryingStarted{Insert: p.Insert.Insert, Oven: "oven", Air: shop.MustReading("20", "C"), Wet: shop.MustReading("1", "g"), Constant: shop.MustReading("0.05", "%")}
	},
}

var actWeigh = act{
	name: views.ActWeigh, operation: shop.OpDry,
	event: func(f views.Form, insert string) (shop.Event, error) {
		wrong := shop.Fields{}
		return valid(wrong, shop.InsertWeighed{Insert: insert, Gauge: f.Value("gauge"), Mass: wrong.Read("mass", f.Value("mass"), "g", shop.Mass)})
	},
	past: func(e shop.Event) string {
		w := e.(shop.InsertWeighed)
		return w.Insert + " weighed " + w.Mass.String()
	},
}

var actGreen = act{
	name: views.ActGreen, operation: shop.OpDry,
	event: func(f views.Form, insert string) (shop.Event, error) {
		wrong := shop.Fields{}
		return valid(wrong, shop.GreenMeasured{Insert: insert, Axis: f.Value("axis"), Size: measured(wrong, &f, "size", "unit", "The unit of the size", shop.Length), Gauge: f.Value("gauge")})
	},
	past: func(e shop.Event) string {
		g := e.(shop.GreenMeasured)
		return g.Insert + " is " + g.Size.String() + " green in " + g.Axis
	},
}

// greenAsTyped is a green size that stands, as its form had it.
func greenAsTyped(p views.Work, seq int64) (words string, values map[string]string) {
	for _, g := range p.Greens {
		if g.Seq == seq && g.CorrectedBy == 0 {
			return views.GreenWords(g), map[string]string{"axis": g.Axis, "size": g.Size.Text, "unit": g.Size.Unit, "gauge": g.Gauge}
		}
	}
	return "", nil
}

var actDryingFinish = act{
	name: views.ActDryingFinish, operation: shop.OpDry,
	event: func(f views.Form, insert string) (shop.Event, error) {
		wrong := shop.Fields{}
		return valid(wrong, shop.DryingFinished{Insert: insert, Dry: wrong.Read("dry", f.Value("dry"), "g", shop.Mass)})
	},
	past: func(e shop.Event) string { return "Final drying of " + e.(shop.DryingFinished).Insert + " finished" },
	probe: func(p views.Work) shop.Act {
		if len(p.Drying) == 0 {
			return shop.DryingFinished{Insert: p.Insert.Insert, Dry: shop.MustReading("1", "g")}
		}
		return shop.DryingFinished{Insert: p.Insert.Insert, Dry: p.Drying[len(p.Drying)-1].Wet}
	},
}
