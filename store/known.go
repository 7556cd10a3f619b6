package store

// The writer keeps in memory what acts ask for all day and what seldom
// changes: the zone, people, releases, lots, holds and the ids of things. It is
// dropped whole when an event may have changed any of it, when a command was
// undone, and when another server wrote to the same book.

// quiet are the events that change nothing of what is kept.
var quiet = map[string]bool{
	"traveler-opened": true, "release-assigned": true, "step-left-out": true,
	"print-started": true, "layers-made": true, "paste-drawn": true, "print-finished": true,
	"insert-weighed": true, "green-measured": true, "carrier-changed": true, "step-paused": true, "step-resumed": true, "paste-wasted": true, "container-weighed": true, "container-returned": true, "difference-explained": true, "coupon-placed": true, "coupon-measured": true,
	"drying-started": true, "drying-finished": true,
	"load-opened": true, "load-placed": true, "load-taken-out": true, "load-closed": true, "load-unloaded": true,
	"tempering-started": true, "tempering-finished": true,
	"result-recorded": true, "inspection-finished": true, "fit-up-done": true, "document-added": true, "document-filed": true, "filing-withdrawn": true, "put-to-stock": true,
	"qualification-planned": true, "container-received": true, "container-opened": true, "gate-refused": true, "kept-act-left-out": true, "forms-issued": true, "forms-counted": true,
}

// keptAtMost bounds what is kept.
const keptAtMost = 10_000

// kept answers from the writer's memory, or loads and keeps. Readers always
// load.
func kept[T any](q querier, key string, load func() (T, error)) (T, error) {
	w, ok := q.(*session)
	if !ok {
		return load()
	}
	if v, ok := w.known[key]; ok {
		return v.(T), nil
	}
	v, err := load()
	if err != nil {
		return v, err
	}
	if len(w.known) >= keptAtMost {
		clear(w.known)
	}
	w.known[key] = v
	return v, nil
}
