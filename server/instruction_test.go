package server

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"sinterbook/store/shop"
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

// revised puts a revision of the printing instruction into force.
func (b *bookTest) revised(revision string) {
	b.Helper()
	b.sign("601", shop.InstructionReleased{Instruction: "WI-20", Revision: revision, Op: shop.OpPrint, Title: "Print by layer", Text: "Home the machine.\nPrime the nozzle.", From: b.now()})
}

// TestReadBeforeTheFirstAct: at a station the instruction stands in the place of
// the form until it was read, once; what was typed before is still there, and
// nothing of it was recorded by reading.
func TestReadBeforeTheFirstAct(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	b.put("601", shop.StationAdded{Station: "PR1", Name: "Printer P1", Operation: shop.OpPrint, Equipment: "P1", Code: shop.NewScanCode()})
	b.opened("I-0029", "CR40")
	b.revised("A")
	b.get("204", "/station/I-0029").says(http.StatusOK, "Record the start of the print").silent("I have read") // in the office nothing is asked

	var err error
	if b.station, err = b.store.Station(t.Context(), "PR1"); err != nil {
		t.Fatal(err)
	}
	asked := b.get("204", "/station/I-0029?act=print-start&machine=P1").says(http.StatusOK, "Start the print: first read how", "WI-20 A", "nothing, it is the first", "Home the machine.", "I have read WI-20 A").
		silent("Record the start of the print")
	form := asked.mustForm("/instructions/WI-20/read")
	before := b.entries()
	for range 2 { // a second press says nothing new
		if p := b.post("204", form, nil); p.status != http.StatusSeeOther || p.to != "/station/I-0029?act=print-start&machine=P1" {
			t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
		}
	}
	if got := b.entries() - before; got != 1 {
		t.Errorf("reading it made %d entries; want 1", got)
	}
	open := b.get("204", "/station/I-0029?act=print-start&machine=P1").says(http.StatusOK, "Badge 204 has read the instruction", "Record the start of the print").mustForm("/station/I-0029/print-start")
	b.get("311", "/instructions/WI-20").says(http.StatusOK, "Everyone who is authorised for its operation today has read it.", "PR1")

	b.advance(time.Hour)
	b.revised("B")
	typed := url.Values{"carrier": {"PL-03"}, "layers": {"304"}, "kx": {"1.2019"}, "ky": {"1.2019"}, "kz": {"1.2180"}, "program_sha256": {testProgram}}
	before = b.entries()
	stopped := b.post("204", open, typed).says(http.StatusConflict, "Stopped", "Instruction WI-20 B has been in force for print since", "the attempt is noted", "Takes the place of WI-20 A").silent("Record the start of the print")
	back := b.post("204", stopped.mustForm("/station/I-0029/print-start"), nil).says(http.StatusOK, "Noted: you have read WI-20 B.", "Record the start of the print")
	if got := b.entries() - before; got != 2 {
		t.Errorf("the attempt and the reading made %d entries; want 2", got)
	}
	again := back.mustForm("/station/I-0029/print-start")
	back.stands("/station/I-0029/print-start", typed)
	if p := b.post("204", again, nil); p.to != "/station/I-0029" {
		t.Errorf("the act after it: status %d: %s", p.status, p.text())
	}
	b.get("204", "/people/204").says(http.StatusOK, "WI-20", "PR1").silent("not read yet")
	b.get("204", "/instructions/WI-20").says(http.StatusOK, "Who has read earlier revisions").silent("I have read WI-20 B")
	b.get("204", "/history/person/204").says(http.StatusOK, "Badge 204 has read instruction WI-20 revision B.")
	b.get("204", "/history/instruction/WI-20").says(http.StatusOK, "Badge 204 has read instruction WI-20 revision A.")
}

// TestReadByPolicy: where the gate only warns, a reason will do, and the
// instruction is offered beside the form; where it is silent, it is offered.
func TestReadByPolicy(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	b.put("601", shop.StationAdded{Station: "PR1", Name: "Printer P1", Operation: shop.OpPrint, Equipment: "P1", Code: shop.NewScanCode()})
	b.opened("I-0029", "CR40")
	b.revised("A")
	var err error
	if b.station, err = b.store.Station(t.Context(), "PR1"); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		mode shop.Mode
		asks string
	}{{shop.Warn, "badge 204 has not said yet that they have read it: why go on?"}, {shop.Silent, ""}} {
		b.put("601", shop.PolicySet{Gate: shop.InstructionRead.Name, Op: shop.OpPrint, From: b.now(), Mode: tt.mode})
		b.get("204", "/station/I-0029").says(http.StatusOK, "Record the start of the print", "I have read WI-20 A", tt.asks).mustForm("/instructions/WI-20/read")
	}
	b.get("900", "/instructions/WI-20").says(http.StatusOK, "Not read yet by 1 of 1.").silent("I have read")
	p := b.post("311", b.get("311", "/instructions/WI-20").says(http.StatusOK).mustForm("/instructions/WI-20/read"), url.Values{"to": {"//elsewhere.example"}})
	if p.to != "/instructions/WI-20" {
		t.Errorf("sent on to %q", p.to)
	}
}

// TestReadAtTheFurnace: the load's forms wait for the instruction as well, and
// what was scanned for a place comes back.
func TestReadAtTheFurnace(t *testing.T) {
	b := staffed(t)
	b.put("601", shop.StationAdded{Station: "FUR", Name: "Furnaces", Operation: shop.OpSinter, Code: shop.NewScanCode()})
	b.opened("I-0029", "CR40")
	b.dried("I-0029", "PL-03")
	b.put("311", shop.LoadOpened{Load: "F2-09", Furnace: "F2", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	var err error
	if b.station, err = b.store.Station(t.Context(), "FUR"); err != nil {
		t.Fatal(err)
	}
	open := b.get("311", "/loads/F2-09").says(http.StatusOK).mustForm("/loads/F2-09/place")
	b.sign("601", shop.InstructionReleased{Instruction: "WI-40", Revision: "A", Op: shop.OpSinter, Title: "Load a furnace", From: b.now()})
	i, err := b.store.Insert(t.Context(), "I-0029")
	if err != nil {
		t.Fatal(err)
	}
	typed := url.Values{"insert": {string(i.Code)}, "position": {"M1"}, "setter": {"ST-17"}}
	stopped := b.post("311", open, typed).says(http.StatusConflict, "WI-40 A", "not kept in this book")
	back := b.post("311", stopped.mustForm("/loads/F2-09/place"), nil).says(http.StatusOK, "Noted: you have read WI-40 A.", "Lay it in")
	back.stands("/loads/F2-09/place", typed)
	if p := b.post("311", back.mustForm("/loads/F2-09/place"), nil); p.to != "/loads/F2-09" {
		t.Errorf("laying it in: status %d: %s", p.status, p.text())
	}
	b.sign("601", shop.InstructionReleased{Instruction: "WI-40", Revision: "B", Op: shop.OpSinter, Title: "Load a furnace", From: b.now()})
	b.get("311", "/loads/F2-09").says(http.StatusOK, "I have read WI-40 B").silent("Lay it in", "Record that the door was closed").mustForm("/instructions/WI-40/read")
}
