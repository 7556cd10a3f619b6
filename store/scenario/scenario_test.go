package scenario

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// where an insert stands by the folder's own answers.
type answer struct {
	Status string
	Place  string
	Holds  []string
}

func expected(t testing.TB) map[string]answer {
	t.Helper()
	text, err := os.ReadFile("demo/expected.json")
	if err != nil {
		t.Fatal(err)
	}
	var all struct{ Status map[string]answer }
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	return all.Status
}

// stands is what the book says of an insert, in the words of the answers.
func stands(t testing.TB, st *store.Store, insert string) answer {
	t.Helper()
	w, err := st.Where(t.Context(), insert)
	if err != nil {
		t.Fatal(err)
	}
	return answer{Status: w.Status, Place: w.Place, Holds: w.HeldBy}
}

func TestDemoStandsAsItSays(t *testing.T) {
	t.Parallel()
	for name, open := range map[string]func(*testing.T) *store.Store{
		"sqlite":   func(t *testing.T) *store.Store { return emptyBook(t) },
		"postgres": onPostgres,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			st := open(t)
			r := load(t, st, Demo())
			answers := expected(t)
			if len(r.Inserts) != len(answers) {
				t.Errorf("%d inserts are loaded, want %d", len(r.Inserts), len(answers))
			}
			for _, insert := range r.Inserts {
				want := answers[insert]
				got := stands(t, st, insert)
				if got.Status != want.Status || got.Place != want.Place || !slices.Equal(got.Holds, want.Holds) {
					t.Errorf("%s stands as %+v, want %+v", insert, got, want)
				}
			}
			before := size(t, st)
			if again := load(t, st, Demo()); again.Recorded != 0 || again.Stood != r.Recorded+r.Stood {
				t.Errorf("the second time %d entries were new and %d stood, want 0 and %d", again.Recorded, again.Stood, r.Recorded+r.Stood)
			}
			if now := size(t, st); now != before || int64(r.Recorded) != before {
				t.Errorf("the book has %d entries, had %d, and %d were recorded", now, before, r.Recorded)
			}
			copies(t, st)
		})
	}
}

// copies fails the test unless the book verifies, and verifies with the same
// root after it was written out and read into an empty one.
func copies(t *testing.T, st *store.Store) {
	t.Helper()
	book, err := st.Verify(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if _, err := st.Export(t.Context(), &file, nil); err != nil {
		t.Fatal(err)
	}
	other := emptyBook(t)
	if _, err := other.Import(t.Context(), &file, nil); err != nil {
		t.Fatal(err)
	}
	if again, err := other.Verify(t.Context(), nil); err != nil || again.Root != book.Root || again.Entries != book.Entries {
		t.Errorf("the copy has %d entries and root %s, %v; want %d and %s", again.Entries, again.Root, err, book.Entries, book.Root)
	}
}

// TestNoGateSaidNo: the history was made without anything that stops, so none
// of it is in the log.
func TestNoGateSaidNo(t *testing.T) {
	t.Parallel()
	st := loaded(t, some...)
	for _, insert := range some {
		for _, e := range history(t, st, shop.Subject("insert", insert)) {
			if no, ok := e.Event.(shop.GateRefused); ok {
				t.Errorf("%s: %s", insert, no.Objections[0].Why)
			}
		}
	}
}

func TestInchReadingsStayAsTyped(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0005")
	results, err := st.Results(t.Context(), "I-0005")
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]struct {
		text  string
		value float64 // 25.4 times the text
	}{
		"CR25.1": {"0.99925 in", 25.38095},
		"CR25.2": {"0.99953 in", 25.388062},
		"CR25.3": {"1.39913 in", 35.537902},
		"CR25.4": {"48.8 HRC", 48.8},
	}
	found := 0
	for _, r := range results {
		w, ok := want[r.Characteristic]
		if !ok {
			continue
		}
		found++
		if r.Value.String() != w.text || r.Value.Value() != w.value || r.Verdict != "pass" {
			t.Errorf("%s reads %s = %v, %s; want %s = %v, pass", r.Characteristic, r.Value, r.Value.Value(), r.Verdict, w.text, w.value)
		}
	}
	if found != len(want) {
		t.Errorf("%d of %d readings are there", found, len(want))
	}
	d, err := st.Design(t.Context(), "CR25", "")
	if err != nil || d.DrawingUnit != "in" || d.Characteristics[0].Lower.String() != "25.350 mm" {
		t.Errorf("CR25 is drawn in %q with the lower limit %s (%v)", d.DrawingUnit, d.Characteristics[0].Lower, err)
	}
}

