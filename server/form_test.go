package server

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"sinterbook/store/shop"
)

// What was kept on a numbered form is typed in at the station, with both
// badges; the list shows what waits for its second person.
func TestTypeInAForm(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	b.get("900", "/paper").says(http.StatusOK, "No form was typed in.", "No outage was noted.").silent("Note an outage")
	happened := b.now().Add(time.Hour)
	b.advance(5 * time.Hour)
	form := b.get("402", "/new/nonconformance").mustForm("/new/nonconformance")
	b.opened("I-0029", "CR40")
	fields := url.Values{"insert": {"I-0029"}, "what": {"edge chipped"}, "paper_form": {"PF-0007"}}
	before := b.entries()
	b.post("402", form, fields).says(http.StatusUnprocessableEntity, "copy it from form PF-0007")
	fields.Set("paper_by", "204")
	b.post("402", form, fields).says(http.StatusUnprocessableEntity, "say when it happened")
	fields.Set("at", happened.In(viennaOf(t)).Format("2006-01-02T15:04"))
	fields.Set("paper_form", "")
	b.post("402", form, fields).says(http.StatusUnprocessableEntity, "The number of the form is missing")
	if after := b.entries(); after != before {
		t.Errorf("the log grew from %d to %d", before, after)
	}
	fields.Set("paper_form", "PF-0007")
	if p := b.post("402", form, fields); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/paper").says(http.StatusOK, "PF-0007", "waits for its check", "none")
	b.get("900", "/history/insert/I-0029").says(http.StatusOK, "From paper form PF-0007, typed in by 402.")
	b.get("402", "/paper/PF-0007").says(http.StatusOK, "Another person than the one who typed it in").silent("Your PIN")
	check := b.get("601", "/paper/PF-0007").says(http.StatusOK, "edge chipped", "Done by 204", "typed in by 402").mustForm("/paper/PF-0007")
	if p := b.post("601", check, url.Values{"pin": {rightPIN}}); p.to != "/paper" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", "/paper/PF-0007").says(http.StatusOK, "checked by 601", "Nothing more can be typed in")
}

func TestNoteAnOutage(t *testing.T) {
	b := staffed(t)
	form := b.get("601", "/new/outage").says(http.StatusOK, "Note an outage").mustForm("/new/outage")
	b.emptied("601", form).says(http.StatusUnprocessableEntity, "from which the service was down is missing", "until which the service was down is missing", "What was done meanwhile is missing.").linked()
	b.post("601", form, url.Values{"from": {"2025-10-03T16:45"}, "until": {"2025-10-03T13:10"}, "note": {"forms PF-0001 on"}}).says(http.StatusUnprocessableEntity, "does not lie after its beginning")
	if p := b.post("601", form, url.Values{"from": {"2025-10-03T13:10"}, "until": {"2025-10-03T16:45"}, "note": {"forms PF-0001 on"}}); p.to != "/paper" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", "/paper").says(http.StatusOK, "2025-10-03 13:10", "3 h 35 min", "forms PF-0001 on")
}

func viennaOf(t *testing.T) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// A form is no way to act as another: neither a signature nor a right can be
// typed in from one, whatever a request says.
func TestAFormSpeaksForNobodysRights(t *testing.T) {
	b := staffed(t)
	b.keyed("101")
	b.keyed("601")
	b.put("402", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L2509-A", Why: "coupons are small"})
	b.advance(5 * time.Hour)
	forged := url.Values{"paper_form": {"PF-0009"}, "paper_by": {"101"}, "at": {b.now().Add(-time.Hour).In(viennaOf(t)).Format("2006-01-02T15:04")}, "pin": {rightPIN}, "why": {"all is well"}}
	lift := b.get("601", "/holds/H-001").mustForm("/holds/H-001")
	before := b.size()
	b.post("601", lift, forged).says(http.StatusUnprocessableEntity, "nobody signs for another")
	for path, fields := range map[string]url.Values{
		"/policies":             {"gate": {"not held"}, "operation": {"every operation"}, "mode": {"warn"}, "from": {"2025-10-20T09:00"}},
		"/people/204/authorise": {"operation": {"sintering"}, "from": {"2025-01-01"}, "evidence": {"TR-9"}},
		"/people/204/roles":     {"role": {"quality manager"}},
		"/orders/O-1":           {"due": {"2030-01-01"}, "quantity": {"9"}, "reason": {"later"}},
	} {
		fields.Set("command", uuid.NewString())
		fields.Set("paper_form", "PF-0009")
		fields.Set("paper_by", "601")
		fields.Set("at", forged.Get("at"))
		r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(fields.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if p := b.answer("204", r); p.status < 400 {
			t.Errorf("a print operator sends %s in the quality manager's name: %d", path, p.status)
		}
	}
	if n := b.size(); n != before {
		t.Errorf("%d entries were recorded", n-before)
	}
}
