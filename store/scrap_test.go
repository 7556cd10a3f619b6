package store

import (
	"errors"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// laid lays a dried insert into a load that is being built.
func laid(t testing.TB, s *Store, insert, load, position string) {
	t.Helper()
	put(t, s, "311", shop.LoadOpened{Load: load, Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	put(t, s, "311", shop.LoadPlaced{Load: load, Insert: insert, Position: position})
}

// A print operator gives up what breaks on the plate: plate and machine are
// free at once.
func TestScrappedOnTheMachine(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		opened(t, s, "I-0002")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		put(t, s, "204", shop.InsertScrapped{Insert: "I-0001", Why: "the bead broke at layer 96"})
		put(t, s, "204", printStart("I-0002", "PL-01"))
	})
}

// What lies in a load is on no plate once the door is closed; taken out before
// that, it is still on the plate that it came on.
func TestPlateOfWhatIsTakenOut(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		dried(t, s, "I-0001", "PL-01")
		laid(t, s, "I-0001", "F1-01", "T1")
		put(t, s, "311", shop.LoadTakenOut{Load: "F1-01", Insert: "I-0001"})
		i, err := s.Insert(t.Context(), "I-0001")
		if err != nil || i.Carrier != "PL-01" || i.Place != "on PL-01" || i.Status != shop.StatusDried {
			t.Errorf("%s, %s, carrier %q, %v; want it dried on PL-01", i.Status, i.Place, i.Carrier, err)
		}
		opened(t, s, "I-0002")
		if _, err := s.Record(t.Context(), entryBy("204", printStart("I-0002", "PL-01"))); !errors.Is(err, shop.ErrInvalid) || !strings.Contains(err.Error(), "carries I-0001") {
			t.Errorf("a print on the plate that carries it: %v; want to hear what it carries", err)
		}
	})
}

// An insert that is scrapped while its load is built leaves the load; one in
// the furnace is unloaded first. Neither comes back to life with its load.
func TestScrappedInALoad(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for i, insert := range []string{"I-0001", "I-0002"} {
			opened(t, s, insert)
			dried(t, s, insert, []string{"PL-01", "PL-02"}[i])
		}
		laid(t, s, "I-0001", "F1-01", "T1")
		put(t, s, "311", shop.LoadPlaced{Load: "F1-01", Insert: "I-0002", Position: "M1"})
		put(t, s, "204", shop.InsertScrapped{Insert: "I-0001", Why: "an edge broke off"})
		put(t, s, "311", shop.LoadClosed{Load: "F1-01"})
		if _, err := s.Record(t.Context(), entryBy("601", shop.InsertScrapped{Insert: "I-0002", Why: "cracked"})); !errors.Is(err, shop.ErrConflict) {
			t.Errorf("scrapped in the furnace: %v; want to hear that it is unloaded first", err)
		}
		put(t, s, "311", shop.LoadUnloaded{Load: "F1-01", Inserts: []string{"I-0002"}})
		i, err := s.Insert(t.Context(), "I-0001")
		if err != nil || i.Status != shop.StatusScrapped || !i.Done || i.Load != "" {
			t.Errorf("the scrapped one is %s, load %q, %v; want it scrapped for good and in no load", i.Status, i.Load, err)
		}
	})
}
