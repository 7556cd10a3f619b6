package server

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// A container that is short is flagged wherever a person looks, until somebody
// says what was found.
func TestMissingMassIsFlagged(t *testing.T) {
	b := staffed(t)
	b.opened("I-0031", "CR40")
	b.dried("I-0031", "PL-01")
	for _, path := range []string{"/lots/L2509-A", "/containers/L2509-A/01", "/floor"} {
		b.get("900", path).says(http.StatusOK).silent("over the limit", "unexplained.")
	}
	b.get("900", "/lots").says(http.StatusOK, "not weighed yet").silent("over the limit", "adds up")
	b.enter(shop.Entry{By: "204", Answers: map[string]string{shop.WeighingAsExpected.Name: "weighed twice"}, Event: shop.ContainerWeighed{Container: "L2509-A/01", Left: readingOf("2178.2", "g")}})
	b.get("900", "/lots/L2509-A").says(http.StatusOK, "38.0", "over the limit")
	b.get("900", "/containers/L2509-A/01").says(http.StatusOK, "Its paste does not add up", "38.0 g missing, unexplained.", "The limit was 10 g (common practice, no source).").silent("Say what was found")
	b.get("900", "/lots").says(http.StatusOK, "L2509-A/01 over the limit")
	b.get("900", "/floor").says(http.StatusOK, "38.0 g missing, unexplained.")
	b.get("601", "/containers/L2509-A/01").says(http.StatusOK, "Say what was found")
	form := b.get("601", "/new/difference?container=L2509-A/01").says(http.StatusOK, "38.0 g unexplained").mustForm("/new/difference")
	if p := b.post("601", form, url.Values{"why": {"spilled at the scale"}}); p.to != "/containers/L2509-A/01" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	for _, path := range []string{"/lots", "/floor"} {
		b.get("900", path).says(http.StatusOK).silent("over the limit", "unexplained.")
	}
	b.get("900", "/lots").says(http.StatusOK, "adds up")
	b.get("900", "/containers/L2509-A/01").says(http.StatusOK, "unexplained, looked into", "spilled at the scale").silent("does not add up")
}

// The floor lists what is open by what runs out first, and what is left in it.
func TestFloorListsOpenPaste(t *testing.T) {
	b := staffed(t)
	b.put("101", shop.LotReceived{Lot: "L2510-B", Material: "HT44 paste", MadeOn: "2025-10-01", ExpiresOn: "2025-10-30", OpenLifeDays: 30, Code: shop.NewScanCode()})
	b.put("204", shop.ContainerReceived{Container: "L2510-B/01", Lot: "L2510-B", Mass: readingOf("2500", "g"), Code: shop.NewScanCode()})
	b.advance(time.Hour)
	b.put("204", shop.ContainerOpened{Container: "L2510-B/01"})
	text := b.get("900", "/floor").says(http.StatusOK, "Open paste, what runs out first", "2 500.0 g left").text()
	if first, second := strings.Index(text, "L2510-B/01"), strings.Index(text, "L2509-A/01"); first < 0 || second < first {
		t.Errorf("L2510-B/01, whose lot ends first, stands at %d and L2509-A/01 at %d", first, second)
	}
	b.advance(40 * 24 * time.Hour)
	b.get("900", "/floor").says(http.StatusOK, "left, expired", "open life over since")
}

// A container that was scanned says what is left in it and for how long.
func TestScannedContainerSaysWhatIsLeft(t *testing.T) {
	b := staffed(t)
	b.get("204", "/station?container=L2509-A/01").says(http.StatusOK, "2 499.8 g left, open, 30 d 0 h to use it")
	b.get("204", "/station?container=L2509-A/02").says(http.StatusOK, "sealed: record its opening first")
	b.get("204", "/station?container=L9999").says(http.StatusOK, "L9999")
}

