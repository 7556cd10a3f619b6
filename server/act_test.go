package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// Measuring again begins with the characteristic: no form asks for a value
// without saying of what, in which unit and between which limits.
func TestMeasureAgainPicksFirst(t *testing.T) {
	b := inspected(t)
	b.put("402", shop.ResultRecorded{Insert: "I-0029", Characteristic: "2", Value: readingOf("30.004", "mm"), Gauge: "M-12", Purpose: "inspection"})
	b.put("402", shop.ResultRecorded{Insert: "I-0029", Characteristic: "9", Value: readingOf("48", "HRC"), Gauge: "HT-1", Purpose: "inspection"})
	p := b.get("402", "/station/I-0029?act=result").says(http.StatusOK, "Take a characteristic from the list below")
	if p.form("/station/I-0029/result") != nil {
		t.Error("there is a form that names no characteristic")
	}
	p = b.get("402", "/station/I-0029?act=result&characteristic=2").says(http.StatusOK, "29.935")
	if got := valueOf(namedField(t, p.mustForm("/station/I-0029/result"), "characteristic")); got != "2" {
		t.Errorf("the form is about characteristic %q; want 2", got)
	}
}

// What is at its end has no form that goes on with it.
func TestScrappedHasNoForms(t *testing.T) {
	b := inspected(t)
	b.put("601", shop.InsertScrapped{Insert: "I-0029", Why: "cracked"})
	for path, badge := range map[string]string{"release": "101", "leave-out": "402", "scrap": "601"} {
		p := b.get(badge, "/inserts/I-0029/"+path).says(http.StatusConflict, "I-0029 is scrapped: its route is at its end.")
		if len(elements(p.doc, "textarea")) > 0 {
			t.Errorf("%s still has its form", path)
		}
	}
}

// The sentence about an act is shown once, not on the pages after it.
func TestNoticeIsShownOnce(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	b.server = New(Config{Store: b.store})
	w := b.browser(b.serve())
	w.signIn("601")
	form := w.get("/holds").mustForm("/holds")
	fields := url.Values{"on_kind": {"lot"}, "on_code": {"L2509-A"}, "why": {"coupons are small"}}
	for _, hidden := range []string{"command", "hold"} {
		fields.Set(hidden, valueOf(namedField(t, form, hidden)))
	}
	p := w.post("/holds", fields)
	if p.status != http.StatusSeeOther {
		t.Fatalf("holding a lot: %d %s", p.status, p.text())
	}
	notice := func() string {
		for _, n := range elements(w.get(p.to).doc, "p") {
			if attrOf(n, "role") == "status" {
				return strings.TrimSpace(wordsIn(n))
			}
		}
		return ""
	}
	if first := notice(); first == "" {
		t.Error("the act left no notice")
	}
	if again := notice(); again != "" {
		t.Errorf("the notice is shown again: %q", again)
	}
}
