package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// What was found is listed with where it is, sorted as asked, and taken along
// as a file.
func TestTracePage(t *testing.T) {
	b := crammed(t)
	p := b.get("900", "/trace?q=L2509-A").says(http.StatusOK, "Trace of lot L2509-A", "What became of its paste", "Made = delivered + in stock + in work + scrapped").silent("Hold them")
	rows := p.rows("Touched")
	if len(rows) < 4 || rows[0][0] != "I-0029" || rows[0][2] != "delivered" || !strings.HasPrefix(rows[0][3], "M301 at K1 since") {
		t.Errorf("the inserts of the lot: %q", rows)
	}
	if rows := b.get("900", "/trace?q=L2509-A&sort=status").rows("Touched"); rows[0][2] != "delivered" || rows[len(rows)-1][2] < rows[0][2] {
		t.Errorf("by status: %q", rows)
	}
	b.get("900", "/trace?q=I-0029").says(http.StatusOK, "Behind it", "L2509-A/01", "DR-02 A", "F2-05", "M-12").silent("The inserts that it touched")
	for path, why := range map[string]string{
		"/trace?q=I-9999": "Nothing in this book is called I-9999", "/trace?q=L2509-A&window=good": "neither checked nor tested", "/trace?q=M-12&window=between": "Say from which day on",
		"/trace?q=M-12&window=between&from=2025-10-09&until=2025-10-01": "lies before the first day", "/trace?q=L2509-A&first_layer=9&last_layer=3": "lies before the first layer",
		"/trace?q=F2&first_layer=1&last_layer=3": "Layers narrow", "/trace?q=M-12&window=between&from=20.10.2025": "is not a day",
	} {
		p := b.get("900", path).says(http.StatusUnprocessableEntity, why)
		if asked, _ := url.ParseQuery(strings.TrimPrefix(path, "/trace?")); valueOf(namedField(t, p.mustForm("/trace"), "q")) != asked.Get("q") {
			t.Errorf("after %s what was typed is gone", path)
		}
	}
	if p := b.get("900", "/trace.csv?q=L2509-A"); p.status != http.StatusOK || !strings.HasPrefix(p.raw, `"insert","part","status"`) || !strings.Contains(p.raw, "\r\n\"I-0029\",\"CR40\",\"delivered\"") {
		t.Errorf("as CSV: %d %.300s", p.status, p.raw)
	}
	if p := b.get("900", "/trace.json?q=L2509-A"); !strings.Contains(p.raw, `{"kind":"insert","code":"I-0029","where":"M301 at K1 since`) {
		t.Errorf("as JSON: %d %.300s", p.status, p.raw)
	}
	b.get("900", "/trace.csv?q=nothing").says(http.StatusUnprocessableEntity, "Nothing in this book is called nothing")
	if rows := b.get("900", "/trace?q=L2509-A&shared=1").rows("Shares"); len(rows) != 1 || rows[0][0] != "I-0034" || rows[0][6] != "release DR-02 A" {
		t.Errorf("what shares with the lot: %q", rows)
	}
	b.get("900", "/trace?q=I-0029&shared=1").says(http.StatusOK, "lot L2509-A")
	b.get("900", "/compare?a=I-0029&b=I-0031").says(http.StatusOK, "Different, in the order of the route", "M301", "Alike in both")
	b.get("900", "/compare?b=I-0031").says(http.StatusUnprocessableEntity, "No insert of that part passed its inspection before I-0031.")
	b.get("900", "/compare?a=L2509-A&b=I-0031").says(http.StatusUnprocessableEntity, "L2509-A is a lot, not an insert.")
}

