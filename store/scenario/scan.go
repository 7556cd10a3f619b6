package scenario

import "sinterbook/store/shop"

// scanned are the kinds of events that an action card of the folder starts.
var scanned = map[string]string{"drying start": shop.DryingStarted{}.Kind()}

// scannedAgain plans every further scan of a double scan as the station would
// send it: as an act of its own. The book judges whether it is a repeat.
func (p *plan) scannedAgain() {
	seen := map[string]bool{}
	for _, r := range p.scans.rows {
		insert, ok := p.item(r, "item")
		kind, known := scanned[r.need("action")]
		if !known {
			r.wrong("action", "%q is no action that a card starts.", r.get("action"))
		}
		at, by := r.time("at"), r.badge("by")
		key := keyOf(insert, kind, by)
		again := seen[key]
		seen[key] = true
		if !ok || !again {
			continue
		}
		for _, e := range p.entries {
			if act, is := e.Event.(shop.Act); is && act.InsertNo() == insert && act.Kind() == kind {
				p.add(r, "at", at, by, e.Event).again = e
				break
			}
		}
	}
}
