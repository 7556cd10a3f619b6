package server

import (
	"strings"

	"sinterbook/store/shop"
	"sinterbook/views"
)

var actTemperingStart = act{
	name: views.ActTemperingStart, operation: shop.OpTemper,
	event: func(f views.Form, insert string) (shop.Event, error) {
		return valid(shop.Fields{}, shop.TemperingStarted{Insert: insert, Recipe: strings.TrimSpace(f.Value("recipe")), Oven: strings.TrimSpace(f.Value("oven"))})
	},
	past: func(e shop.Event) string { return "Tempering of " + e.(shop.TemperingStarted).Insert + " started" },
	probe: func(p views.Work) shop.Act {
		return shop.TemperingStarted{Insert: p.Insert.Insert, Recipe: "recipe", Oven: "oven"}
	},
}

var actTemperingFinish = act{
	name: views.ActTemperingFinish, operation: shop.OpTemper,
	event: func(_ views.Form, insert string) (shop.Event, error) {
		return shop.TemperingFinished{Insert: insert}, nil
	},
	past:  func(e shop.Event) string { return "Tempering of " + e.(shop.TemperingFinished).Insert + " finished" },
	probe: func(p views.Work) shop.Act { return shop.TemperingFinished{Insert: p.Insert.Insert} },
}
