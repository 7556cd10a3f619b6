package server

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

func TestFloorSaysWhereEverythingIs(t *testing.T) {
	b := staffed(t)
	for _, n := range []string{"I-0031", "I-0032", "I-0033"} {
		b.opened(n, "CR40")
	}
	b.dried("I-0031", "PL-01")
	b.dried("I-0032", "PL-02")
	b.put("601", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0032", Why: "edge chipped"})
	p := b.get("900", "/floor").says(http.StatusOK, "3 inserts on the floor", "SR-1340 C: 1 insert", "1–3 of 3 inserts")
	rows := p.rows("Part, order")
	for i, want := range [][]string{
		{"I-0031", "CR40 core O-1", "dried on PL-01", "1 d 0 h", "2025-10-15 7 days late", "Sintering"},
		{"I-0032", "CR40 core O-1", "dried on PL-02 held H-001", "less than a minute", "2025-10-15 7 days late", "Sintering"},
		{"I-0033", "CR40 core O-1", "opened", "2 d 0 h", "2025-10-15 7 days late", "Print, dry, shape"},
	} {
		if !slices.Equal(rows[i], want) {
			t.Errorf("line %d is %q; want %q", i+1, rows[i], want)
		}
	}
	if rows := b.get("900", "/floor?next=print").rows("Part, order"); len(rows) != 1 || rows[0][0] != "I-0033" {
		t.Errorf("next to print: %q; want I-0033 alone", rows)
	}
	b.get("900", "/floor?next=welding").says(http.StatusUnprocessableEntity, `"welding" is not an operation of the route.`)
	b.get("900", "/floor?after=x").says(http.StatusUnprocessableEntity, "that is not a place in the list")
}

// A hold on the load or on the lot stops every insert that goes with it.
func TestFloorShowsWhatIsHeldWithIt(t *testing.T) {
	b := staffed(t)
	b.opened("I-0031", "CR40")
	b.put("601", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L2509-A", Why: "coupons are small"})
	if rows := b.get("900", "/floor").rows("Part, order"); rows[0][2] != "opened held H-001" {
		t.Errorf("with its lot held it stands at %q; want it held by H-001", rows[0][2])
	}
	b.get("900", "/holds/H-001").says(http.StatusOK, "One open insert is stopped by it.", "I-0031")
}

// Lists are read in pages of 200, and none is lost between two.
func TestFloorPages(t *testing.T) {
	b := staffed(t)
	for i := range 403 {
		b.put("700", shop.TravelerOpened{Insert: fmt.Sprintf("I-%04d", i+1), Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
	}
	var seen []string
	path := "/floor"
	for n := 1; path != ""; n++ {
		p := b.get("900", path)
		for _, row := range p.rows("Part, order") {
			seen = append(seen, row[0])
		}
		if n == 2 {
			p.says(http.StatusOK, "201–400 of 403 inserts")
			if prev := pagerLink(p, "prev"); !slices.Equal(b.get("900", prev).rows("Part, order")[0][:1], []string{"I-0001"}) {
				t.Errorf("the page before begins at %s", prev)
			}
		}
		path = pagerLink(p, "next")
	}
	if len(seen) != 403 || !slices.IsSorted(seen) || len(slices.Compact(seen)) != 403 {
		t.Errorf("%d inserts on all pages; want 403, each once and in order", len(seen))
	}
}

func pagerLink(p shownPage, rel string) string {
	for _, a := range elements(p.doc, "a") {
		if attrOf(a, "rel") == rel {
			return attrOf(a, "href")
		}
	}
	return ""
}

func TestFind(t *testing.T) {
	b := staffed(t)
	b.opened("I-0031", "CR40")
	for q, want := range map[string]string{"i-0031": "/inserts/I-0031", "L2509-a/01": "/containers/L2509-A/01", "dr-02+a": "/releases/DR-02%20A", "+o-1+": "/orders/O-1"} {
		if p := b.get("900", "/find?q="+q); p.status != http.StatusSeeOther || p.to != want {
			t.Errorf("finding %q: status %d to %q; want %s", q, p.status, p.to, want)
		}
	}
	b.get("900", "/find?q=nothing").says(http.StatusNotFound, "Nothing in this book is called nothing.")
	b.get("900", "/find?q=").says(http.StatusUnprocessableEntity, "Type or scan what you are looking for")
	if !strings.Contains(b.get("900", "/floor").raw, `action="/find"`) {
		t.Error("the floor has no box to find things with")
	}
}
