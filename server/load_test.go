package server

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// loading is a book with two dried inserts, a third one opened, and a load
// that was begun.
func loading(t *testing.T) *bookTest {
	t.Helper()
	b := staffed(t)
	for i, n := range []string{"I-0031", "I-0032", "I-0033"} {
		b.opened(n, "CR40")
		if i < 2 {
			b.dried(n, []string{"PL-01", "PL-02"}[i])
		}
	}
	b.put("311", shop.LoadOpened{Load: "F2-06", Furnace: "F2", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	return b
}

func (b *bookTest) codeOf(insert string) string {
	b.Helper()
	i, err := b.store.Insert(b.Context(), insert)
	if err != nil {
		b.Fatal(err)
	}
	return string(i.Code)
}

func TestBeginLoad(t *testing.T) {
	b := staffed(t)
	b.get("601", "/new/load").says(http.StatusForbidden, "it is for the furnace operator")
	form := b.get("311", "/new/load").says(http.StatusOK, "F2, 5 places").mustForm("/new/load")
	again := b.post("311", form, url.Values{"furnace": {"F2"}, "recipe": {"SR-1340 C"}}).says(http.StatusUnprocessableEntity, "The load number is missing.")
	if got := valueOf(namedField(t, again.mustForm("/new/load"), "furnace")); got != "F2" {
		t.Errorf("the furnace comes back as %q; want F2", got)
	}
	if p := b.post("311", again.mustForm("/new/load"), url.Values{"load": {"F2-06"}}); p.to != "/loads/F2-06" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	if p := b.post("311", again.mustForm("/new/load"), url.Values{"load": {"F2-06"}}); p.to != "/loads/F2-06" {
		t.Errorf("sent twice: status %d to %q; want the same load", p.status, p.to)
	}
	if rows := b.get("900", "/loads").rows("Recipe"); len(rows) != 1 || rows[0][1] != "being loaded" {
		t.Errorf("loads: %q; want one, being loaded", rows)
	}
}

func TestPlaceByScan(t *testing.T) {
	b := loading(t)
	p := b.get("311", "/loads/F2-06").says(http.StatusOK, "free, next")
	for _, to := range []string{"/loads/F2-06?place=T1#f-place-insert", "/loads/F2-06?place=B1#f-place-insert"} {
		if !slices.Contains(p.links(), to) {
			t.Errorf("the picture does not lead to %s", to)
		}
	}
	chosen := b.get("311", "/loads/F2-06?place=M2").mustForm("/loads/F2-06/place")
	if got := valueOf(namedField(t, chosen, "position")); got != "M2" {
		t.Errorf("the place chosen in the picture is %q; want M2", got)
	}
	if p := b.post("311", chosen, url.Values{"insert": {b.codeOf("I-0031")}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	p = b.get("311", "/loads/F2-06")
	if !slices.Contains(p.links(), "/inserts/I-0031") {
		t.Error("the place does not lead to the insert that lies there")
	}
	if got := valueOf(namedField(t, p.mustForm("/loads/F2-06/place"), "position")); got != "T1" {
		t.Errorf("next free place is %q; want T1", got)
	}
	move := b.get("311", "/loads/F2-06?place=B1").mustForm("/loads/F2-06/place")
	b.post("311", move, url.Values{"insert": {"I-0031"}})
	if rows := b.get("900", "/loads/F2-06").rows("Laid in by"); len(rows) != 1 || rows[0][0] != "B1" || rows[0][1] != "I-0031" {
		t.Errorf("moved: %q; want I-0031 at B1 alone", rows)
	}
}

func TestPlaceRefuses(t *testing.T) {
	b := loading(t)
	b.put("311", shop.LoadPlaced{Load: "F2-06", Insert: "I-0031", Position: "T1"})
	form := b.get("311", "/loads/F2-06").mustForm("/loads/F2-06/place")
	for _, tt := range []struct {
		name, insert, position string
		status                 int
		say                    string
	}{
		{"nothing scanned", "", "T2", http.StatusUnprocessableEntity, "The insert is missing"},
		{"not known", "I-9999", "T2", http.StatusUnprocessableEntity, "Nothing in this book is called I-9999."},
		{"a lot", "L2509-A", "T2", http.StatusUnprocessableEntity, "L2509-A is a lot, not an insert."},
		{"a taken place", "I-0032", "T1", http.StatusConflict, "Place T1 of load F2-06 is taken by I-0031."},
		{"a coupon's place", "I-0032", "M3", http.StatusUnprocessableEntity, "Furnace F2 has no place M3 for an insert."},
		{"not dried", "I-0033", "T2", http.StatusConflict, "print comes first"},
	} {
		p := b.post("311", form, url.Values{"insert": {tt.insert}, "position": {tt.position}}).says(tt.status, tt.say)
		if got := valueOf(namedField(t, p.mustForm("/loads/F2-06/place"), "insert")); got != tt.insert {
			t.Errorf("%s: %q comes back in the form; want what was typed", tt.name, got)
		}
	}
	if p := b.get("402", "/loads/F2-06"); p.form("/loads/F2-06/place") != nil || p.form("/loads/F2-06/close") != nil {
		t.Error("an inspector is offered to build a load")
	}
}

// At a station a typed number asks first; a scan does not.
func TestTypedNumberAtAStationIsAsked(t *testing.T) {
	b := loading(t)
	b.station = shop.Station{Station: "FU1", Name: "Furnace"}
	form := b.get("311", "/loads/F2-06").mustForm("/loads/F2-06/place")
	asked := b.post("311", form, url.Values{"insert": {"I-0031"}}).says(http.StatusUnprocessableEntity, "Is it this one? I-0031", "It was typed, not scanned.")
	if l, err := b.store.Load(t.Context(), "F2-06"); err != nil || len(l.Items) != 0 {
		t.Fatalf("%d inserts lie in the load before the answer, %v", len(l.Items), err)
	}
	if p := b.post("311", asked.mustForm("/loads/F2-06/place"), nil); p.status != http.StatusSeeOther {
		t.Errorf("after the answer: status %d: %s", p.status, p.text())
	}
	scanned := b.get("311", "/loads/F2-06").mustForm("/loads/F2-06/place")
	if p := b.post("311", scanned, url.Values{"insert": {b.codeOf("I-0032")}}); p.status != http.StatusSeeOther {
		t.Errorf("scanned: status %d: %s", p.status, p.text())
	}
}

func TestTakeOutAndClose(t *testing.T) {
	b := loading(t)
	b.put("311", shop.LoadPlaced{Load: "F2-06", Insert: "I-0031", Position: "T1"})
	b.put("311", shop.LoadPlaced{Load: "F2-06", Insert: "I-0032", Position: "T2"})
	page := b.get("311", "/loads/F2-06").says(http.StatusOK, "This starts nothing.", "stands in for no interlock", "suffocate")
	b.post("311", page.mustForm("/loads/F2-06/take-out"), nil)
	if rows := b.get("900", "/loads/F2-06").rows("Laid in by"); len(rows) != 1 || rows[0][1] != "I-0032" {
		t.Fatalf("after taking out: %q; want I-0032 alone", rows)
	}
	b.put("601", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0032", Why: "edge chipped"})
	b.post("311", page.mustForm("/loads/F2-06/close"), nil).says(http.StatusConflict, "I-0032 is held by 601", "Not recorded; the attempt is noted.", "held H-001")
	b.put("601", shop.HoldLifted{Hold: "H-001", OnKind: "insert", OnCode: "I-0032", Why: "only dust"})
	if p := b.post("311", b.get("311", "/loads/F2-06").mustForm("/loads/F2-06/close"), nil); p.to != "/loads/F2-06" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	p := b.get("311", "/loads/F2-06").says(http.StatusOK, "in the furnace")
	if p.form("/loads/F2-06/place") != nil || p.form("/loads/F2-06/take-out") != nil {
		t.Error("a load behind a closed door can be changed")
	}
}

// A serial that nobody scanned is not let go.
func TestUnloadAccountsForEverySerial(t *testing.T) {
	b := loading(t)
	b.put("311", shop.LoadPlaced{Load: "F2-06", Insert: "I-0031", Position: "T1"})
	b.put("311", shop.LoadPlaced{Load: "F2-06", Insert: "I-0032", Position: "T2"})
	b.put("311", shop.LoadClosed{Load: "F2-06"})
	form := b.get("311", "/loads/F2-06").mustForm("/loads/F2-06/unload")
	b.post("311", form, url.Values{"inserts": {"I-0031"}}).says(http.StatusUnprocessableEntity, "Not scanned out of load F2-06: I-0032. Every serial must be accounted for.")
	b.post("311", form, url.Values{"scans": {b.codeOf("I-0031") + "\r\nI-0099\r\n"}}).says(http.StatusUnprocessableEntity, "Nothing in this book is called I-0099.")
	b.post("311", form, url.Values{"inserts": {"I-0031", "I-0032"}, "scans": {"I-0033"}}).says(http.StatusUnprocessableEntity, "I-0033 did not lie in load F2-06.")
	kept := b.post("311", form, url.Values{"inserts": {"I-0031"}}).mustForm("/loads/F2-06/unload")
	var ticked []string
	for _, n := range elements(kept, "input") {
		if attrOf(n, "type") == "checkbox" && strings.Contains(markupOf(n), "checked") {
			ticked = append(ticked, attrOf(n, "value"))
		}
	}
	if !slices.Equal(ticked, []string{"I-0031"}) {
		t.Errorf("ticked after a no: %q; want I-0031", ticked)
	}
	if p := b.post("311", form, url.Values{"inserts": {"I-0031"}, "scans": {strings.ToLower(b.codeOf("I-0032")) + "\n" + b.codeOf("I-0031")}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/loads/F2-06").says(http.StatusOK, "unloaded", "scanned out")
}
