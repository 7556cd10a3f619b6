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
			Air: wrong.Read("air", f.Value("air"), "C", shop.Temperature), Wet: wrong.Read("wet", f.Value("wet"), "g", shop.Mass)})
	},
	past: func(e shop.Event) string { return "Final drying of " + e.(shop.DryingStarted).Insert + " started" },
	probe: func(p views.Work) shop.Act {
		return shop.DryingStarted{Insert: p.Insert.Insert, Oven: "oven", Air: shop.MustReading("20", "C"), Wet: shop.MustReading("1", "g")}
	},
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
