package server

import (
	"net/http"
	"net/url"
	"testing"

	"sinterbook/store/shop"
)

// inspectedSmall leaves I-0029 inspected with a height outside its limits.
func inspectedSmall(b *bookTest) {
	b.Helper()
	b.opened("I-0029", "CR40")
	b.dried("I-0029", "PL-01")
	b.sintered("F1-01", "I-0029")
	b.put("311", shop.TemperingStarted{Insert: "I-0029", Recipe: "TR-590 A", Oven: "H1"})
	b.put("311", shop.TemperingFinished{Insert: "I-0029"})
	for characteristic, value := range map[string]shop.Reading{"1": readingOf("39.969", "mm"), "2": readingOf("30.012", "mm"), "3": readingOf("24.512", "mm"), "9": readingOf("48.2", "HRC")} {
		gauge := "M-12"
		if characteristic == "9" {
			gauge = "HT-1"
		}
		b.put("402", shop.ResultRecorded{Insert: "I-0029", Characteristic: characteristic, Value: value, Gauge: gauge, Purpose: "inspection"})
	}
	b.put("402", shop.InspectionFinished{Insert: "I-0029"})
}

// A piece that failed is raised by an inspector, seen on every page where
// somebody would take it, conceded by the quality manager and fitted.
func TestFromFailToConcession(t *testing.T) {
	b := staffed(t)
	inspectedSmall(b)
	form := b.get("402", "/new/nonconformance?insert=I-0029").says(http.StatusOK, "Raise a nonconformance").mustForm("/new/nonconformance")
	if got := valueOf(namedField(t, form, "nonconformance")); got != "NC-001" {
		t.Errorf("the number is proposed as %q; want NC-001", got)
	}
	if p := b.post("402", form, url.Values{"what": {"Z 0.49 mm small"}}); p.to != "/nonconformances/NC-001" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", "/inserts/I-0029").says(http.StatusOK, "NC-001 is open", "Z 0.49 mm small.")
	b.get("900", "/floor").says(http.StatusOK, "NC-001 open")
	p := b.get("900", "/holds").says(http.StatusOK, "1 piece waits for a decision", "quality manager decides")
	if rows := p.rows("Whose move"); len(rows) != 1 || rows[0][0] != "NC-001" {
		t.Errorf("waiting: %q; want NC-001 alone", rows)
	}
	b.get("402", "/nonconformances/NC-001").says(http.StatusOK, "The quality manager decides").silent("Your PIN")
	if p := b.get("402", "/new/concession?nonconformance=NC-001"); p.status != http.StatusForbidden {
		t.Errorf("an inspector gives a concession: status %d", p.status)
	}
	give := b.get("601", "/new/concession?nonconformance=NC-001").says(http.StatusOK, "Pieces of NC-001", "I-0029").mustForm("/new/concession")
	before := b.entries()
	b.emptied("601", give).says(http.StatusUnprocessableEntity, "No piece is named", "What is allowed is missing.", "The number of pieces allowed is missing.", "The last day of the concession is not a day").linked()
	typed := url.Values{"inserts": {"I-0029"}, "quantity": {"1"}, "expires_on": {"2030-01-01"}, "what": {"height 24.5 mm or more"}, "mould": {"M301"},
		"limits.1": {"height"}, "limits.1.lower": {"24,5"}, "limits.1.unit": {"mm"}, "pin": {"000000"}}
	b.post("601", give, typed).says(http.StatusUnprocessableEntity, "PIN")
	if after := b.entries(); after != before {
		t.Errorf("the log grew from %d to %d without a signature", before, after)
	}
}

// The quality manager decides with PIN and reason; without either nothing is
// decided, and what was chosen is still there.
func TestDecide(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	inspectedSmall(b)
	b.put("402", shop.NonconformanceRaised{Nonconformance: "NC-001", Insert: "I-0029", What: "Z 0.49 mm small"})
	path := "/nonconformances/NC-001"
	form := b.get("601", path).says(http.StatusOK, "Decide").mustForm(path)
	choice := url.Values{"inserts": {"I-0029"}, "disposition": {"rework"}, "why": {"sinter once more"}, "pin": {rightPIN}}
	p := b.post("601", form, choice).says(http.StatusUnprocessableEntity, "Say from which operation on it goes through the route again")
	if got := valueOf(namedField(t, p.mustForm(path), "disposition")); got != "rework" {
		t.Errorf("the disposition comes back as %q; want rework", got)
	}
	choice.Set("back", "print")
	b.post("601", form, choice).says(http.StatusUnprocessableEntity, "Say from which operation")
	choice.Set("back", "sintering")
	if p := b.post("601", form, choice); p.to != path {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", path).says(http.StatusOK, "rework, back to sintering", "sinter once more")
	b.get("900", "/inserts/I-0029").says(http.StatusOK, "Sintering, again", "waits for sintering")
	b.get("900", "/nonconformances").says(http.StatusOK, "NC-001")
	b.get("900", "/history/nonconformance/NC-001").says(http.StatusOK, "was decided: rework, back to sintering")
}

// What was raised by mistake is cancelled from the same form.
func TestCancelNonconformance(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	b.opened("I-0029", "CR40")
	b.put("402", shop.NonconformanceRaised{Nonconformance: "NC-001", Insert: "I-0029", What: "edge chipped"})
	path := "/nonconformances/NC-001"
	form := b.get("601", path).mustForm(path)
	if p := b.post("601", form, url.Values{"inserts": {"I-0029"}, "disposition": {"cancel"}, "why": {"wrong traveler"}, "pin": {rightPIN}}); p.to != path {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", path).says(http.StatusOK, "cancelled", "wrong traveler").silent("Decide")
}
