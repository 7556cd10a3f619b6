package server

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"sinterbook/store/shop"
)

// inspected is a book with one insert that was measured, one reading corrected.
func inspected(t *testing.T) *bookTest {
	t.Helper()
	b := staffed(t)
	b.opened("I-0029", "CR40")
	b.dried("I-0029", "PL-09")
	b.sintered("F2-05", "I-0029")
	b.because("311", "ordered so", shop.StepLeftOut{Insert: "I-0029", Op: shop.OpTemper})
	wrong := b.put("402", shop.ResultRecorded{Insert: "I-0029", Characteristic: "1", Value: readingOf("39.696", "mm"), Gauge: "M-12", Purpose: "inspection"})
	b.enter(shop.Entry{By: "402", Corrects: wrong, Reason: "digits swapped", Event: shop.ResultRecorded{Insert: "I-0029", Characteristic: "1", Value: readingOf("39.969", "mm"), Gauge: "M-12", Purpose: "inspection"}})
	b.put("402", shop.ResultRecorded{Insert: "I-0029", Characteristic: "3", Value: readingOf("24.766", "mm"), Gauge: "M-12", Purpose: "inspection"})
	return b
}

func TestTravelerShowsSizes(t *testing.T) {
	b := inspected(t)
	p := b.get("900", "/inserts/I-0029").says(http.StatusOK, "CR40 core, revision B", "due 2025-10-15", "4 of 7 operations done")
	rows := p.rows("Limits, mm")
	if len(rows) != 4 {
		t.Fatalf("%d lines of sizes; want 4: two of the first, one each of the others", len(rows))
	}
	for i, want := range []struct{ name, limits, read, off, perMM, verdict, by string }{
		{"1 size X", "39.950 – 40.050", "39.696", "−304", "−7.600", "replaced by entry", "M-12 402"},
		{"1 size X", "39.950 – 40.050", "39.969", "−31", "−0.775", "pass", "M-12 402"},
		{"2 size Y", "29.935 – 30.065", "", "", "", "not read yet", ""},
		{"3 size Z", "24.780 – 25.220", "24.766", "−234", "−9.360", "fail", "M-12 402"},
	} {
		row := rows[i]
		if row[0] != want.name || row[1] != want.limits || row[2] != want.read || row[3] != want.off || row[4] != want.perMM ||
			!strings.Contains(row[5], want.verdict) || !strings.HasPrefix(row[6], want.by) {
			t.Errorf("line %d is %q; want %+v", i+1, row, want)
		}
	}
	struck := elements(p.doc, "s")
	if len(struck) != 2 || wordsIn(struck[0]) != "39.696" || wordsIn(struck[1]) != "208.5 g" {
		t.Errorf("struck through: %d; want the first reading and the first draw", len(struck))
	}
	p.says(http.StatusOK, "digits swapped")
}

func TestTravelerShowsRecords(t *testing.T) {
	b := inspected(t)
	p := b.get("900", "/inserts/I-0029")
	p.says(http.StatusOK, "PL-09", "304 of 304", "41.5 °C", "254.3 g", "0.501 mm", "8.62 %", "9 h 0 min", "15 h 0 min", "1 d 16 h", "L2509-A/01 280.5 g", "1.2019 1.2019 1.2180")
	for _, to := range []string{"/history/insert/I-0029", "/orders/O-1", "/lots/L2509-A", "/containers/L2509-A/01", "/loads/F2-05", "/gauges/M-12", "/releases/DR-02%20A"} {
		if !slices.Contains(p.links(), to) {
			t.Errorf("the traveler does not lead to %s", to)
		}
	}
	for _, id := range []string{"design-release", "print", "final-drying", "sintering", "inspection"} {
		if !slices.ContainsFunc(elements(p.doc, "section"), func(n *html.Node) bool { return attrOf(n, "id") == id }) {
			t.Errorf("the band leads to #%s, which is not there", id)
		}
	}
}

func TestInchPartInInchesFirst(t *testing.T) {
	b := staffed(t)
	b.opened("I-0030", "CV16")
	b.dried("I-0030", "PL-10")
	b.sintered("F2-05", "I-0030")
	b.because("311", "ordered so", shop.StepLeftOut{Insert: "I-0030", Op: shop.OpTemper})
	b.put("402", shop.ResultRecorded{Insert: "I-0030", Characteristic: "1", Value: readingOf("1.5742", "in"), Gauge: "M-12", Purpose: "inspection"})
	b.put("402", shop.ResultRecorded{Insert: "I-0030", Characteristic: "1", Value: readingOf("39.987", "mm"), Gauge: "M-12", Purpose: "pair"})
	rows := b.get("900", "/inserts/I-0030").rows("Limits, in")
	if want := []string{"1 size X", "1.573 – 1.577", "1.5742", "−0.80", "−20", "−0.508"}; !slices.Equal(rows[0][:6], want) {
		t.Errorf("typed in inches: %q; want %q", rows[0][:6], want)
	}
	if want := []string{"1 size X pair", "1.573 – 1.577", "1.57429 39.987 mm", "−0.71", "−18", "−0.450"}; !slices.Equal(rows[1][:6], want) {
		t.Errorf("typed in mm: %q; want %q", rows[1][:6], want)
	}
}

