package store

import (
	"errors"
	"slices"
	"testing"

	"sinterbook/store/shop"
)

// A mould that comes back is in the toolroom with what is still in it; what
// was taken out stays with the customer, and leaves its place free.
func TestMouldComesBack(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for insert, place := range map[string]string{"I-0001": "K1", "I-0002": "K2", "I-0003": "K1"} {
			opened(t, s, insert)
			if insert != "I-0003" {
				fitted(t, s, insert, place)
			}
		}
		ship := func(note string, inserts ...string) shop.MouldShipped {
			return shop.MouldShipped{Mould: "M301", Note: note, Inserts: inserts}
		}
		back := shop.MouldReturned{Mould: "M301", Note: "RN-2", Why: "flash at K1", Inserts: []string{"I-0002"}}
		conflict(t, s, "501", back, "M301 is in the toolroom: it was not delivered")
		conflict(t, s, "501", shop.InsertReturned{Insert: "I-0001", Why: "broken", Place: "cage", Back: shop.OpInspect}, "I-0001 is fitted, M301, place K1: only what was delivered can come back")
		if _, err := s.Record(t.Context(), signed("601", ship("DN-1", "I-0001", "I-0002"))); err != nil {
			t.Fatal(err)
		}
		fits := fitNote("I-0003", "K1")
		stale := back
		stale.Inserts = []string{"I-0003"}
		conflict(t, s, "501", stale, "I-0003 was not delivered in mould M301")
		dried(t, s, "I-0003", "PL-03")
		laid(t, s, "I-0003", "F1-09", "T1")
		put(t, s, "311", shop.LoadClosed{Load: "F1-09"})
		put(t, s, "311", shop.LoadUnloaded{Load: "F1-09", Inserts: []string{"I-0003"}})
		measured(t, s, "I-0003", "39.987")
		conflict(t, s, "501", fits, "M301 is at customer K1: record its return first")
		put(t, s, "501", back)
		put(t, s, "501", fits) // its place is free: I-0001 stayed outside
		for insert, want := range map[string]string{"I-0001": "M301 at K1 since 2025-09-01", "I-0002": "M301 in the toolroom", "I-0003": "M301 in the toolroom"} {
			if w, err := s.Where(t.Context(), insert); err != nil || w.Place != want {
				t.Errorf("%s is at %q, %v; want %q", insert, w.Place, err, want)
			}
		}
		conflict(t, s, "601", ship("DN-2", "I-0003"), "a delivery names them all")
		if _, err := s.Record(t.Context(), signed("601", ship("DN-2", "I-0002", "I-0003"))); err != nil {
			t.Fatal(err)
		}
		trips, err := s.Deliveries(t.Context(), "M301")
		if err != nil || len(trips) != 3 || !slices.Equal(trips[0].Inserts, []string{"I-0001", "I-0002"}) || trips[1].Why != "flash at K1" || !slices.Equal(trips[1].Inserts, []string{"I-0002"}) || trips[2].Note != "DN-2" {
			t.Errorf("trips %+v, %v", trips, err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

// An insert that comes back by itself is measured again before it is fitted;
// what it read before does not count.
func TestInsertComesBack(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		delivered(t, s, "I-0001")
		back := shop.InsertReturned{Insert: "I-0001", Note: "RN-3", Why: "edge broken", Place: "cage 2", Back: shop.OpInspect}
		put(t, s, "501", back)
		conflict(t, s, "501", back, "I-0001 is tempered, cage 2")
		i, err := s.Insert(t.Context(), "I-0001")
		if next, ok := i.Next(); err != nil || !ok || next.Operation != shop.OpInspect || next.Pass != 2 || i.Done || i.Mould != "" {
			t.Errorf("after the return: %+v, %v", i, err)
		}
		stopped(t, s, entryBy("402", shop.InspectionFinished{Insert: "I-0001"}), shop.RecordsComplete.Name, "is not complete")
		put(t, s, "402", shop.ResultRecorded{Insert: "I-0001", Characteristic: "CR40.1", Value: mm("39.987"), Gauge: "M-12", Purpose: "inspection"})
		put(t, s, "402", shop.ResultRecorded{Insert: "I-0001", Characteristic: "CR40.2", Value: shop.MustReading("48.1", "HRC"), Gauge: "HT-1", Purpose: "inspection"})
		put(t, s, "402", shop.InspectionFinished{Insert: "I-0001"})
		var no *shop.Refusal
		if _, err := s.Record(t.Context(), entryBy("501", fitNote("I-0001", "K1"))); !errors.As(err, &no) {
			t.Errorf("fitted in a mould that is at the customer's: %v", err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

func fitNote(insert, place string) shop.FitUpDone {
	return shop.FitUpDone{Insert: insert, Mould: "M301", Place: place, Shim: shop.MustReading("10", "um")}
}
