package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"sinterbook/store/shop"
)

// sentWith reports whether a field of a page is sent with its form as it
// stands: no tick is set by these tests unless they say so.
func sentWith(n *html.Node) bool {
	return attrOf(n, "name") != "" && attrOf(n, "type") != "checkbox" && (attrOf(n, "type") != "radio" || hasAttr(n, "checked"))
}

func hasAttr(n *html.Node, name string) bool {
	for _, a := range n.Attr {
		if a.Key == name {
			return true
		}
	}
	return false
}

// begins is the one field in which the cursor of a page begins.
func begins(p shownPage) string {
	var at []string
	for _, n := range elements(p.doc, "input", "textarea", "select") {
		if hasAttr(n, "autofocus") {
			at = append(at, attrOf(n, "name")+"="+attrOf(n, "value"))
		}
	}
	return strings.Join(at, " ")
}

// HOLD and FAULT ask why with reasons that are touched; words may be added, or
// stand alone.
func TestReasonsToTouch(t *testing.T) {
	t.Parallel()
	s := scans(t)
	s.scan(s.code["I-0029"]).scan(s.code["HOLD"]).reads("Reason for the hold", "Crack or chip", "In your own words")
	if at := begins(s.page); at != "because=Crack or chip" {
		t.Errorf("HOLD: the cursor begins at %q; want it at the first reason", at)
	}
	s.scan(s.code["RECORD"]).reads("The reason for the hold is missing.")
	s.scan(s.code["RECORD"], "because", "Dropped or knocked").reads("I-0029 held by H-001")
	s.scan(s.code["I-0030"]).scan(s.code["HOLD"]).scan(s.code["402"], "because", "Crack or chip", "why", "at the gate edge").reads("Badge 402 works here now.")
	if at := begins(s.page); at != "because=Crack or chip" {
		t.Errorf("after a badge: the cursor begins at %q", at)
	}
	s.scan(s.code["RECORD"]).reads("I-0030 held by H-002")
	for hold, want := range map[string]string{"H-001": "Dropped or knocked", "H-002": "Crack or chip: at the gate edge"} {
		if h, err := s.store.Hold(t.Context(), hold); err != nil || h.Reason != want {
			t.Errorf("%s: reason %q, %v; want %q", hold, h.Reason, err, want)
		}
	}
}

func TestReasonsOfAFault(t *testing.T) {
	t.Parallel()
	s := scans(t)
	s.open("/station").scan(s.code["P1"]).scan(s.code["FAULT"]).reads("Hold something", "Nozzle blocked or leaking", "In your own words")
	if at := begins(s.page); at != "because=Nozzle blocked or leaking" {
		t.Errorf("a machine: the cursor begins at %q", at)
	}
	if p := s.post("204", s.page.mustForm("/holds"), url.Values{"because": {"Axis or probe reads wrong"}, "why": {"Z, by about 0.1 mm"}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	if h, err := s.store.Hold(t.Context(), "H-001"); err != nil || h.OnCode != "P1" || h.Reason != "Axis or probe reads wrong: Z, by about 0.1 mm" {
		t.Errorf("held: %+v, %v", h, err)
	}
	s.open("/station").scan(s.code["I-0029"]).scan(s.code["FAULT"]).reads("Raise a nonconformance", "Layer torn or missing")
	form := s.page.mustForm("/new/nonconformance")
	s.post("204", form, nil).says(http.StatusUnprocessableEntity, "What does not conform is missing.")
	if p := s.post("204", form, url.Values{"because": {"Layer torn or missing"}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	open, err := s.store.NonconformancesOpen(t.Context())
	if err != nil || len(open) != 1 || open[0].What != "Layer torn or missing" || open[0].State != shop.NCOpen {
		t.Errorf("raised: %+v, %v", open, err)
	}
	// What has no reasons of its own is asked in words, in a field that must be filled in.
	s.get("402", "/holds?on_kind=load").says(http.StatusOK, "Reason").silent("In your own words")
}

// What is typed on a page beside the bench goes along with no scan: it stays, and
// the page says so, until RECORD keeps it or CLEAR puts it aside. Both cards count
// where the cursor is, also in the words themselves.
func TestTypedBesideTheBench(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	s := scans(t)
	w := newTab(t, chromium(t), s.at.URL)
	w.open("/tablet?token=" + s.tabletAt("PR1", "T-2")).press("Register this tablet")
	w.fields("Badge", s.code["204"], "PIN", rightPIN).press("Sign in").reads("204 print operator")
	const words, said = "Z by about 0.1 mm", "What was typed here is not recorded yet: scan RECORD, or CLEAR to put it aside."
	stays := func(code string) {
		t.Helper()
		eval[bool](w, "document.querySelector('output.news').textContent = '', true") // what it said before
		time.Sleep(100 * time.Millisecond)                                            // a hand has moved the cursor
		step(w, "scanning "+code, typedFast(code+"\r"))
		w.waits(said)
	}
	w.open("/station").scan(s.code["P1"]).scan(s.code["FAULT"])
	w.fill("In your own words", words)
	for range 2 { // one that is scanned at once again is no second read
		eval[bool](w, "document.activeElement.blur(), true")
		stays(s.code["I-0029"])
	}
	w.picture("typed beside the bench")
	w.fill("In your own words", words)
	stays(s.code["HOLD"])
	if got := w.value("In your own words"); got != words {
		t.Fatalf("after scans the words are %q", got)
	}
	time.Sleep(100 * time.Millisecond)
	w.scan(s.code["RECORD"]).reads("H-001")
	if h, err := s.store.Hold(t.Context(), "H-001"); err != nil || h.OnCode != "P1" || h.Reason != words {
		t.Errorf("held: %+v, %v", h, err)
	}

	w.open("/station").scan(s.code["I-0029"]).scan(s.code["FAULT"]).reads("Layer torn or missing")
	eval[bool](w, "document.querySelector('[value=\"Layer torn or missing\"]').click(), true")
	stays(s.code["I-0030"])
	w.scan(s.code["CLEAR"]).reads("The bench is clear; nothing was recorded.")
	if open, err := s.store.NonconformancesOpen(t.Context()); err != nil || len(open) != 0 {
		t.Errorf("put aside, but recorded: %+v, %v", open, err)
	}

	// A page that asks in words alone is recorded by the card, too.
	w.open("/holds?on_kind=lot").fields("Its number or scan code", "L2509-A", "Reason", "smells of acetone")
	stays(s.code["FAULT"])
	time.Sleep(100 * time.Millisecond)
	w.scan(s.code["RECORD"]).reads("H-002")
	if h, err := s.store.Hold(t.Context(), "H-002"); err != nil || h.OnCode != "L2509-A" || h.Reason != "smells of acetone" {
		t.Errorf("held: %+v, %v", h, err)
	}
	w.quiet("beside the bench")
}