// TestTimesAndPeople: what was written on paper has both its times and says
// who did it; a print is finished when the machine says so and entered later;
// office work has no station.
func TestTimesAndPeople(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0013")
	for _, tt := range []struct {
		name, subject, kind   string
		at, entered           string
		by, station, device   string
		reason, meaning, zone string
	}{
		{"paper form", "load/F1-03", "load-closed", "2025-10-03T14:05:00+02:00", "2025-10-04T07:20:00+02:00",
			"312", "FUR", "tablet-05", "", "", "Europe/Vienna"},
		{"after the form was typed in", "load/F1-03", "load-unloaded", "2025-10-04T21:42:00+02:00", "2025-10-04T21:42:00+02:00",
			"312", "FUR", "tablet-05", "", "", "Europe/Vienna"},
		{"print over night", "insert/I-0013", "print-finished", "2025-09-30T08:32:00+02:00", "2025-09-30T14:09:00+02:00",
			"207", "PR2", "tablet-03", "", "", "Europe/Vienna"},
		{"delivery", "insert/I-0013", "mould-shipped", "2025-11-05T14:30:00+01:00", "2025-11-05T14:30:00+01:00",
			"601", "SHP", "tablet-09", "", "Delivered", "Europe/Vienna"},
		{"in the office", "lot/L2509-A", "lot-released", "2025-09-28T15:00:00+02:00", "2025-09-28T15:00:00+02:00",
			"101", "", "", "", "", "Europe/Vienna"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			e := only(t, st, tt.subject, tt.kind)
			if !e.At.Equal(vienna(t, tt.at)) || !e.Entered.Equal(vienna(t, tt.entered)) {
				t.Errorf("happened %s and entered %s, want %s and %s", e.At, e.Entered, tt.at, tt.entered)
			}
			if e.By != tt.by || e.Station != tt.station || e.Device != tt.device || e.Zone != tt.zone {
				t.Errorf("by %s at %q on %q in %s, want %s at %q on %q in %s", e.By, e.Station, e.Device, e.Zone, tt.by, tt.station, tt.device, tt.zone)
			}
			if e.Reason != tt.reason || e.Meaning != tt.meaning {
				t.Errorf("reason %q and meaning %q, want %q and %q", e.Reason, e.Meaning, tt.reason, tt.meaning)
			}
		})
	}
}

// TestFormOfTheOutage: what was typed in from the form has everyone's badge, and
// the stops that nobody heard meanwhile.
func TestFormOfTheOutage(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0013")
	f, err := st.PaperForm(t.Context(), "PF-0007")
	if err != nil || f.CheckedBy != "601" || len(f.Entries) != 4 {
		t.Fatalf("PF-0007 has %d entries, checked by %q, %v; want the opening, the placing of the insert and of the receipt coupon, and the door, checked by 601", len(f.Entries), f.CheckedBy, err)
	}
	for _, e := range f.Entries {
		if e.By != "312" || e.TypedBy != "311" || len(e.Missed) != 0 {
			t.Errorf("%s by %s, typed in by %s, missed %v; want 312, 311, and nothing missed", e.Kind, e.By, e.TypedBy, e.Missed)
		}
	}
	out, err := st.Outages(t.Context(), 10)
	if err != nil || len(out) != 1 || !out[0].Until.Equal(vienna(t, "2025-10-03T16:45:00+02:00")) {
		t.Errorf("the outages are %+v, %v", out, err)
	}
}

func TestNamesStandBesideTheLog(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0040")
	p, err := st.Person(t.Context(), "204")
	if err != nil || p.Name != "Tomas Rehling" {
		t.Fatalf("204 is %q (%v), want Tomas Rehling", p.Name, err)
	}
	for _, e := range history(t, st, "person/204") {
		if strings.Contains(e.Payload, "Rehling") {
			t.Errorf("the log has the name: %s", e.Payload)
		}
	}
}

