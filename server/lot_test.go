package server

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

func TestLotBalances(t *testing.T) {
	b := staffed(t)
	for i, n := range []string{"I-0031", "I-0032"} {
		b.opened(n, "CR40")
		b.dried(n, []string{"PL-01", "PL-02"}[i])
	}
	p := b.get("900", "/lots/L2509-A").says(http.StatusOK, "released", "80 days left", "C-118")
	rows := p.rows("Left, g")
	for i, want := range [][]string{ // the swapped digits of the first record of each draw do not count
		{"L2509-A/01", "open", "2 499.8", "561.0", "6.2", "0.0", "1 932.6", "0.0"},
		{"L2509-A/02", "sealed", "2 499.8", "0.0", "0.0", "0.0", "2 499.8", "0.0"},
		{"All by the records", "", "4 999.6", "561.0", "6.2", "0.0", "4 432.4", "0.0"},
	} {
		for j := range rows[i] {
			rows[i][j] = strings.ReplaceAll(rows[i][j], "\u202f", " ")
		}
		if !slices.Equal(rows[i][:8], want) {
			t.Errorf("line %d is %q; want %q", i+1, rows[i][:8], want)
		}
	}
	made := p.rows("Since")
	if len(made) != 2 || made[0][0] != "I-0031" || made[0][2] != "dried" || made[0][5] != "280.5" || !strings.HasPrefix(made[0][6], "100") {
		t.Errorf("made of it: %q; want I-0031, dried, 280.5 g first of two", made)
	}
	oversize := p.rows("Machine, recipe")
	if len(oversize) != 2 || oversize[1][0] != "DR-02 A" || oversize[1][1] != "in force" || !slices.Equal(oversize[1][4:7], []string{"1.2019", "1.2019", "1.2180"}) {
		t.Errorf("oversize: %q", oversize)
	}
}

