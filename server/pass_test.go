package server

import (
	"net/http"
	"net/url"
	"testing"
	"time"
)

// The time of a demo passes by a press, and nothing is recorded by it; no other
// book has such a page.
func TestLetTimePass(t *testing.T) {
	b := staffed(t)
	for _, badge := range []string{"204", "900"} {
		b.keyed(badge)
	}
	b.server = New(Config{Store: b.store})
	w := b.browser(b.serve())
	w.signIn("204")
	w.get("/floor").says(http.StatusOK).silent("Let time pass")
	w.get("/pass").says(http.StatusNotFound)

	b.server = New(Config{Store: b.store, Demo: true, Pass: b.advance})
	w = b.browser(b.serve())
	w.signIn("204")
	w.get("/floor").says(http.StatusOK, "Let time pass")
	w.get("/pass").says(http.StatusOK, "10 minutes", "1 hour", "8 hours", "1 day")
	before, entries := b.now(), b.entries()
	if p := w.post("/pass", url.Values{"minutes": {"480"}}); p.status != http.StatusSeeOther {
		t.Fatalf("letting time pass: %d %s", p.status, p.text())
	}
	w.get("/pass").says(http.StatusOK, "The demo's clock went on by 8 hours.")
	if passed := b.now().Sub(before); passed != 8*time.Hour || b.entries() != entries {
		t.Errorf("%v passed and %d entries were made; want 8 hours and none", passed, b.entries()-entries)
	}
	for _, minutes := range []string{"", "-10", "0", "10081", "an hour"} {
		w.post("/pass", url.Values{"minutes": {minutes}}).says(http.StatusUnprocessableEntity, "not a time that can pass at once")
	}
	if passed := b.now().Sub(before); passed != 8*time.Hour {
		t.Errorf("%v passed after what was refused", passed)
	}
	auditor := b.browser(b.serve())
	auditor.signIn("900")
	auditor.get("/floor").says(http.StatusOK).silent("Let time pass")
}
