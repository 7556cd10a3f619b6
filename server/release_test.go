package server

import (
	"net/http"
	"net/url"
	"testing"

	"sinterbook/store/shop"
)

func TestReleaseSaysWhatItMeans(t *testing.T) {
	b := staffed(t)
	p := b.get("900", "/releases/DR-02%20A").says(http.StatusOK, "CR40 revision B of lot L2509-A on machine P1", "in force", "receipt coupons", "Two people signed it.")
	rows := p.rows("Shrinkage s, %")
	for i, want := range [][3]string{{"X", "1.2019", "16.80"}, {"Y", "1.2019", "16.80"}, {"Z", "1.2180", "17.90"}} {
		if [3]string(rows[i]) != want {
			t.Errorf("factor %q; want %q", rows[i], want)
		}
	}
}

// TestWhoIsAskedToSign: two different people sign, and nobody is asked twice.
func TestWhoIsAskedToSign(t *testing.T) {
	b := staffed(t)
	b.put("101", shop.ReleaseDrafted{Release: "DR-09 A", Design: "CR40", Revision: "B", Lot: "L2509-A", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Evidence: "coupons", Program: "CR40.pgm", ProgramHash: testProgram})
	page, sign := "/releases/DR-09%20A", "/releases/DR-09%20A/sign"
	b.get("101", page).says(http.StatusOK, "waits for a signature", "two different people", "I checked the factors, the program and the limits.").mustForm(sign)
	b.sign("101", shop.ReleaseSigned{Release: "DR-09 A"})
	if b.get("101", page).form(sign) != nil {
		t.Error("who signed is asked to sign again")
	}
	b.get("601", page).mustForm(sign)
	if b.get("204", page).form(sign) != nil {
		t.Error("a print operator is asked to sign")
	}
	b.sign("601", shop.ReleaseSigned{Release: "DR-09 A"})
	b.get("900", page).says(http.StatusOK, "in force")
}

// TestWithdraw wants a reason, and says what it does to open travelers.
func TestWithdraw(t *testing.T) {
	b := staffed(t)
	b.opened("I-0031", "CR40")
	b.dried("I-0031", "PL-01")
	b.opened("I-0032", "CR40")
	page, withdraw := "/releases/DR-02%20A", "/releases/DR-02%20A/withdraw"
	p := b.get("601", page).says(http.StatusOK, "No print by it can begin any more: the gate stops I-0032.", "Prints that began, 1 insert, keep it and go on.")
	before := b.entries()
	b.post("601", p.mustForm(withdraw), url.Values{"pin": {"2468"}}).says(http.StatusUnprocessableEntity, "The reason for withdrawing it is missing.").linked()
	if b.entries() != before {
		t.Error("it was withdrawn without a reason")
	}
	b.because("601", "the factors were wrong", shop.ReleaseWithdrawn{Release: "DR-02 A"})
	p = b.get("601", page).says(http.StatusOK, "withdrawn").silent("Withdraw DR-02 A", "Your PIN")
	if p.form(withdraw) != nil {
		t.Error("it can be withdrawn twice")
	}
}

// TestDraftInItsPlace takes over what stays, and neither factors nor evidence.
func TestDraftInItsPlace(t *testing.T) {
	b := staffed(t)
	form := b.get("101", "/new/release?supersedes=DR-02+A").says(http.StatusOK, "SR-1340 C, 590 °C, 120 min").mustForm("/new/release")
	for field, want := range map[string]string{"supersedes": "DR-02 A", "design": "CR40", "lot": "L2509-A", "machine": "P1", "recipe": "SR-1340 C", "orientation": "+Z up", "program": "CR40.pgm", "kx": "", "evidence": "", "release": ""} {
		if got := valueOf(namedField(t, form, field)); got != want {
			t.Errorf("%s is proposed as %q; want %q", field, got, want)
		}
	}
	p := b.post("101", form, url.Values{"kx": {"1.168"}}).says(http.StatusUnprocessableEntity, "1.168 means s = 14.38 %.")
	if got := valueOf(namedField(t, p.mustForm("/new/release"), "kx")); got != "1.168" {
		t.Errorf("kx comes back as %q", got)
	}
}

// TestTakeOrientation fills it in from the design chosen, and keeps the rest.
func TestTakeOrientation(t *testing.T) {
	b := staffed(t)
	before := b.entries()
	form := b.get("101", "/new/release").mustForm("/new/release")
	p := b.post("101", form, url.Values{"more": {"orientation"}, "design": {"CR40"}, "kx": {"1.2026"}}).says(http.StatusOK).silent("is missing")
	for field, want := range map[string]string{"orientation": "+Z up", "kx": "1.2026", "design": "CR40"} {
		if got := valueOf(namedField(t, p.mustForm("/new/release"), field)); got != want {
			t.Errorf("%s is %q; want %q", field, got, want)
		}
	}
	if b.entries() != before {
		t.Error("something was stored")
	}
}