func TestTwoPeopleOnAPrint(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0016")
	layers, err := st.Layers(t.Context(), "I-0016")
	if err != nil || len(layers) != 2 {
		t.Fatalf("%d records by layer (%v), want 2", len(layers), err)
	}
	for i, want := range []struct {
		from, to int
		by       string
		remark   string
	}{
		{1, 212, "207", "paused: shift ends, nobody in the house at night; layer finished"},
		{213, 305, "204", "resumed 2025-10-07 06:10 by badge 204: handed over"},
	} {
		if l := layers[i]; l.FromLayer != want.from || l.ToLayer != want.to || l.By != want.by || l.Remark != want.remark {
			t.Errorf("layers %d to %d by %s, %q; want %+v", l.FromLayer, l.ToLayer, l.By, l.Remark, want)
		}
	}
}

func TestReleasesEndAsTheFolderSays(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0039")
	for _, tt := range []struct {
		name, release string
		successor     string // its own number: withdrawn
		ended         string
		signed        []string
	}{
		{"line whose successor nobody signed a second time", "DR-08 A/CR40", "DR-08 A/CR40", "2025-11-06T11:20:00+01:00", []string{"601", "101"}},
		{"line without a successor", "DR-08 A/CR25", "DR-08 A/CR25", "2025-11-06T11:20:00+01:00", []string{"601", "101"}},
		{"no second signature", "DR-14 A/CV60", "", "", []string{"101"}},
		{"in force", "DR-15 A/SF80", "", "", []string{"601", "101"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := st.Release(t.Context(), tt.release)
			if err != nil {
				t.Fatal(err)
			}
			var signed []string
			for _, s := range r.Signatures {
				signed = append(signed, s.By)
			}
			if r.SupersededBy != tt.successor || !slices.Equal(signed, tt.signed) {
				t.Errorf("followed by %q, signed by %q; want %q, %q", r.SupersededBy, signed, tt.successor, tt.signed)
			}
			if tt.ended != "" && !r.SupersededAt.Equal(vienna(t, tt.ended)) {
				t.Errorf("ended %s, want %s", r.SupersededAt, tt.ended)
			}
		})
	}
	start := only(t, st, "insert/I-0039", "print-started")
	want := "second signatory away; release already in use (OV-02, answered by badge 101 at 2025-11-18 06:20)"
	if got := start.Answers[shop.ReleaseSignedTwice.Name]; got != want {
		t.Errorf("the print went on because %q, want %q", got, want)
	}
}

// TestPoliciesChangeAtNow: from the folder's now on the second signature is no
// longer asked for but demanded.
func TestPoliciesChangeAtNow(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0040")
	policies, err := st.Policies(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	now, err := Now(Demo())
	if err != nil || !now.Equal(vienna(t, "2025-11-21T09:00:00+01:00")) {
		t.Fatalf("now is %s (%v)", now, err)
	}
	for gate, want := range map[string][2]shop.Mode{
		shop.ReleaseSignedTwice.Name: {shop.Warn, shop.Stop},
		shop.ContainerOpenLife.Name:  {shop.Warn, shop.Stop},
		shop.ProgramHash.Name:        {shop.Stop, shop.Stop},
	} {
		before, after := shop.ModeAt(policies, gate, shop.OpPrint, now.Add(-time.Second)), shop.ModeAt(policies, gate, shop.OpPrint, now)
		if before != want[0] || after != want[1] {
			t.Errorf("%s: %s, then %s; want %s, then %s", gate, before, after, want[0], want[1])
		}
	}
}

func TestSwappedInTheFurnace(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0022", "I-0025")
	var moves []string
	for _, e := range history(t, st, "load/F2-04") {
		switch ev := e.Event.(type) {
		case shop.LoadPlaced:
			moves = append(moves, ev.Insert+" to "+ev.Position)
		case shop.LoadTakenOut:
			moves = append(moves, ev.Insert+" out")
		}
	}
	want := []string{"I-0025 to M1", "I-0022 to B1", "I-0022 out", "I-0025 to B1", "I-0022 to M1"}
	if !slices.Equal(moves, want) {
		t.Errorf("moved %q, want %q", moves, want)
	}
	l, err := st.Load(t.Context(), "F2-04")
	if err != nil || l.At("M1") != "I-0022" || l.At("B1") != "I-0025" {
		t.Errorf("at M1 lies %s, at B1 %s (%v)", l.At("M1"), l.At("B1"), err)
	}
}

// TestConcession: an insert that failed was fitted because a concession covers
// it in that mould; with the concession given for another one, or for less, it
// is refused.
func TestConcession(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ from, to, why string }{
		"for another mould":  {",M305,K2,", ",M304,K1,", "Concession CN-01 is for mould M304, not M305."},
		"for harder ones":    {"hardness 43 HRC or more", "hardness 44 HRC or more", "Concession CN-01 allows hardness 44 HRC or more; CV60.4 reads 43.8 HRC."},
		"of another measure": {"hardness 43 HRC or more", "density 95 % or more", "Concession CN-01 says nothing of CV60.4"},
		"over by then":       {",2025-12-31", ",2025-10-14", "Concession CN-01 expired: its last day was 2025-10-14."},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := Load(t.Context(), emptyBook(t), edited(t, "concessions.csv", c.from, c.to), Options{Inserts: []string{"I-0019"}, Verifier: verifier})
			if !errors.Is(err, shop.ErrRefused) || !strings.HasPrefix(err.Error(), "fitups.csv line 20, column at: the book refused fit-up-done") || !strings.Contains(err.Error(), c.why) {
				t.Errorf("%v; want the fit-up refused with %q", err, c.why)
			}
		})
	}
}

