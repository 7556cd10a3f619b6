package server

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// modeOf is what the page of policies says about a gate at an operation.
func (b *bookTest) modeOf(gate string, column int) string {
	b.Helper()
	for _, row := range b.get("900", "/policies").says(http.StatusOK).rows("Print, dry, shape") {
		if row[0] == gate {
			return row[column]
		}
	}
	b.Fatalf("there is no gate %q on the page", gate)
	return ""
}

// TestPolicies: a gate stops until something else is decided, from the moment
// that was given.
func TestPolicies(t *testing.T) {
	b := staffed(t)
	const print, sinter = 2, 4
	if got := b.modeOf("oversize equals release", print); got != "stop" {
		t.Errorf("nothing decided: %q; want stop", got)
	}
	if got := b.modeOf("oversize equals release", sinter); got != "" {
		t.Errorf("a gate of the print is asked at sintering: %q", got)
	}
	form := b.get("601", "/policies").mustForm("/policies")
	typed := url.Values{"gate": {"oversize equals release"}, "operation": {"print"}, "mode": {"warn"}, "from": {"2025-10-20T12:00"}, "note": {"trial of a new machine"}}
	for range 2 {
		if p := b.post("601", form, typed); p.to != "/policies" {
			t.Fatalf("status %d: %s", p.status, p.text())
		}
	}
	b.get("900", "/policies").says(http.StatusOK, "not yet in force", "2025-10-20 12:00")
	if got := b.modeOf("oversize equals release", print); got != "stop" {
		t.Errorf("before its moment: %q; want stop", got)
	}
	b.set(time.Date(2025, 10, 20, 10, 0, 0, 0, time.UTC)) // noon in the shop
	if got := b.modeOf("oversize equals release", print); got != "warn 2025-10-20" {
		t.Errorf("from its moment: %q; want warn 2025-10-20", got)
	}
	if rows := b.get("900", "/policies").rows("At operation"); len(rows) != 2 { // the book was set up with one
		t.Errorf("decisions %q; want one more than the book began with", rows)
	}
	b.post("101", form, typed).says(http.StatusForbidden, "it is for the quality manager")
}

// TestEveryGateIsShown: no gate of the shop is left off the page.
func TestEveryGateIsShown(t *testing.T) {
	b := staffed(t)
	for _, g := range shop.AllGates {
		asked := false
		for column := range shop.Operations {
			asked = asked || b.modeOf(g.Name, column+1) != ""
		}
		if !asked {
			t.Errorf("the gate %q is asked nowhere on the page", g.Name)
		}
	}
}