// The account closes, says where each insert is and who drew it up.
func TestAccountOfALot(t *testing.T) {
	b := staffed(t)
	for i, n := range []string{"I-0031", "I-0032"} {
		b.opened(n, "CR40")
		b.dried(n, []string{"PL-01", "PL-02"}[i])
	}
	b.put("204", shop.CouponMade{Coupon: "CP-0001", For: shop.ReceiptCoupon, Design: "CR40", Revision: "B", Container: "L2509-A/01", Machine: "P1", Release: "DR-02 A", Layers: 146, Drawn: readingOf("56.0", "g"), Purged: readingOf("2.5", "g"), Code: shop.NewScanCode()})
	b.put("204", shop.PasteWasted{Container: "L2509-A/01", Mass: readingOf("8.4", "g"), Why: "wiped off the paddle"})
	b.put("101", shop.ContainerReturned{Container: "L2509-A/02", Mass: readingOf("2499.8", "g"), Note: "RN-7", Why: "the maker calls it back"})
	b.get("900", "/lots/L2509-A").says(http.StatusOK, "Account of its paste")
	p := b.get("900", "/lots/L2509-A/account").says(http.StatusOK, "as much as came in", "badge 900", "of the log", "RN-7")
	got := map[string]string{}
	for _, row := range p.rows("How many") {
		got[row[0]] = strings.ReplaceAll(row[1], "\u202f", " ") + " | " + row[2]
	}
	for what, want := range map[string]string{
		"In stock, sealed": "0.0 | 0 containers", "In stock, open": "1 865.7 | 1 container", "Drawn for inserts": "561.0 | 2 inserts", "Drawn for coupons": "56.0 | 1 coupon", "Purged through the nozzle": "8.7 | ",
		"Thrown away in use": "8.4 | ", "Sent back to the maker": "2 499.8 | 1 container", "Unexplained": "0.0 | 0 containers", "All of these": "4 999.6 | as much as came in", "Came in": "4 999.6 | 2 containers",
	} {
		if got[what] != want {
			t.Errorf("%s: %q; want %q", what, got[what], want)
		}
	}
	inserts := p.rows("Layers")
	if len(inserts) != 2 || !slices.Equal(inserts[0][:6], []string{"I-0031", "CR40", "L2509-A/01", "1–304", "280.5", "3.1"}) || inserts[0][7] != "dried, D1" {
		t.Errorf("inserts: %q", inserts)
	}
	b.get("900", "/lots/L2509-A/account?print=1").says(http.StatusOK, "as much as came in").silent("Print it")
	b.get("900", "/lots/L2509-A/account?container=L2509-A/02").says(http.StatusOK, "Came in", "2 499.8").silent("I-0031")
	b.get("900", "/lots/L2509-A/account?container=L9/01").says(http.StatusNotFound)
	b.get("900", "/trace?q=L2509-A").says(http.StatusOK, "Account of its paste")
}

// A weighing that cannot be is questioned on its form, and stands with a reason.
func TestStrangeWeighingIsQuestioned(t *testing.T) {
	b := staffed(t)
	form := b.get("204", "/new/container-weighing?container=L2509-A/01").mustForm("/new/container-weighing")
	before := b.size()
	p := b.post("204", form, url.Values{"left": {"2.4998"}}).says(http.StatusConflict, "2.4998 kg are 2499.8 g")
	if b.size() != before {
		t.Error("something was recorded")
	}
	again := p.mustForm("/new/container-weighing")
	if p := b.post("204", again, url.Values{"left": {"2510"}, views.AnswerField(shop.WeighingAsExpected.Name): {"the label was wrong"}}); p.to != "/containers/L2509-A/01" {
		t.Fatalf("with a reason: status %d: %s", p.status, p.text())
	}
	b.get("900", "/containers/L2509-A/01").says(http.StatusOK, "g too much, unexplained.")
}

// A limit of the shop holds from its moment on.
func TestLimits(t *testing.T) {
	b := staffed(t)
	b.get("900", "/limits").says(http.StatusOK, "common practice, no source", "Nothing was decided yet").silent("Decide on a limit")
	form := b.get("601", "/limits").mustForm("/limits")
	set := url.Values{"limit": {shop.UnexplainedMass}, "value": {"25"}, "unit": {"g"}, "from": {"2025-10-20T12:00"}, "basis": {"a year of our own weighings"}}
	b.post("601", form, with(set, "unit", "%")).says(http.StatusUnprocessableEntity, "is not a unit of mass")
	b.post("601", form, with(set, "from", "2025-10-01T12:00")).says(http.StatusUnprocessableEntity, "cannot hold from before it was set")
	if p := b.post("601", form, set); p.to != "/limits" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/limits").says(http.StatusOK, "25 g", "a year of our own weighings", "not yet in force")
	b.post("204", form, set).says(http.StatusForbidden)
}

// with is a form with one field typed otherwise.
func with(fields url.Values, field, value string) url.Values {
	typed := url.Values{}
	for k, v := range fields {
		typed[k] = v
	}
	typed.Set(field, value)
	return typed
}