// TestNonconformancesOfTheDemo: one number about three inserts is one decision;
// the one that was raised by mistake is cancelled and stays.
func TestNonconformancesOfTheDemo(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0019", "I-0020", "I-0021", "I-0028")
	decided := 0
	for _, e := range history(t, st, "nonconformance/NC-002") {
		if d, ok := e.Event.(shop.NonconformanceDecided); ok {
			decided++
			if !slices.Equal(slices.Sorted(slices.Values(d.Inserts)), []string{"I-0019", "I-0020", "I-0021"}) || d.Disposition != shop.UseAsIs || e.By != "601" {
				t.Errorf("decided %+v by %s", d, e.By)
			}
		}
	}
	if decided != 1 {
		t.Errorf("NC-002 has %d decisions; want one about all three", decided)
	}
	all, err := st.Nonconformance(t.Context(), "NC-003")
	if err != nil || len(all) != 1 || all[0].State != shop.NCCancelled || all[0].DecidedBy != "601" {
		t.Errorf("NC-003 is %+v, %v; want it cancelled by 601", all, err)
	}
	c, err := st.Concession(t.Context(), "CN-01")
	if err != nil || len(c.Limits) != 1 || c.Limits[0].String() != "hardness 43 HRC or more" || c.Quantity != 3 {
		t.Errorf("CN-01 is %+v, %v", c, err)
	}
}

// TestReplaced: who asks for an insert gets the one it replaces.
func TestReplaced(t *testing.T) {
	t.Parallel()
	st := emptyBook(t)
	if r := load(t, st, Demo(), "I-0009"); !slices.Equal(r.Inserts, []string{"I-0009", "I-0041"}) {
		t.Fatalf("loaded %q", r.Inserts)
	}
	i, err := st.Insert(t.Context(), "I-0009")
	if err != nil || i.Replaces != "I-0041" {
		t.Errorf("I-0009 replaces %q (%v)", i.Replaces, err)
	}
}

// TestTwoLotsByLayer: I-0026 was printed of one lot and, from layer 184 on, of
// another; both balances and both lots' pages have it.
func TestTwoLotsByLayer(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0026")
	r, err := st.Release(t.Context(), "DR-10 A/CR40")
	if err != nil || r.LotWords() != "L2509-A, from layer 184 L2509-B" || r.LotAt(183) != "L2509-A" || r.LotAt(184) != "L2509-B" {
		t.Errorf("the release prints %q, %v", r.LotWords(), err)
	}
	for _, lot := range []string{"L2509-A", "L2509-B"} {
		of, err := st.ReleasesOfLot(t.Context(), lot)
		if err != nil || !slices.ContainsFunc(of, func(r shop.Release) bool { return r.Release == "DR-10 A/CR40" }) {
			t.Errorf("the releases of %s leave it out: %v", lot, err)
		}
		made, err := st.Inserts(t.Context(), "lot", lot)
		if err != nil || len(made) != 1 || made[0].Insert != "I-0026" {
			t.Errorf("made of %s: %d inserts, %v; want I-0026", lot, len(made), err)
		}
	}
}