func TestLotsSayTheirState(t *testing.T) {
	b := staffed(t)
	b.put("101", shop.LotReceived{Lot: "L2510-B", Material: "HT44 paste", MadeOn: "2025-10-01", ExpiresOn: "2025-10-21", OpenLifeDays: 30, Code: shop.NewScanCode()})
	states := func() []string {
		var words []string
		for _, row := range b.get("900", "/lots").rows("Last day of use") {
			words = append(words, row[0]+" "+row[1]+", "+row[5])
		}
		return words
	}
	if got, want := states(), []string{"L2510-B on test, 2025-10-21 1 day left", "L2509-A released, 2026-01-10 82 days left"}; !slices.Equal(got, want) {
		t.Errorf("%q; want %q", got, want)
	}
	b.put("601", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L2509-A", Why: "coupons are small"})
	b.advance(48 * time.Hour)
	if got, want := states(), []string{"L2510-B expired, 2025-10-21 expired 1 day ago", "L2509-A held, 2026-01-10 80 days left"}; !slices.Equal(got, want) {
		t.Errorf("%q; want %q", got, want)
	}
}

func TestOpenContainer(t *testing.T) {
	b := staffed(t)
	b.get("900", "/containers/L2509-A/02").says(http.StatusOK, "sealed, 30 days once opened").silent("Record that it was opened")
	form := b.get("204", "/containers/L2509-A/02").mustForm("/containers/L2509-A/02")
	b.post("204", form, url.Values{"at": {"2030-01-01T06:00"}}).says(http.StatusUnprocessableEntity, "lies in the future")
	if p := b.post("204", form, nil); p.to != "/containers/L2509-A/02" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("204", "/containers/L2509-A/02").says(http.StatusOK, "30 d 0 h left").silent("Record that it was opened")
	other := b.get("204", "/containers/L2509-A/01")
	if other.form("/containers/L2509-A/01") != nil {
		t.Error("an open container can be opened again")
	}
}

func TestContainerShowsItsDraws(t *testing.T) {
	b := staffed(t)
	b.opened("I-0031", "CR40")
	b.dried("I-0031", "PL-01")
	rows := b.get("900", "/containers/L2509-A/01").says(http.StatusOK, "digits swapped").rows("Purged")
	if len(rows) != 2 || rows[0][2] != "208.5 g" || !strings.Contains(rows[0][4], "replaced by entry") || rows[1][2] != "280.5 g" {
		t.Errorf("draws: %q; want the wrong one, marked, and its correction", rows)
	}
}

// Paste that went into coupons was drawn as well.
func TestContainerShowsItsCoupons(t *testing.T) {
	b := staffed(t)
	b.get("900", "/containers/L2509-A/02").says(http.StatusOK, "Nothing was drawn yet.")
	b.put("204", shop.ContainerOpened{Container: "L2509-A/02"})
	b.put("204", shop.CouponMade{Coupon: "CP-0001", For: shop.ReceiptCoupon, Design: "CR40", Revision: "B", Container: "L2509-A/02", Machine: "P1", Release: "DR-02 A", Layers: 146, Drawn: readingOf("56.0", "g"), Purged: readingOf("2.5", "g"), Code: shop.NewScanCode()})
	p := b.get("900", "/containers/L2509-A/02").says(http.StatusOK, "CP-0001").silent("Nothing was drawn yet.")
	if rows := p.rows("Coupon"); len(rows) != 1 || rows[0][2] != "56.0 g" || rows[0][3] != "2.5 g" {
		t.Errorf("drawn for coupons: %q", rows)
	}
}

func TestReleaseLotIsOffered(t *testing.T) {
	b := staffed(t)
	b.put("101", shop.LotReceived{Lot: "L2510-B", Material: "HT44 paste", MadeOn: "2025-10-01", ExpiresOn: "2026-10-21", OpenLifeDays: 30, Code: shop.NewScanCode()})
	b.get("601", "/lots/L2510-B").says(http.StatusOK, "What the release rests on", "Your PIN")
	b.get("204", "/lots/L2510-B").says(http.StatusOK, "on test").silent("Your PIN")
	b.get("601", "/lots/L2509-A").silent("Your PIN")
}

// TestLotReleaseNamesReleases: whoever releases a lot sees which releases were
// signed with other factors while it was on test, before and after.
func TestLotReleaseNamesReleases(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	b.put("101", shop.LotReceived{Lot: "L2509-B", Material: "HT44 paste", MadeOn: "2025-09-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
	b.factored("FA-002", "L2509-B", believed("X", "16.74", "1.2011"), believed("Y", "16.74", "1.2011"), believed("Z", "17.84", "1.2171"))
	b.put("101", shop.ReleaseDrafted{Release: "DR-04 A", Design: "CR40", Revision: "B", Lot: "L2509-B", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2011", "1"), KZ: readingOf("1.2171", "1"), Evidence: "the lot before", Program: "a.pgm", ProgramHash: testProgram})
	for _, badge := range []string{"101", "601"} {
		b.sign(badge, shop.ReleaseSigned{Release: "DR-04 A"})
	}
	p := b.get("601", "/lots/L2509-B").says(http.StatusOK, "Open releases that differ", "not the lot's", "1.2019 is the factor of lot L2509-A in X", "Not the lot's: near enough, but another's or with digits swapped.")
	b.get("601", "/releases/DR-04%20A").says(http.StatusOK, "1.2019 is the factor of lot L2509-A in X", "Draft another in its place. A print by it is stopped; what was made by it goes on")
	if p := b.post("601", p.mustForm("/lots/L2509-B"), onTrust(url.Values{"evidence": {"receipt coupons"}, "pin": {rightPIN}})); p.to != "/lots/L2509-B" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", "/history/lot/L2509-B").says(http.StatusOK, "was released for printing", "Open releases with other factors, by which no print may start: DR-04 A.")
	b.get("900", "/history/release/DR-04%20A").says(http.StatusOK, "Lot L2509-B was released for printing")
}