// Holding what was found is one act; it comes back with what was typed when
// something is missing. Notices are written, sent and answered.
func TestContain(t *testing.T) {
	b := crammed(t)
	if b.get("501", "/trace?q=L2509-A").form("/trace?q=L2509-A") != nil {
		t.Error("a toolmaker is offered to hold everything")
	}
	form := b.get("601", "/trace?q=L2509-A").says(http.StatusOK, "Hold them in one act").mustForm("/trace?q=L2509-A")
	before := b.entries()
	b.post("601", form, url.Values{"why": {""}, "inserts": {}}).says(http.StatusUnprocessableEntity, "The reason for it is missing.", "choose at least one")
	if b.entries() != before {
		t.Error("something was stored")
	}
	if p := b.post("601", form, url.Values{"why": {"small in Z"}, "which": {"ticked"}, "inserts": {"I-9999"}}); p.status != http.StatusUnprocessableEntity || !strings.Contains(p.text(), "I-9999 is not among what the trace found") {
		t.Errorf("a stray insert: %d %s", p.status, p.text())
	}
	b.post("601", form, url.Values{"why": {"small in Z"}, "which": {"all"}, "inserts": {"I-0029"}}).says(http.StatusUnprocessableEntity, "Some on this page are not ticked")
	if p := b.post("601", form, url.Values{"containment": {"CA-002"}, "why": {"small in Z"}, "inserts": {"I-0033", "I-0029", "I-0030", "I-0031", "I-0032"}}); p.to != "/containments/CA-002" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", "/containments/CA-002").says(http.StatusOK, "holds stand", "small in Z", "Out of reach", "I-0029", "DN-7", "to be written").silent("Sign and lift")
	b.get("900", "/inserts/I-0030").says(http.StatusOK, "small in Z")
	notice := b.get("601", "/containments/CA-002/notices/K1").says(http.StatusOK, "I-0029, in mould M301").mustForm("/containments/CA-002/notices/K1")
	b.post("601", notice, url.Values{"how": {""}}).says(http.StatusUnprocessableEntity, "How it was sent, and to whom is missing.")
	if p := b.post("601", notice, url.Values{"says": {"Stop I-0029."}, "how": {"by letter"}}); p.status != http.StatusSeeOther {
		t.Fatalf("sending: %d %s", p.status, p.text())
	}
	answer := b.get("601", "/containments/CA-002/notices/K1").says(http.StatusOK, "Stop I-0029.", "by letter").mustForm("/containments/CA-002/notices/K1")
	b.post("601", answer, url.Values{"answer": {""}}).says(http.StatusUnprocessableEntity, "What they answered is missing.")
	if p := b.post("601", answer, url.Values{"answer": {"taken out of the press"}}); p.status != http.StatusSeeOther {
		t.Fatalf("answering: %d %s", p.status, p.text())
	}
	b.get("900", "/containments/CA-002/notices/K1").says(http.StatusOK, "answered", "taken out of the press").silent("Record")
	b.get("900", "/containments/CA-002/notices/K2").says(http.StatusNotFound)
	lift := b.get("601", "/containments/CA-002").mustForm("/containments/CA-002")
	b.post("601", lift, url.Values{"why": {"coupons are good"}, "pin": {rightPIN}}).says(http.StatusUnprocessableEntity, "No hold is named")
	c, err := b.store.Containment(t.Context(), "CA-002")
	if err != nil {
		t.Fatal(err)
	}
	var holds []string
	for _, h := range c.Holds {
		holds = append(holds, h.Hold)
	}
	if p := b.post("601", lift, url.Values{"why": {"coupons are good"}, "pin": {rightPIN}, "holds": holds}); p.status != http.StatusSeeOther {
		t.Fatalf("lifting: %d %s", p.status, p.text())
	}
	b.get("900", "/containments").says(http.StatusOK, "CA-002", "over", "CA-001")
	b.get("900", "/history/insert/I-0030").says(http.StatusOK, "containment CA-002", "was lifted: coupons are good.")
}

// A drill draws an insert, and what it found stays in the book.
func TestDrill(t *testing.T) {
	b := crammed(t)
	before := b.entries()
	form := b.get("601", "/drills").says(http.StatusOK, "gauge of inspection", "not complete").mustForm("/drills")
	if p := b.post("601", form, nil); p.to != "/drills" || b.entries() != before+1 {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	if rows := b.get("900", "/drills").silent("Draw an insert").rows("Outcome"); len(rows) != 2 {
		t.Errorf("drills: %q", rows)
	}
	if p := b.post("601", form, nil); p.to != "/drills" || b.entries() != before+1 {
		t.Errorf("a second click is another drill: %d %s", p.status, p.text())
	}
	b.post("501", form, nil).says(http.StatusForbidden)
	var none shop.TraceDrilled
	if drills, err := b.store.Drills(t.Context()); err != nil || drills[0].Upstream == none.Upstream {
		t.Errorf("drills %+v, %v", drills, err)
	}
}