func TestTravelerStopsWithItsLoad(t *testing.T) {
	b := inspected(t)
	b.put("601", shop.HoldSet{Hold: "H-001", OnKind: "load", OnCode: "F2-05", Why: "a sensor test is outstanding"})
	b.refuse("402", shop.InspectionFinished{Insert: "I-0029"})
	p := b.get("402", "/inserts/I-0029")
	p.says(http.StatusOK, "Stopped: held with its load", "Load F2-05 is held by 601 since", "a sensor test is outstanding. Only the quality manager can lift it.",
		"It goes on once the hold is lifted.", "Attempts that were stopped", "to finish the inspection").silent("Go on at the station")
	b.put("601", shop.HoldLifted{Hold: "H-001", OnKind: "load", OnCode: "F2-05", Why: "test passed"})
	b.get("402", "/inserts/I-0029").says(http.StatusOK, "Earlier holds", "test passed", "Go on at the station").silent("Stopped: held")
}

// What a person may not do is not offered to them.
func TestTravelerOffersWhatIsOnesWork(t *testing.T) {
	b := staffed(t)
	b.put("700", shop.TravelerOpened{Insert: "I-0040", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
	for _, tt := range []struct{ badge, has, hasNot string }{
		{"101", "Assign a release", "Scrap it"}, {"601", "Scrap it", "Assign a release"}, {"204", "Hold this insert", "Assign a release"},
		{"900", "Scan code", "Hold this insert"},
	} {
		b.get(tt.badge, "/inserts/I-0040").says(http.StatusOK, tt.has).silent(tt.hasNot)
	}
	b.get("900", "/inserts/I-0040/release").says(http.StatusForbidden, "An auditor reads and prints, and changes nothing.")
}

func TestAssignRelease(t *testing.T) {
	b := staffed(t)
	b.put("700", shop.TravelerOpened{Insert: "I-0040", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
	page := b.get("101", "/inserts/I-0040/release")
	form := page.says(http.StatusOK, "DR-02 A: lot L2509-A on P1, SR-1340 C").silent("DR-03 A").mustForm("/inserts/I-0040/release")
	b.post("101", form, nil).says(http.StatusUnprocessableEntity, "Nothing was stored", "The release is missing.")
	refused := b.post("601", form, url.Values{"release": {"DR-02 A"}}).says(http.StatusConflict, "Badge 601 is not authorised for design release")
	if selected := valueOf(elements(refused.mustForm("/inserts/I-0040/release"), "select")[0]); selected != "DR-02 A" {
		t.Errorf("the form comes back with %q chosen; want DR-02 A", selected)
	}
	done := b.post("101", refused.mustForm("/inserts/I-0040/release"), url.Values{"release": {"DR-02 A"}})
	if done.status != http.StatusSeeOther || done.to != "/inserts/I-0040" {
		t.Fatalf("status %d to %q; want to be sent to the traveler: %s", done.status, done.to, done.text())
	}
	b.get("101", "/inserts/I-0040").says(http.StatusOK, "1 of 8 operations done", "Next: Print, dry, shape")
}

func TestLeaveOut(t *testing.T) {
	b := staffed(t)
	b.opened("I-0029", "CR40")
	b.get("311", "/inserts/I-0029/leave-out").says(http.StatusOK, "cannot be left out")
	b.dried("I-0029", "PL-09")
	b.sintered("F2-05", "I-0029")
	b.get("311", "/inserts/I-0029").says(http.StatusOK, "Leave out tempering")
	form := b.get("311", "/inserts/I-0029/leave-out").mustForm("/inserts/I-0029/leave-out")
	b.post("311", form, nil).says(http.StatusUnprocessableEntity, "The reason for leaving the operation out is missing.")
	if p := b.post("311", form, url.Values{"reason": {"the customer wants it hard"}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/history/insert/I-0029").says(http.StatusOK, "The operation tempering of I-0029 was left out.", "Reason: the customer wants it hard.")
}

// A label's picture spells its address in capitals.
func TestScanCodeOpensItsThing(t *testing.T) {
	b := staffed(t)
	b.opened("I-0029", "CR40")
	i, err := b.store.Insert(t.Context(), "I-0029")
	if err != nil {
		t.Fatal(err)
	}
	code := string(i.Code)
	for _, path := range []string{"/t/" + code, "/T/" + code, "/T/" + strings.ToLower(code), "/t/" + url.PathEscape(i.Code.Grouped())} {
		if p := b.get("900", path); p.status != http.StatusSeeOther || p.to != "/inserts/I-0029" {
			t.Errorf("%s: status %d to %q; want the insert's page", path, p.status, p.to)
		}
	}
	wrong := []byte(code)
	wrong[3] = map[bool]byte{true: '4', false: '3'}[wrong[3] == '3']
	b.get("900", "/T/"+string(wrong)).says(http.StatusUnprocessableEntity, "has a wrong character")
	b.get("900", "/inserts/I-9999").says(http.StatusNotFound, "There is no insert I-9999 in this book.")
}

// The clock steps back between two ends of an operation: the order stays, and
// no length of time is made up.
func TestClockStepsBackOnThePages(t *testing.T) {
	b := staffed(t)
	b.opened("I-0029", "CR40")
	b.put("204", shop.PrintStarted{Insert: "I-0029", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: "PL-09",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304})
	b.put("204", shop.PasteDrawn{Container: "L2509-A/01", Insert: "I-0029", FromLayer: 1, ToLayer: 304, Drawn: readingOf("280.5", "g")})
	b.put("204", shop.LayersMade{Insert: "I-0029", FromLayer: 1, ToLayer: 304})
	b.put("204", shop.PrintFinished{Insert: "I-0029", LayersDone: 304, Printed: readingOf("254.3", "g")})
	b.put("601", shop.PolicySet{Gate: shop.ConstantMass.Name, Op: shop.OpDry, From: b.now(), Mode: shop.Silent})
	early := time.Date(2025, 12, 11, 6, 0, 0, 500_000_000, time.UTC)
	b.set(early)
	b.put("204", shop.DryingStarted{Insert: "I-0029", Oven: "D1", Air: readingOf("65", "C"), Wet: readingOf("254.82", "g"), Constant: readingOf("0.05", "%")})
	b.set(early.Add(10 * time.Microsecond))
	b.put("402", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0029", Why: "look at the edge"})
	b.set(early.Add(-298500 * time.Millisecond))
	b.put("601", shop.HoldLifted{Hold: "H-001", OnKind: "insert", OnCode: "I-0029", Why: "edge is good"})
	b.set(early.Add(-290500 * time.Millisecond))
	b.put("204", shop.DryingFinished{Insert: "I-0029", Dry: readingOf("232.85", "g")})

	for _, path := range []string{"/history/insert/I-0029", "/history/insert/I-0029?print=1"} {
		p := b.get("900", path)
		rows := p.entries()
		last := rows[len(rows)-4:]
		for i, want := range []string{"Final drying of I-0029 was started", "Hold H-001 was set", "Hold H-001 on insert I-0029 was lifted", "Final drying of I-0029 was finished"} {
			if !strings.HasPrefix(last[i][3], want) {
				t.Errorf("%s: line %d is %q; want %q", path, i+1, last[i][3], want)
			}
			if stepped := strings.Contains(last[i][1], "The clock had stepped back by 4 min 58 s"); stepped != (i == 2) {
				t.Errorf("%s: line %d says %q", path, i+1, last[i][1])
			}
		}
	}
	p := b.get("900", "/inserts/I-0029").says(http.StatusOK, "Took not known")
	if strings.Contains(p.text(), "−4 min") || strings.Contains(p.text(), "-4 min") || strings.Contains(p.text(), "-298") {
		t.Error("the traveler shows a length of time below nothing")
	}
}

// An operation that the route does not let out is left out by a permit, and
// the permit stands with the act.
func TestLeftOutByPermit(t *testing.T) {
	b := staffed(t)
	b.opened("I-0029", "CR40")
	b.dried("I-0029", "PL-01")
	b.refuse("311", shop.StepLeftOut{Insert: "I-0029", Op: shop.OpSinter})
	form := b.get("601", "/new/permit?insert=I-0029").says(http.StatusOK, "Holds, safety tests, authorisations").mustForm("/new/permit")
	b.keyed("601")
	p := b.post("601", form, url.Values{"gate": {shop.NotHeld.Name}, "operation": {shop.OpSinter}, "why": {"trial"}, "expires_on": {"2025-12-31"}, "pin": {rightPIN}})
	p.says(http.StatusUnprocessableEntity, "No permit passes the gate", "Nothing was stored")
	form = p.mustForm("/new/permit")
	b.post("601", form, url.Values{"gate": {shop.StepOptional.Name}, "operation": {shop.OpSinter}, "why": {"sintered by the customer"}, "expires_on": {"2025-12-31"}, "pin": {rightPIN}}).says(http.StatusSeeOther)
	b.get("900", "/permits").says(http.StatusOK, "DP-001", "sintered by the customer", "in force")
	b.advance(time.Minute)
	b.enter(shop.Entry{By: "311", Reason: "at the customer", Event: shop.StepLeftOut{Insert: "I-0029", Op: shop.OpSinter}})
	b.get("900", "/history/insert/I-0029").says(http.StatusOK, "Deviation permit DP-001 by 601: sintered by the customer")
}
