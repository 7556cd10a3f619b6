package server

import (
	"net/http"
	"strings"
	"testing"
)

// The customer's certificate says what was measured and nothing of how it was
// made, or by whom.
func TestConformity(t *testing.T) {
	b := crammed(t)
	p := b.get("900", "/inserts/I-0030/certificate").says(http.StatusOK, "Inspection certificate", "CR40", "L2509-A", "Every characteristic was measured and lies within its limits")
	for _, inside := range []string{"P1", "F2-05", "M-12", "HT-1", "402", "204", "PL-01", "DR-02", "1.2019", "L2509-A/01"} {
		if body := p.text()[strings.Index(p.text(), "Inspection certificate"):]; strings.Contains(body, inside) {
			t.Errorf("the customer sees %q", inside)
		}
	}
	if rows := p.rows("Verdict"); len(rows) != 4 || rows[0][3] != "39.969" || rows[0][5] != "pass" {
		t.Errorf("what was measured: %q", rows)
	}
	b.get("900", "/inserts/I-0029/certificate").says(http.StatusOK, "DN-7", "M301", "This is no certificate yet", "I-0029 is named by containment CA-001.")
	b.get("900", "/inserts/I-0031/certificate").says(http.StatusOK, "This is no certificate yet")
	b.get("900", "/inserts/I-0033/certificate").says(http.StatusOK, "This is no certificate yet", "not measured")
}
