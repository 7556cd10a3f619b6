package server

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// withCoupon is a book with a coupon of L2509-A that was measured green.
func withCoupon(t *testing.T) (b *bookTest, reading int64) {
	b = staffed(t)
	b.put("204", shop.CouponMade{Coupon: "CP-0001", For: shop.ReceiptCoupon, Design: "CR40", Revision: "B", Container: "L2509-A/01", Machine: "P1", Release: "DR-02 A", KX: readingOf("1.2011", "1"), Layers: 146, Drawn: readingOf("56.0", "g"), Code: shop.NewScanCode()})
	return b, b.put("402", shop.CouponMeasured{Coupon: "CP-0001", Stage: shop.GreenStage, Characteristic: "1", Value: readingOf("44.055", "mm"), Gauge: "M-12"})
}

// A reading of a coupon is put right from the coupon's page: the form has what
// was typed, asks why, and both stand on the page then.
func TestCouponReadingIsCorrectedOnItsPage(t *testing.T) {
	b, reading := withCoupon(t)
	p := b.get("402", "/coupons/CP-0001").says(http.StatusOK, "Made at oversize", "X 1.2011", "If wrong")
	to := fmt.Sprintf("/new/coupon-reading?coupon=CP-0001&corrects=%d", reading)
	if !strings.Contains(strings.Join(p.links(), " "), to) {
		t.Fatalf("no link to %s in %q", to, p.links())
	}
	b.get("900", "/coupons/CP-0001").says(http.StatusOK, "44.055 mm").silent("If wrong")
	form := b.get("402", to).says(http.StatusOK, "Correct a reading of a coupon", "In place of: 1 green, 44.055 mm on M-12").mustForm("/new/coupon-reading")
	b.post("402", form, url.Values{"value": {"48.055"}}).says(http.StatusUnprocessableEntity, "In place of:", "reason")
	b.post("402", form, url.Values{"coupon": {""}, "value": {""}}).says(http.StatusUnprocessableEntity, "In place of:", "The coupon is missing.")
	if p := b.post("402", form, url.Values{"value": {"48.055"}, "reason": {"digit misread"}}); p.to != "/coupons/CP-0001" {
		t.Fatalf("%d to %q: %s", p.status, p.to, p.text())
	}
	rows := b.get("402", "/coupons/CP-0001").rows("Characteristic")
	if len(rows) != 2 || !strings.Contains(rows[0][5], "replaced by entry") || !strings.Contains(rows[0][5], "digit misread") || rows[1][2] != "48.055 mm" || rows[1][5] != "no limits" {
		t.Errorf("readings %q; want the wrong one, marked, and its correction", rows)
	}
	b.get("402", "/new/coupon-reading?coupon=CP-0001&corrects=999999").says(http.StatusNotFound)
}

// The second reading of a length counts, and the page says so; the first stays.
func TestSecondReadingOfACouponCounts(t *testing.T) {
	b, _ := withCoupon(t)
	b.put("402", shop.CouponMeasured{Coupon: "CP-0001", Stage: shop.GreenStage, Characteristic: "1", Value: readingOf("48.055", "mm"), Gauge: "M-12"})
	rows := b.get("402", "/coupons/CP-0001").rows("Characteristic")
	if len(rows) != 2 || rows[0][5] != "a newer one counts" || rows[1][5] != "no limits" {
		t.Errorf("readings %q; want both, the second one counting", rows)
	}
}

// What cannot be is said beside the field, and what was typed stays.
func TestCouponFormsSayWhatIsWrong(t *testing.T) {
	b, _ := withCoupon(t)
	form := b.get("402", "/new/coupon-reading?coupon=CP-0001").mustForm("/new/coupon-reading")
	read := url.Values{"stage": {"green"}, "characteristic": {"1"}, "value": {"4.8"}, "unit": {"mm"}, "gauge": {"M-12"}}
	p := b.post("402", form, read).says(http.StatusUnprocessableEntity)
	if !p.saidAt("value", "1 of CP-0001 reads 4.8 mm green where the drawing says 40 mm: off by a factor of 10. Is the decimal point in its place?") {
		t.Errorf("not said at the reading: %s", p.text())
	}
	p.stands("/new/coupon-reading", read)
	read["value"], read["gauge"] = []string{"48.05"}, []string{"HT-1"}
	if p := b.post("402", form, read).says(http.StatusUnprocessableEntity); !p.saidAt("gauge", "Gauge HT-1, hardness tester, reads no length.") {
		t.Errorf("not said at the gauge: %s", p.text())
	}
	made := b.get("204", "/new/coupon").mustForm("/new/coupon")
	other := url.Values{"coupon": {"CP-0002"}, "for": {"receipt"}, "design": {"CR40"}, "container": {"L2509-A/01"}, "machine": {"P1"}, "layers": {"146"}, "drawn": {"56.0"}, "release": {"DR-02 A"}, "kx": {"12.011"}}
	if p := b.post("204", made, other).says(http.StatusUnprocessableEntity); !p.saidAt("kx", "The oversize factor in X is 12.011: it must lie from 1.10 to 1.30. It is green length divided by sintered length.") {
		t.Errorf("not said at the factor: %s", p.text())
	}
}
