package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// newZ is a proposal of a measured factor in Z, as its form is filled in.
func newZ() url.Values {
	return url.Values{"lot": {"L2509-A"}, "basis": {"fourteen pieces"}, "lines.3": {"Z"}, "lines.3.s": {"18.38"}, "lines.3.k": {"1.2252"}, "lines.3.method": {"measured"},
		"lines.3.low": {"18.31"}, "lines.3.high": {"18.44"}, "lines.3.n": {"14"}, "answer." + shop.MeasuredAsBook.Name: {"measured by the maker"}}
}

// TestFactorByTwoPeople: the engineer proposes, sees what it does, cannot
// approve it; the manager sees the same, signs, and lot, release and traveler
// say so from then on.
func TestFactorByTwoPeople(t *testing.T) {
	b := staffed(t)
	b.keyed("101")
	b.keyed("601")
	b.opened("I-0001", "CR40")
	b.opened("I-0002", "CR40")
	b.dried("I-0001", "PL-01")
	form := b.get("101", "/new/factor?lot=L2509-A").says(http.StatusOK, "In force, s and k", "1.2180").mustForm("/new/factor")
	p := b.post("101", form, newZ())
	if p.to != "/factors/FA-002" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("101", p.to).says(http.StatusOK, "waits for approval", "You proposed it", "18.31 to 18.44 %", "measured, n 14", "s 18.38 %, k 1.2252", "beyond 0.0020",
		"Z from 1.2180 to 1.2252", "I-0001 (dried)", "I-0002 (opened)", "Withdraw it").silent("Approve FA-002")
	if got, _ := b.store.Factors(t.Context(), "L2509-A"); len(got) != 3 {
		t.Errorf("%d factors while it waits; want the 3 that stood", len(got))
	}
	sign := b.get("601", p.to).says(http.StatusOK, "Refuse it").mustForm("/factors/FA-002/approve")
	b.post("601", sign, url.Values{"pin": {"000000"}}).says(http.StatusUnprocessableEntity, "Nothing was")
	if p := b.post("601", sign, url.Values{"pin": {rightPIN}}); p.to != "/lots/L2509-A" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("601", "/lots/L2509-A").says(http.StatusOK, "Open releases that differ", "Z from 1.2180 to 1.2252", "superseded", "101, 601", "was never measured: X, Y and Z rest on no measurement")
	b.get("900", "/releases/DR-02%20A").says(http.StatusOK, "Not the lot's factors any more", "from 1.2180 to 1.2252 in Z", "Draft another in its place")
	b.get("900", "/inserts/I-0001").says(http.StatusOK, "from 1.2180 to 1.2252 in Z", "stopped before the furnace")
	b.get("900", "/inserts/I-0002").says(http.StatusOK, "from 1.2180 to 1.2252 in Z", "assign a release with the factor in force")
	b.get("900", "/factors/FA-002").says(http.StatusOK, "approved").silent("Withdraw it", "Refuse it")
	b.post("601", sign, url.Values{"pin": {rightPIN}}) // the same signature once more
	if got, _ := b.store.Factors(t.Context(), "L2509-A"); len(got) != 4 {
		t.Errorf("%d factors in the history; want 4", len(got))
	}
}