// TestLeftOutIsSaid: what the book cannot say yet is not bent to fit, and the
// report names it.
func TestLeftOutIsSaid(t *testing.T) {
	t.Parallel()
	r := load(t, emptyBook(t), Demo(), "I-0040")
	said := strings.Join(r.Passed, "\n")
	for _, want := range []string{"run log judged"} {
		if !strings.Contains(said, want) {
			t.Errorf("the report does not say %q:\n%s", want, said)
		}
	}
}

func TestProgressCountsToTheEnd(t *testing.T) {
	t.Parallel()
	last, all := 0, 0
	r, err := Load(t.Context(), emptyBook(t), Demo(), Options{Inserts: []string{"I-0040"}, Verifier: verifier, Progress: func(done, total int) {
		if done != last+1 {
			t.Errorf("%d comes after %d", done, last)
		}
		last, all = done, total
	}})
	if err != nil || last != all || last != r.Recorded {
		t.Errorf("counted %d of %d, recorded %d (%v)", last, all, r.Recorded, err)
	}
}

// TestPlanOfAll: no two entries of the whole folder share an id or a scan
// code, and each kind has its place in the order.
func TestPlanOfAll(t *testing.T) {
	t.Parallel()
	p, err := planFolder(Demo(), Options{Verifier: verifier})
	if err != nil {
		t.Fatal(err)
	}
	ids, codes := map[uuid.UUID]string{}, map[string]bool{}
	for _, e := range p.entries {
		if first, twice := ids[e.ID]; twice {
			t.Errorf("%s line %d has the id of %s", e.row.t.name, e.row.line, first)
		}
		ids[e.ID] = e.row.t.name + " " + e.Event.Kind()
		if !slices.Contains(order, e.Event.Kind()) {
			t.Errorf("%s has no place in the order", e.Event.Kind())
		}
		body, err := json.Marshal(e.Event)
		if err != nil {
			t.Fatal(err)
		}
		var coded struct{ Code string }
		if err := json.Unmarshal(body, &coded); err == nil && coded.Code != "" {
			if codes[coded.Code] {
				t.Errorf("%s line %d has a scan code that is given already", e.row.t.name, e.row.line)
			}
			codes[coded.Code] = true
		}
	}
	if len(p.serials()) != 41 || len(codes) < 80 {
		t.Errorf("%d inserts and %d codes", len(p.serials()), len(codes))
	}
}

// TestInstructionsRead: at the folder's now whoever may do an operation has read
// how it is done, but for the inspector whose shift begins after the newest
// revision came into force.
func TestInstructionsRead(t *testing.T) {
	t.Parallel()
	st := loaded(t, "I-0040")
	all, err := st.Instructions(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	people, err := st.People(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	now, err := Now(Demo())
	if err != nil {
		t.Fatal(err)
	}
	var unread []string
	asked := 0
	for _, operation := range shop.Operations {
		in, ok := shop.InstructionAt(all, operation, now)
		if !ok || in.Text == "" {
			t.Errorf("%s has no instruction in force, or one without its steps", operation)
		}
		for _, p := range people {
			if !p.MayDo(operation, shop.DayOf(now, vienna(t, "2025-11-21T09:00:00+01:00").Location())) {
				continue
			}
			asked++
			if read, err := st.HasRead(t.Context(), in, p.Badge); err != nil || !read {
				unread = append(unread, p.Badge+" "+in.Name())
			}
		}
	}
	if want := []string{"405 WI-50 B"}; !slices.Equal(unread, want) || asked < 15 {
		t.Errorf("of %d, not read: %q; want %q", asked, unread, want)
	}
	if e := only(t, st, "person/405", "instruction-acknowledged"); e.Station != "INS" || !e.At.Equal(vienna(t, "2025-08-01T14:00:00+02:00")) {
		t.Errorf("405 read WI-50 A at %s at %q", e.At, e.Station)
	}
}
