package server

import (
	"strings"

	"sinterbook/store/shop"
	"sinterbook/views"
)

var actPause = act{
	name: views.ActPause,
	event: func(f views.Form, insert string) (shop.Event, error) {
		wrong := shop.Fields{}
		layer := 0
		if f.Value("layer") != "" {
			layer = countOf(wrong, &f, "layer", "The last finished layer")
		}
		return valid(wrong, shop.StepPaused{Insert: insert, Op: f.Value("operation"), Layer: layer, Why: strings.TrimSpace(f.Value("why"))})
	},
	past: func(e shop.Event) string {
		p := e.(shop.StepPaused)
		return views.OperationName(p.Op) + " of " + p.Insert + " paused"
	},
}

var actGoOn = act{
	name: views.ActGoOn,
	event: func(f views.Form, insert string) (shop.Event, error) {
		return valid(shop.Fields{}, shop.StepResumed{Insert: insert, Op: f.Value("operation"), Note: strings.TrimSpace(f.Value("note"))})
	},
	past: func(e shop.Event) string {
		p := e.(shop.StepResumed)
		return views.OperationName(p.Op) + " of " + p.Insert + " goes on"
	},
}
