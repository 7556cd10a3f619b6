package store

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// soft takes an opened insert to the end of its inspection with a hardness
// below its limit.
func soft(t testing.TB, s *Store, insert, position, hardness string) {
	t.Helper()
	dried(t, s, insert, "PL-"+insert[len(insert)-2:])
	load := "F1-" + insert
	put(t, s, "311", shop.LoadOpened{Load: load, Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	put(t, s, "311", shop.LoadPlaced{Load: load, Insert: insert, Position: position})
	put(t, s, "311", shop.LoadClosed{Load: load})
	put(t, s, "311", shop.LoadUnloaded{Load: load, Inserts: []string{insert}})
	put(t, s, "311", shop.TemperingStarted{Insert: insert, Recipe: "TR-590 A", Oven: "H1"})
	put(t, s, "311", shop.TemperingFinished{Insert: insert})
	inspect(t, s, insert, hardness)
}

func inspect(t testing.TB, s *Store, insert, hardness string) {
	t.Helper()
	read := func(number string, v shop.Reading, gauge string) {
		put(t, s, "402", shop.ResultRecorded{Insert: insert, Characteristic: number, Value: v, Gauge: gauge, Purpose: "inspection"})
	}
	read("CR40.1", mm("39.987"), "M-12")
	read("CR40.2", shop.MustReading(hardness, "HRC"), "HT-1")
	put(t, s, "402", shop.InspectionFinished{Insert: insert})
}

func fit(insert, place string) shop.Entry {
	return entryBy("501", shop.FitUpDone{Insert: insert, Mould: "M301", Place: place, Shim: shop.MustReading("10", "um")})
}

// conflict is an act that is refused with a sentence and stores nothing.
func conflict(t testing.TB, s *Store, by string, e shop.Event, says string) {
	t.Helper()
	before := size(t, s)
	_, err := s.Record(t.Context(), entryBy(by, e))
	if err == nil || !strings.Contains(err.Error(), says) || size(t, s) != before {
		t.Errorf("%s: %v, %d new entries; want it refused, saying %q", e.Kind(), err, size(t, s)-before, says)
	}
}

// What failed goes back to tempering and through everything after it again;
// both passes stay on the traveler.
func TestRework(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		soft(t, s, "I-0001", "T1", "44.8")
		stopped(t, s, fit("I-0001", "K1"), shop.FailHasNonconformance.Name, "I-0001 failed in CR40.2 (44.8 HRC; limits 46 to 50 HRC), and no nonconformance says so.")
		put(t, s, "402", shop.NonconformanceRaised{Nonconformance: "NC-001", Insert: "I-0001", What: "hardness below 46 HRC"})
		conflict(t, s, "402", shop.NonconformanceRaised{Nonconformance: "NC-001", Insert: "I-0001", What: "the same"}, "names I-0001 already")
		stopped(t, s, fit("I-0001", "K1"), shop.NonconformanceClosed.Name, "NC-001 on I-0001 is open: hardness below 46 HRC.")
		if w, err := s.Where(t.Context(), "I-0001"); err != nil || w.Status != "inspected, in quarantine" || w.Place != "NC-001" {
			t.Errorf("it is %s at %s, %v; want it in quarantine, NC-001", w.Status, w.Place, err)
		}
		back := shop.NonconformanceDecided{Nonconformance: "NC-001", Inserts: []string{"I-0001"}, Disposition: shop.ReworkIt, Back: shop.OpTemper, Why: "tempered too hot"}
		conflict(t, s, "402", back, "it is for the quality manager")
		put(t, s, "601", back)
		conflict(t, s, "601", back, "was closed by 601 already")
		stopped(t, s, fit("I-0001", "K1"), shop.RouteOrder.Name, "tempering comes first")
		conflict(t, s, "601", shop.NonconformanceRaised{Nonconformance: "NC-001", Insert: "I-0001", What: "again"}, "names I-0001 already")

		put(t, s, "311", shop.TemperingStarted{Insert: "I-0001", Recipe: "TR-590 A", Oven: "H1"})
		put(t, s, "311", shop.TemperingFinished{Insert: "I-0001"})
		stopped(t, s, entryBy("402", shop.InspectionFinished{Insert: "I-0001"}), shop.RecordsComplete.Name, "CR40.1 length X and CR40.2 hardness")
		results, err := s.Results(t.Context(), "I-0001")
		if err != nil {
			t.Fatal(err)
		}
		mistyped := entryBy("402", shop.ResultRecorded{Insert: "I-0001", Characteristic: "CR40.1", Value: mm("39.978"), Gauge: "M-12", Purpose: "inspection"})
		mistyped.Corrects, mistyped.Reason = results[0].Seq, "digits swapped"
		if _, err := s.Record(t.Context(), mistyped); err != nil {
			t.Fatal(err)
		}
		stopped(t, s, entryBy("402", shop.InspectionFinished{Insert: "I-0001"}), shop.RecordsComplete.Name, "CR40.1 length X and CR40.2 hardness")
		inspect(t, s, "I-0001", "47.2")
		if _, err := s.Record(t.Context(), fit("I-0001", "K1")); err != nil {
			t.Errorf("after rework: %v", err)
		}
		i, err := s.Insert(t.Context(), "I-0001")
		if err != nil {
			t.Fatal(err)
		}
		var steps []string
		for _, st := range i.Steps {
			steps = append(steps, fmt.Sprintf("%d %s %s", st.Pass, st.Operation, st.State))
		}
		want := []string{"1 design release done", "1 print done", "1 final drying done", "1 sintering done", "1 tempering done", "1 inspection done",
			"2 tempering done", "2 inspection done", "2 fit-up done", "2 delivered to do"}
		if !slices.Equal(steps, want) {
			t.Errorf("the traveler has %q; want %q", steps, want)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

// An inspection that is under way is broken off when the insert goes back, and
// a second rework counts on from the first.
func TestReworkDuringInspection(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		soft(t, s, "I-0001", "T1", "44.8")
		for n, back := range []string{shop.OpInspect, shop.OpTemper} {
			number := fmt.Sprintf("NC-%d", n)
			put(t, s, "402", shop.NonconformanceRaised{Nonconformance: number, Insert: "I-0001", What: "soft"})
			put(t, s, "601", shop.NonconformanceDecided{Nonconformance: number, Inserts: []string{"I-0001"}, Disposition: shop.ReworkIt, Back: back, Why: "once more"})
			if n == 0 {
				put(t, s, "402", shop.ResultRecorded{Insert: "I-0001", Characteristic: "CR40.2", Value: shop.MustReading("44.9", "HRC"), Gauge: "HT-1", Purpose: "inspection"})
			}
		}
		i, err := s.Insert(t.Context(), "I-0001")
		next, _ := i.Next()
		if err != nil || next.Operation != shop.OpTemper || next.Pass != 3 {
			t.Errorf("next is %s of pass %d, %v; want tempering of pass 3", next.Operation, next.Pass, err)
		}
		if !slices.ContainsFunc(i.Steps, func(st shop.Step) bool {
			return st.Pass == 2 && st.Operation == shop.OpInspect && st.State == shop.BrokenOff && st.FinishedBy == "601"
		}) {
			t.Errorf("the traveler has %v; want the inspection of pass 2 broken off by 601", i.Steps)
		}
	})
}

// A concession lets pieces into the mould that it names, as many as it names,
// until it is withdrawn; the delivery asks again.
func TestConcession(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		serials := []string{"I-0001", "I-0002"}
		for _, insert := range serials {
			opened(t, s, insert)
			soft(t, s, insert, "T1", "44.8")
			put(t, s, "402", shop.NonconformanceRaised{Nonconformance: "NC-001", Insert: insert, What: "hardness below 46 HRC"})
		}
		give := shop.ConcessionGiven{Concession: "CN-01", Nonconformance: "NC-001", Inserts: serials, What: "hardness 43 HRC or more",
			Limits: []shop.ConcessionLimit{{Of: "hardness", Lower: shop.MustReading("43", "HRC")}}, Mould: "M301", Customer: "K1", Quantity: 1, ExpiresOn: "2025-12-31"}
		for says, change := range map[string]func(*shop.ConcessionGiven){
			"does not name I-0003": func(c *shop.ConcessionGiven) { c.Inserts = []string{"I-0003"} },
			"belongs to K1":        func(c *shop.ConcessionGiven) { c.Customer = "K2" },
			"no mould M302":        func(c *shop.ConcessionGiven) { c.Mould = "M302" },
		} {
			other := give
			change(&other)
			conflict(t, s, "601", other, says)
		}
		conflict(t, s, "501", give, "it is for the quality manager")
		put(t, s, "601", give)
		put(t, s, "501", fit("I-0001", "K1").Event)
		stopped(t, s, fit("I-0002", "K2"), shop.NonconformanceClosed.Name, "CN-01 allows 1 piece, and I-0001 is used already.")
		ship := signed("601", shop.MouldShipped{Mould: "M301", Note: "DN-501", Inserts: []string{"I-0001"}})
		end := shop.ConcessionWithdrawn{Concession: "CN-01", Nonconformance: "NC-001", Inserts: serials, Why: "the customer changed their mind"}
		put(t, s, "601", shop.NonconformanceDecided{Nonconformance: "NC-001", Inserts: serials, Disposition: shop.UseAsIs, Why: "soft, but wears little"})
		put(t, s, "601", end)
		conflict(t, s, "601", end, "was withdrawn by 601 already")
		stopped(t, s, ship, shop.NonconformanceClosed.Name, "CN-01 was withdrawn by 601.")
		give.Concession, give.Quantity = "CN-02", 2
		put(t, s, "601", give)
		ship = signed("601", ship.Event)
		if _, err := s.Record(t.Context(), ship); err != nil {
			t.Errorf("with the second concession: %v", err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

// What was raised by mistake is cancelled, and its number stays with it; what
// is scrapped is given up.
func TestNonconformanceEnds(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		opened(t, s, "I-0002")
		raise := func(number, insert string) shop.NonconformanceRaised {
			return shop.NonconformanceRaised{Nonconformance: number, Insert: insert, What: "edge chipped"}
		}
		put(t, s, "204", raise("NC-001", "I-0001"))
		put(t, s, "601", shop.NonconformanceCancelled{Nonconformance: "NC-001", Inserts: []string{"I-0001"}, Why: "raised on the wrong traveler"})
		conflict(t, s, "204", raise("NC-001", "I-0002"), "NC-001 is cancelled: its number stays")
		printed(t, s, "I-0002", "PL-02")
		put(t, s, "204", raise("NC-002", "I-0002"))
		stopped(t, s, entryBy("204", shop.DryingStarted{Insert: "I-0002", Oven: "D1", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")}), shop.NonconformanceClosed.Name, "NC-002 on I-0002 is open: edge chipped.")
		conflict(t, s, "601", shop.NonconformanceDecided{Nonconformance: "NC-002", Inserts: []string{"I-0002"}, Disposition: shop.ReworkIt, Back: shop.OpTemper, Why: "softer"}, "has not come to tempering")
		conflict(t, s, "601", shop.NonconformanceDecided{Nonconformance: "NC-002", Inserts: []string{"I-0001"}, Disposition: shop.ScrapIt, Why: "chipped"}, "does not name I-0001")
		if _, err := s.Record(t.Context(), entryBy("900", raise("NC-003", "I-0001"))); !errors.Is(err, shop.ErrForbidden) {
			t.Errorf("raised by the auditor: %v; want it forbidden", err)
		}
		put(t, s, "601", shop.NonconformanceDecided{Nonconformance: "NC-002", Inserts: []string{"I-0002"}, Disposition: shop.ScrapIt, Why: "chipped at the shut-off"})
		i, err := s.Insert(t.Context(), "I-0002")
		if err != nil || i.Status != shop.StatusScrapped || !i.Done {
			t.Errorf("it is %s, %v; want it scrapped", i.Status, err)
		}
		all, err := s.NonconformancesDecided(t.Context(), 0, 10)
		if err != nil || len(all) != 2 || all[1].State != shop.NCCancelled || all[0].Disposition != shop.ScrapIt {
			t.Errorf("decided are %+v, %v; want NC-002 by scrapping and NC-001 cancelled", all, err)
		}
	})
}
