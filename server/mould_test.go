package server

import (
	"net/http"
	"net/url"
	"testing"

	"sinterbook/store/shop"
)

// fittedMould is a mould with one insert fitted in it.
func fittedMould(t *testing.T) *bookTest {
	t.Helper()
	b := staffed(t)
	b.opened("I-0031", "CR40")
	b.dried("I-0031", "PL-01")
	b.sintered("F2-06", "I-0031")
	b.put("601", shop.PersonAuthorised{Badge: "311", Operation: shop.OpTemper, From: "2025-01-01", Evidence: "TR-002"})
	b.because("311", "ordered so", shop.StepLeftOut{Insert: "I-0031", Op: shop.OpTemper})
	for _, c := range [][3]string{{"1", "39.98", "mm"}, {"2", "29.99", "mm"}, {"3", "24.98", "mm"}, {"9", "48.2", "HRC"}} {
		gauge := "M-12"
		if c[2] == "HRC" {
			gauge = "HT-1"
		}
		b.put("402", shop.ResultRecorded{Insert: "I-0031", Characteristic: c[0], Value: readingOf(c[1], c[2]), Gauge: gauge, Purpose: "inspection"})
	}
	b.put("402", shop.InspectionFinished{Insert: "I-0031"})
	b.put("501", shop.FitUpDone{Insert: "I-0031", Mould: "M301", Place: "A1", Shim: readingOf("0", "mm")})
	return b
}

func TestMouldPage(t *testing.T) {
	b := fittedMould(t)
	p := b.get("900", "/moulds/M301").says(http.StatusOK, "Mould of customer K1", "in the toolroom").silent("Your PIN")
	if rows := p.rows("Place"); len(rows) != 1 || rows[0][0] != "A1" || rows[0][1] != "I-0031" || rows[0][4] != "fitted" {
		t.Errorf("fitted: %q", rows)
	}
	if rows := p.rows("Fitted"); len(rows) != 1 || rows[0][0] != "O-1" || rows[0][2] != "1 of 3" {
		t.Errorf("ordered for it: %q", rows)
	}
}

// TestDeliverIsOffered to the quality manager, with every insert that is
// fitted, and once.
func TestDeliverIsOffered(t *testing.T) {
	b := fittedMould(t)
	if b.get("501", "/moulds/M301").form("/moulds/M301") != nil {
		t.Error("a toolmaker is offered to deliver it")
	}
	form := b.get("601", "/moulds/M301").says(http.StatusOK, "I deliver this mould with the inserts that are fitted in it.").mustForm("/moulds/M301")
	if got := valueOf(namedField(t, form, "inserts")); got != "I-0031" {
		t.Errorf("the form delivers %q; want I-0031", got)
	}
	before := b.entries()
	b.post("601", form, url.Values{"note": {""}, "pin": {""}}).says(http.StatusUnprocessableEntity)
	if b.entries() != before {
		t.Error("something was stored")
	}
	b.sign("601", shop.MouldShipped{Mould: "M301", Note: "DN-7", Inserts: []string{"I-0031"}})
	b.get("601", "/moulds/M301").says(http.StatusOK, "delivered").silent("Your PIN")
	b.get("900", "/orders/O-1").says(http.StatusOK, "1 made")
	b.get("900", "/moulds/M301").says(http.StatusOK, "Deliveries and returns", "DN-7").silent("Record that it came back")
	b.get("501", "/inserts/I-0031").says(http.StatusOK, "Record that it came back")
	back := b.get("501", "/new/mould-return?mould=M301").says(http.StatusOK, "I-0031").mustForm("/new/mould-return")
	b.post("501", back, url.Values{"why": {""}, "inserts": {"I-0031"}}).says(http.StatusUnprocessableEntity, "Why it came back is missing")
	if p := b.post("501", back, url.Values{"why": {"flash at A1"}, "inserts": {"I-0031"}}); p.to != "/moulds/M301" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("601", "/moulds/M301").says(http.StatusOK, "in the toolroom", "came back: flash at A1", "I deliver this mould")
	b.get("900", "/history/mould/M301").says(http.StatusOK, "Mould M301 came back with I-0031: flash at A1.")
}