// TestMeasuredAgainstTheBook: what is said to be measured, and is not what the
// lengths of the book say, needs a reason; whoever approves it sees both numbers
// and the reason. Where it is said to be not measured nothing is asked.
func TestMeasuredAgainstTheBook(t *testing.T) {
	b := staffed(t)
	form := b.get("101", "/new/factor?lot=L2509-A").says(http.StatusOK, "What the lengths of L2509-A say", "1.2180").mustForm("/new/factor")
	typed, before := newZ(), b.entries()
	typed.Del("answer." + shop.MeasuredAsBook.Name)
	asked := b.post("101", form, typed).says(http.StatusConflict, "Z is proposed as 18.38 %, measured, n 14, from 18.31 % to 18.44 %.", "The book has no length of lot L2509-A along Z", "Give a reason to go on")
	if n := b.entries(); n != before {
		t.Errorf("%d entries; want %d: nothing was recorded", n, before)
	}
	p := b.post("101", asked.mustForm("/new/factor"), url.Values{"answer." + shop.MeasuredAsBook.Name: {"measured by the maker of the paste"}})
	if p.to != "/factors/FA-002" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("601", p.to).says(http.StatusOK, "Not what the lot's lengths say", "has no length of lot L2509-A along Z", "101 gave the reason: measured by the maker of the paste", "nothing: not measured")
	believed := url.Values{"proposal": {"FA-003"}, "lot": {"L2509-A"}, "basis": {"as X"}, "lines.3": {"Z"}, "lines.3.s": {"16.80"}, "lines.3.k": {"1.2019"}, "lines.3.method": {shop.OtherAxis}, "lines.3.taken_from": {"X"}}
	if p := b.post("101", form, believed); p.to != "/factors/FA-003" {
		t.Errorf("what is not said to be measured: status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("601", "/factors/FA-003").silent("Not what the lot's lengths say")
}

// TestGreenInsertsOfAProposal: a proposal names what is printed and not sintered
// yet, also once another release took the place of its own, and so does the lot.
func TestGreenInsertsOfAProposal(t *testing.T) {
	b := staffed(t)
	b.keyed("101")
	b.keyed("601")
	b.opened("I-0001", "CR40")
	b.dried("I-0001", "PL-01")
	b.put("101", shop.ReleaseDrafted{Release: "DR-04 A", Design: "CR40", Revision: "B", Lot: "L2509-A", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up", KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"),
		KZ: readingOf("1.2180", "1"), Evidence: "coupons", Program: "a.pgm", ProgramHash: testProgram, Supersedes: "DR-02 A"})
	b.sign("101", shop.ReleaseSigned{Release: "DR-04 A"})
	b.sign("601", shop.ReleaseSigned{Release: "DR-04 A"})
	b.put("101", shop.FactorProposed{Proposal: "FA-002", Lot: "L2509-A", Lines: []shop.ProposedFactor{believed("Z", "18.38", "1.2252")}, Basis: "believed"})
	b.get("601", "/factors/FA-002").says(http.StatusOK, "What it means for green inserts", "I-0001", "dried", "DR-02 A", "1.2019 1.2019 1.2180", "Z from 1.2180 to 1.2252", "Another release changes nothing about what is made")
	b.sign("601", shop.FactorApproved{Proposal: "FA-002", Lot: "L2509-A"})
	b.get("601", "/lots/L2509-A").says(http.StatusOK, "Green inserts that differ from the factors in force", "I-0001", "DR-02 A", "Z from 1.2180 to 1.2252")
}

// TestTravelerShowsAChangeOfLot: layer, both lots with their factors, who signed
// it and why.
func TestTravelerShowsAChangeOfLot(t *testing.T) {
	b := staffed(t)
	b.put("101", shop.LotReceived{Lot: "L2510-B", Material: "HT44 paste", MadeOn: "2025-10-13", ExpiresOn: "2026-02-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
	b.factored("FA-002", "L2510-B", believed("X", "16.74", "1.2011"), believed("Y", "16.74", "1.2011"), believed("Z", "17.84", "1.2171"))
	b.put("601", shop.LotReleased{Lot: "L2510-B", Evidence: "receipt coupons"})
	b.put("204", shop.ContainerReceived{Container: "L2510-B/01", Lot: "L2510-B", Mass: readingOf("2499.8", "g"), Code: shop.NewScanCode()})
	b.opened("I-0001", "CR40")
	b.put("204", shop.PrintStarted{Insert: "I-0001", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: "PL-01", KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304})
	b.get("900", "/inserts/I-0001").silent("Another lot took over")
	b.sign("101", shop.LotChanged{Insert: "I-0001", FromLayer: 153, From: "L2509-A", To: "L2510-B", Why: "the tub ran out"})
	p := b.get("900", "/inserts/I-0001").says(http.StatusOK, "Another lot took over", "From layer", "153", "1.2019 1.2019 1.2180", "1.2011 1.2011 1.2171", "101 2025-10-20", "the tub ran out")
	for _, lot := range []string{"L2509-A", "L2510-B"} {
		if !strings.Contains(p.raw, `href="/lots/`+lot+`"`) {
			t.Errorf("the traveler does not lead to %s", lot)
		}
	}
}

// TestFactorDropped: who proposed it withdraws it, with a reason.
func TestFactorDropped(t *testing.T) {
	b := staffed(t)
	form := b.get("101", "/new/factor?lot=L2509-A").mustForm("/new/factor")
	to := b.post("101", form, newZ()).to
	drop := b.get("101", to).mustForm(to + "/drop")
	b.post("101", drop, nil).says(http.StatusUnprocessableEntity, "The reason is missing.")
	for range 2 { // the second is a double press
		if p := b.post("101", drop, url.Values{"why": {"one run only"}}); p.to != to {
			t.Errorf("status %d to %q: %s", p.status, p.to, p.text())
		}
	}
	b.get("601", to).says(http.StatusOK, "withdrawn", "one run only").silent("Approve")
}

// TestSlipsInAProposal: each has its own sentence at its own field, and nothing
// is stored.
func TestSlipsInAProposal(t *testing.T) {
	b := staffed(t)
	b.put("101", shop.LotReceived{Lot: "L2510-A", Material: "HT44 paste", MadeOn: "2025-09-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
	b.factored("FA-002", "L2510-A", believed("X", "16.88", "1.2031"))
	form := b.get("101", "/new/factor?lot=L2509-A").mustForm("/new/factor")
	before := b.entries()
	for _, tt := range []struct {
		name, column, value, says string
	}{
		{"digits swapped", "k", "1.2522", "1.2522 has two digits of 1.2252 swapped."},
		{"1 + s", "k", "1.1838", "1.1838 is 1 + s."},
		{"another axis", "k", "1.2019", "1.2019 is the factor of lot L2509-A in X. In Z it is 1.2252."},
		{"another lot", "k", "1.2031", "1.2031 is the factor of lot L2510-A in X."},
		{"s for k", "k", "18.38", "18.38 is the shrinkage in percent."},
		{"inches", "k", "31.120", "25.4 times the factor"},
		{"1 − s", "k", "0.8162", "is 1 − s"},
		{"a fraction for percent", "s", "0.1838", "type it in percent, as 18.38 %"},
		{"k for s", "s", "1.2252", "is a factor k, not the shrinkage"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b.TB = t
			typed := newZ()
			typed.Set("lines.3."+tt.column, tt.value)
			p := b.post("101", form, typed).says(http.StatusUnprocessableEntity, tt.says, "Nothing was stored")
			if got := valueOf(namedField(t, p.mustForm("/new/factor"), "lines.1."+tt.column)); got != tt.value {
				t.Errorf("the field comes back with %q; want %q", got, tt.value)
			}
		})
	}
	b.TB = t
	if b.entries() != before {
		t.Error("something was stored")
	}
}

// TestSlipInARelease: a mistyped release is not written; the numbers stand side
// by side, and the attempt is noted.
func TestSlipInARelease(t *testing.T) {
	b := staffed(t)
	form := b.get("101", "/new/release?supersedes=DR-02+A").mustForm("/new/release")
	p := b.post("101", form, url.Values{"release": {"DR-14 A"}, "kx": {"1.2109"}, "ky": {"1.2019"}, "kz": {"1.2180"}, "evidence": {"coupons"}, "revision": {"B"}})
	p.says(http.StatusConflict, "1.2109 has two digits of 1.2019 swapped.", "the attempt is noted", "Lot, in force", "differs", "agrees")
	if _, err := b.store.Release(t.Context(), "DR-14 A"); err == nil {
		t.Error("the release was written")
	}
}

// TestFactorsAtTheMachine: a print with a mistyped factor is stopped with both
// numbers side by side, for every axis.
func TestFactorsAtTheMachine(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	form := b.get("204", "/station/I-0001").mustForm("/station/I-0001/print-start")
	typed := url.Values{"machine": {"P1"}, "carrier": {"PL-01"}, "program_sha256": {testProgram}, "kx": {"1.2109"}, "ky": {"1.2019"}, "kz": {"1.2019"}, "layers": {"304"}}
	p := b.post("204", form, typed).says(http.StatusConflict, "The oversize in X on the machine is 1.2109; release DR-02 A says 1.2019. 1.2109 has two digits of 1.2019 swapped.",
		"The oversize in Z on the machine is 1.2019; release DR-02 A says 1.2180. 1.2019 is the factor of lot L2509-A in X.", "Machine P1 was given 1.2109 in X")
	want := [][]string{{"X", "1.2109", "1.2019", "1.2019", "L2509-A", "differs"}, {"Y", "1.2019", "1.2019", "1.2019", "L2509-A", "agrees"}, {"Z", "1.2019", "1.2180", "1.2180", "L2509-A", "differs"}}
	rows := p.rows("On the machine")
	for i, row := range want {
		if i >= len(rows) || strings.Join(rows[i], " ") != strings.Join(row, " ") {
			t.Errorf("row %d is %q; want %q", i, rows, row)
		}
	}
}
