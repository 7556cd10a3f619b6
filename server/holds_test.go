package server

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"sinterbook/store/shop"
)

func TestHoldsPage(t *testing.T) {
	b := staffed(t)
	b.get("900", "/holds").says(http.StatusOK, "Nothing is held.").silent("Hold something")
	b.put("402", shop.HoldSet{Hold: "H-001", OnKind: "gauge", OnCode: "M-12", Why: "fell down"})
	b.put("601", shop.HoldSet{Hold: "H-002", OnKind: "lot", OnCode: "L2509-A", Why: "coupons are small"})
	b.advance(49 * time.Hour)
	b.put("601", shop.HoldLifted{Hold: "H-001", OnKind: "gauge", OnCode: "M-12", Why: "checked again"})
	p := b.get("900", "/holds").says(http.StatusOK, "1 hold stands", "2 d 1 h", "coupons are small", "fell down", "checked again")
	if rows := p.rows("Stands for"); len(rows) != 1 || rows[0][0] != "H-002" {
		t.Errorf("standing: %q; want H-002 alone", rows)
	}
	b.get("900", "/holds/H-001").says(http.StatusOK, "Hold on gauge M-12", "Stood for 2 d 1 h").silent("Your PIN")
}

func TestSetHold(t *testing.T) {
	b := staffed(t)
	form := b.get("402", "/holds?on_kind=lot&on_code=L2509-A").mustForm("/holds")
	if got := valueOf(elements(form, "select")[0]); got != "lot" {
		t.Errorf("the form proposes %q; want lot", got)
	}
	missing := b.post("402", form, url.Values{"on_code": {"L9999"}}).says(http.StatusUnprocessableEntity, "The reason for the hold is missing.")
	b.post("402", missing.mustForm("/holds"), url.Values{"why": {"coupons are small"}}).says(http.StatusConflict, "There is no lot L9999 in this book.")
	if p := b.post("402", form, url.Values{"why": {"coupons are small"}}); p.to != "/holds/H-001" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", "/lots/L2509-A").says(http.StatusOK, "Stopped: held", "Lot L2509-A is held by 402")
	if got := valueOf(namedField(t, b.get("402", "/holds").mustForm("/holds"), "hold")); got != "H-002" {
		t.Errorf("the next hold is proposed as %q; want H-002", got)
	}
}

// A thing can be named by its scan code as well.
func TestSetHoldByScan(t *testing.T) {
	b := staffed(t)
	lot, err := b.store.Lot(t.Context(), "L2509-A")
	if err != nil {
		t.Fatal(err)
	}
	form := b.get("402", "/holds").mustForm("/holds")
	if p := b.post("402", form, url.Values{"on_kind": {"lot"}, "on_code": {string(lot.Code)}, "why": {"coupons are small"}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/lots/L2509-A").says(http.StatusOK, "Stopped: held")
}

func TestOnlyTheQualityManagerIsAskedToLift(t *testing.T) {
	b := staffed(t)
	b.put("402", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L2509-A", Why: "coupons are small"})
	b.get("402", "/holds/H-001").says(http.StatusOK, "The quality manager lifts holds").silent("Your PIN")
	b.get("601", "/holds/H-001").says(http.StatusOK, "Your PIN", "Lift H-001")
}
