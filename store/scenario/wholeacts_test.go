package scenario

import (
	"maps"
	"slices"

	"sinterbook/store/shop"
)

// scannedTwice: of two scans of a label 1.4 s apart the book has one start.
func (d whole) scannedTwice() any {
	starts := 0
	for _, e := range history(d, d.st, "insert/I-0012") {
		if e.Event.Kind() == "drying-started" {
			starts++
		}
	}
	return []any{map[string]any{"item": "I-0012", "action": "drying start", "seconds": 1.4, "events": starts}}
}

// swaps are the moves within a load: from where to where, by whom.
func (d whole) swaps(load string) any {
	at, moves := map[string]string{}, []map[string]string{}
	for _, e := range history(d, d.st, shop.Subject("load", load)) {
		ev, ok := e.Event.(shop.LoadPlaced)
		if !ok {
			continue
		}
		if from := at[ev.Insert]; from != "" && from != ev.Position {
			moves = append(moves, map[string]string{"load": load, "item": ev.Insert, "from_position": from, "to_position": ev.Position, "by": e.By})
		}
		at[ev.Insert] = ev.Position
	}
	return moves
}

// fromPaper are the doors whose closing was typed in from a form.
func (d whole) fromPaper() any {
	closed := []map[string]string{}
	forms, err := d.st.PaperForms(d.Context(), 100)
	for _, f := range got(d, forms, err) {
		for _, e := range f.Entries {
			if _, load := shop.SubjectParts(e.Subject); e.Kind == "load-closed" {
				closed = append(closed, map[string]string{"load": load, "form": f.Form, "happened": d.clock(e.At), "entered": d.clock(e.Entered)})
			}
		}
	}
	return closed
}

// printedByTwo are the prints that more than one person made.
func (d whole) printedByTwo() any {
	two := map[string][]string{}
	for _, i := range d.serials("", "") {
		layers, err := d.st.Layers(d.Context(), i)
		by := map[string]bool{}
		for _, l := range got(d, layers, err) {
			by[l.By] = true
		}
		if len(by) > 1 {
			two[i] = slices.Sorted(maps.Keys(by))
		}
	}
	return two
}

// scrapped are the inserts that were given up, with the layer they came to.
func (d whole) scrapped() any {
	at := map[string]int{}
	for _, i := range d.serials("", "") {
		if d.insert(i).Status == shop.StatusScrapped {
			print, err := d.st.Print(d.Context(), i)
			at[i] = got(d, print, err).LayersDone
		}
	}
	return at
}

func (d whole) replaced() any {
	by := map[string]string{}
	for _, i := range d.serials("", "") {
		if old := d.insert(i).Replaces; old != "" {
			by[i] = old
		}
	}
	return by
}

// overridden counts the prints that were started for a reason although the
// second signature was missing.
func (d whole) overridden() any {
	n := 0
	for _, i := range d.serials("", "") {
		for _, e := range history(d, d.st, shop.Subject("insert", i)) {
			if e.Event.Kind() == "print-started" && e.Answers[shop.ReleaseSignedTwice.Name] != "" {
				n++
			}
		}
	}
	return n
}

func (d whole) inInches() any {
	n := 0
	for _, r := range d.read() {
		if r.Value.Unit == "in" {
			n++
		}
	}
	return n
}

func (d whole) recipes() any {
	used := map[string]bool{}
	for _, i := range d.through(shop.OpTemper, d.serials("", "")) {
		tempered, err := d.st.Temperings(d.Context(), i)
		for _, t := range got(d, tempered, err) {
			used[t.Recipe] = true
		}
	}
	return slices.Sorted(maps.Keys(used))
}

func (d whole) state(lot string) any {
	l, err := d.st.Lot(d.Context(), lot)
	if got(d, l, err).Released() {
		return "released"
	}
	return "on test"
}

func (d whole) sealed(lot string) any {
	var all []string
	containers, err := d.st.Containers(d.Context(), lot)
	for _, c := range got(d, containers, err) {
		if c.Opened.IsZero() {
			all = append(all, c.Container)
		}
	}
	return all
}

func (d whole) heldFurnace() any {
	holds, err := d.st.HoldsStanding(d.Context())
	for _, h := range got(d, holds, err) {
		if h.OnKind == "furnace" {
			return h.OnCode
		}
	}
	return ""
}
