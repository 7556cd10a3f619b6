package server

import (
	"net/http"
	"net/url"
	"testing"
)

// An instruction is approved with a PIN; from its time on the station shows
// it.
func TestApproveAnInstruction(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	b.opened("I-0029", "CR40")
	b.get("900", "/instructions").says(http.StatusOK, "There is none.").silent("Approve an instruction")
	b.get("204", "/station/I-0029").says(http.StatusOK).silent("Work instruction")
	form := b.get("601", "/new/instruction").mustForm("/new/instruction")
	typed := url.Values{"instruction": {"WI-20"}, "revision": {"A"}, "operation": {"print"}, "title": {"Print by layer"}, "text": {"Home the machine."},
		"from": {b.now().In(viennaOf(t)).Format("2006-01-02T15:04")}, "pin": {"0000"}}
	b.post("601", form, typed).says(http.StatusUnprocessableEntity, "PIN")
	typed.Set("pin", rightPIN)
	if p := b.post("601", form, typed); p.to != "/instructions/WI-20" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", "/instructions").says(http.StatusOK, "WI-20", "in force", "601")
	b.get("900", "/instructions/WI-20").says(http.StatusOK, "Home the machine.")
	b.get("204", "/station/I-0029").says(http.StatusOK, "Work instruction", "WI-20 A", "Home the machine.")
}
