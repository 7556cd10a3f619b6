package scenario

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"sinterbook/store/shop"
)

// A planned entry waits for its turn, with the place that it came from.
type planned struct {
	shop.Entry
	row    row
	column string   // in which its time stands
	again  *planned // that it scans a second time; nil for what is no double scan
}

// A plan is a folder on its way into a book: what is to be recorded, and what
// this form leaves out.
type plan struct {
	*folder
	entries []*planned
	chosen  map[string]bool // inserts that are loaded
	passed  []string        // a sentence for each thing that is left out
}

// space is the name space of the ids that are made from a row, so that loading
// a folder again finds what stands.
var space = uuid.MustParse("6d9b0a52-2f0b-5a41-9c39-7a1f6b7f53d1")

// add plans an event of a row. It was recorded when it happened unless the
// caller says otherwise; of tells apart what one row says twice.
func (p *plan) add(r row, column string, at time.Time, by string, e shop.Event, of ...string) *planned {
	name := strings.Join(append([]string{r.t.name, r.key(), e.Kind(), by}, of...), keySeparator)
	entry := &planned{row: r, column: column, Entry: shop.Entry{
		ID: uuid.NewSHA1(space, []byte(name)), At: at, Entered: at, Zone: p.zone.String(), By: by, Event: e,
	}}
	if act, ok := e.(shop.Act); ok {
		p.stand(entry, act.Operation(), "")
	}
	p.entries = append(p.entries, entry)
	return entry
}

// order is the order in which events of one moment are recorded: first what
// others need, then along the route.
var order = []string{
	"book-opened", "person-added", "person-keys-set", "person-authorised", "station-added", "policy-set", "route-released", "instruction-released", "instruction-acknowledged",
	"machine-added", "machine-checked", "controller-updated", "furnace-added", "sensor-fitted", "sensor-tested", "furnace-surveyed", "recipe-released",
	"setter-added", "oven-added", "carrier-added", "cutter-removed", "cutter-fitted", "equipment-serviced", "gauge-added", "gauge-calibrated", "gauge-checked", "design-released", "mould-received", "order-taken",
	"lot-received", "certificate-entered", "container-received", "container-opened", "factor-set", "lot-released", "release-drafted", "release-signed", "release-withdrawn",
	"traveler-opened", "release-assigned", "print-started", "paste-drawn", "coupon-made", "paste-wasted", "container-scrapped", "container-weighed", "layers-made", "print-finished", "insert-scrapped",
	"drying-started", "insert-weighed", "drying-finished", "green-measured", "load-opened", "load-taken-out", "load-placed", "coupon-placed", "load-closed", "load-unloaded",
	"tempering-started", "tempering-finished", "coupon-measured", "result-recorded", "inspection-finished", "step-left-out", "fit-up-done",
	"nonconformance-raised", "concession-given", "concession-withdrawn", "nonconformance-decided", "nonconformance-cancelled", "put-to-stock", "mould-shipped", "hold-set", "hold-lifted", "outage-noted", "form-checked",
}

// sort puts the entries into the order of recording.
func (p *plan) sort() {
	slices.SortStableFunc(p.entries, func(a, b *planned) int {
		return cmp.Or(a.Entered.Compare(b.Entered),
			cmp.Compare(slices.Index(order, a.Event.Kind()), slices.Index(order, b.Event.Kind())),
			a.At.Compare(b.At))
	})
}

// check notes what is wrong with the entries by themselves.
func (p *plan) check() {
	for _, e := range p.entries {
		if err := shop.Check(e.Event); err != nil {
			e.row.wrong("", "%s", err)
		}
	}
	if len(p.faults) == 0 {
		p.checkRoute()
	}
}

// checkRoute sees to it that each insert went through its operations in the
// order of the route. The gates would refuse it too, but only when half of the
// folder stands in the book.
func (p *plan) checkRoute() {
	last := map[string]*planned{}
	for _, e := range slices.SortedStableFunc(slices.Values(p.entries), func(a, b *planned) int { return a.At.Compare(b.At) }) {
		place, inserts := onRoute(e.Event)
		for _, insert := range inserts {
			before := last[insert]
			if before == nil {
				last[insert] = e
				continue
			}
			if was, _ := onRoute(before.Event); was > place {
				before.row.wrong(before.column, "%s of %s at %s lies before %s at %s (%s line %d): the route has them the other way round.",
					operationAt(was), insert, p.clock(before.At), operationAt(place), p.clock(e.At), e.row.t.name, e.row.line)
				continue
			}
			last[insert] = e
		}
	}
}

// onRoute is where on the route an event lies, and the inserts it happens to;
// none for events that have no place there.
func onRoute(e shop.Event) (place int, inserts []string) {
	switch e := e.(type) {
	case shop.TravelerOpened:
		return -1, []string{e.Insert}
	case shop.LoadUnloaded:
		return slices.Index(shop.Operations, shop.OpSinter), e.Inserts
	case shop.MouldShipped:
		return slices.Index(shop.Operations, shop.OpDeliver), e.Inserts
	case shop.Act:
		if e.Phase() != shop.Anytime {
			return slices.Index(shop.Operations, e.Operation()), []string{e.InsertNo()}
		}
	}
	return 0, nil
}

func operationAt(place int) string {
	if place < 0 {
		return "the opening"
	}
	return shop.Operations[place]
}

// wrongAll is everything that is wrong with the folder; nil when it is good.
func (p *plan) wrongAll() error {
	const shown = 25
	var said []string
	var all []error
	for _, err := range p.faults {
		if !slices.Contains(said, err.Error()) { // a field that is read twice is wrong once
			said, all = append(said, err.Error()), append(all, err)
		}
	}
	if len(all) > shown {
		all = append(all[:shown], fmt.Errorf("and %d faults more", len(all)-shown))
	}
	return errors.Join(all...)
}
