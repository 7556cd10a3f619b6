package store

import (
	"errors"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// A second press is the same act, also where the store adds what it decides:
// the verdict, the drying loss, what lies in a load.
func TestResendOfWhatTheStoreDecides(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		printed(t, s, "I-0001", "PL-01")
		put(t, s, "204", shop.DryingStarted{Insert: "I-0001", Oven: "D1", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")})
		twice := func(by string, e shop.Event) {
			t.Helper()
			entry := entryBy(by, e)
			first, err := s.Record(t.Context(), entry)
			if err != nil {
				t.Fatal(err)
			}
			before := size(t, s)
			again, err := s.Record(t.Context(), entry)
			if err != nil || !again.Repeat || again.Seq != first.Seq || size(t, s) != before {
				t.Errorf("%s resent: %+v, %v, %d new entries; want a repeat of entry %d", e.Kind(), again, err, size(t, s)-before, first.Seq)
			}
		}
		twice("204", shop.InsertWeighed{Insert: "I-0001", Gauge: "BAL-1", Mass: gram("232.87")})
		clockOf(s).advance(time.Hour)
		twice("204", shop.DryingFinished{Insert: "I-0001", Dry: gram("232.85")})
		twice("204", shop.GreenMeasured{Insert: "I-0001", Axis: "X", Size: mm("48.076"), Gauge: "M-12"})
		put(t, s, "311", shop.LoadOpened{Load: "F1-01", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
		put(t, s, "311", shop.LoadPlaced{Load: "F1-01", Insert: "I-0001", Position: "T1"})
		twice("311", shop.LoadClosed{Load: "F1-01"})
		put(t, s, "311", shop.LoadUnloaded{Load: "F1-01", Inserts: []string{"I-0001"}})
		put(t, s, "311", shop.TemperingStarted{Insert: "I-0001", Recipe: "TR-590 A", Oven: "H1"})
		put(t, s, "311", shop.TemperingFinished{Insert: "I-0001"})
		twice("402", shop.ResultRecorded{Insert: "I-0001", Characteristic: "CR40.1", Value: mm("39.987"), Gauge: "M-12", Purpose: "inspection"})
	})
}

// A corrected record is judged like a new one by what it says: who writes it,
// what is left in the container, whether the place in the mould is free.
func TestCorrectionsAreJudged(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		draw := put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("1500")})
		fix := func(by string, corrects int64, e shop.Event) error {
			entry := entryBy(by, e)
			entry.Corrects, entry.Reason = corrects, "read wrongly"
			_, err := s.Record(t.Context(), entry)
			return err
		}
		drawn := func(mass string) shop.PasteDrawn {
			return shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram(mass)}
		}
		if err := fix("311", draw.Seq, drawn("280.5")); !errors.Is(err, shop.ErrRefused) {
			t.Errorf("corrected by a furnace operator: %v; want it refused", err)
		}
		if err := fix("204", draw.Seq, drawn("2499.9")); !errors.Is(err, shop.ErrRefused) {
			t.Errorf("corrected to more than was in the container: %v; want it refused", err)
		}
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0001", Why: "look at the edge"})
		if err := fix("204", draw.Seq, drawn("2400")); err != nil {
			t.Errorf("corrected to what the container held before the draw, while the insert is held: %v", err)
		}
	})
}

func TestCorrectedFitMovesTheInsert(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for i, insert := range []string{"I-0001", "I-0002"} {
			opened(t, s, insert)
			fitted(t, s, insert, []string{"K1", "K2"}[i])
		}
		fits, err := s.Fits(t.Context(), "I-0002")
		if err != nil {
			t.Fatal(err)
		}
		at := func(place string) error {
			entry := entryBy("501", shop.FitUpDone{Insert: "I-0002", Mould: "M301", Place: place, Shim: shop.MustReading("10", "um")})
			entry.Corrects, entry.Reason = fits[0].Seq, "wrong place noted"
			_, err := s.Record(t.Context(), entry)
			return err
		}
		if err := at("K1"); !errors.Is(err, shop.ErrRefused) {
			t.Errorf("corrected to a place that is taken: %v; want it refused", err)
		}
		if err := at("K3"); err != nil {
			t.Fatal(err)
		}
		if i, err := s.Insert(t.Context(), "I-0002"); err != nil || i.MouldAt != "K3" {
			t.Errorf("the insert is at %q, %v; want K3", i.MouldAt, err)
		}
		put(t, s, "601", shop.InsertScrapped{Insert: "I-0001", Why: "cracked"})
		opened(t, s, "I-0003")
		fitted(t, s, "I-0003", "K1") // a scrapped insert gave its place up
	})
}

// A hold stops what is entered from paper while it stands, whenever that
// happened.
func TestPaperGoesAroundNoHold(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		clockOf(s).advance(time.Hour)
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "coupons are small"})
		clockOf(s).advance(time.Hour)
		e := entryBy("204", printStart("I-0001", "PL-01"))
		e.At = s.Now().Add(-90 * time.Minute)
		if _, err := s.Record(t.Context(), e); !errors.Is(err, shop.ErrRefused) {
			t.Errorf("a print before the hold, entered while it stands: %v; want it refused", err)
		}
	})
}

// A release that replaces another counts once two people signed it; until then
// the old one is printed by.
func TestSupersededBySignatures(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "101", shop.ReleaseDrafted{Release: "DR-03 A", Design: "CR40", Revision: "B", Lot: "L1", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
			KX: times("1.2019"), KY: times("1.2019"), KZ: times("1.2180"), Evidence: "receipt coupons", Program: "CR40-03.pgm", ProgramHash: program, Supersedes: "DR-02 A"})
		for i, badge := range []string{"", "101", "601"} {
			if badge != "" {
				if _, err := s.Record(t.Context(), signed(badge, shop.ReleaseSigned{Release: "DR-03 A"})); err != nil {
					t.Fatal(err)
				}
			}
			old, err := s.Release(t.Context(), "DR-02 A")
			if want := map[bool]string{true: "DR-03 A"}[i == 2]; err != nil || old.SupersededBy != want {
				t.Errorf("after %d signatures DR-02 A is superseded by %q, %v; want %q", i, old.SupersededBy, err, want)
			}
		}
		if _, err := s.Record(t.Context(), signed("601", shop.ReleaseSigned{Release: "DR-03 A"})); !errors.Is(err, shop.ErrConflict) {
			t.Errorf("a third signature: %v; want a conflict", err)
		}
		put(t, s, "700", shop.TravelerOpened{Insert: "I-0001", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
		put(t, s, "101", shop.ReleaseAssigned{Insert: "I-0001", Release: "DR-03 A"})
	})
}

// What a joint act finds in the way of one insert stops it for all, and says
// of which.
func TestJointActsAreJudged(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		dried(t, s, "I-0001", "PL-01")
		put(t, s, "311", shop.LoadOpened{Load: "F1-01", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
		put(t, s, "311", shop.LoadPlaced{Load: "F1-01", Insert: "I-0001", Position: "T1"})
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "coupons are small"})
		before := size(t, s)
		if _, err := s.Record(t.Context(), entryBy("311", shop.LoadClosed{Load: "F1-01"})); !errors.Is(err, shop.ErrRefused) || size(t, s) != before+1 {
			t.Errorf("closing a door on a held lot: %v, %d new entries; want it refused and that noted", err, size(t, s)-before)
		}
		put(t, s, "601", shop.HoldLifted{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "measured again"})
		put(t, s, "311", shop.LoadClosed{Load: "F1-01"})
		if i, err := s.Insert(t.Context(), "I-0001"); err != nil || i.Carrier != "" {
			t.Errorf("in the furnace it is on plate %q, %v; want the plate free", i.Carrier, err)
		}
		put(t, s, "311", shop.LoadUnloaded{Load: "F1-01", Inserts: []string{"I-0001"}})
		measured(t, s, "I-0001", "39.987")
		put(t, s, "501", shop.FitUpDone{Insert: "I-0001", Mould: "M301", Place: "K1", Shim: shop.MustReading("10", "um")})
		put(t, s, "402", shop.ResultRecorded{Insert: "I-0001", Characteristic: "CR40.1", Value: mm("39.900"), Gauge: "M-12", Purpose: "re-measurement"})
		_, err := s.Record(t.Context(), signed("601", shop.MouldShipped{Mould: "M301", Note: "DN-1", Inserts: []string{"I-0001"}}))
		if !errors.Is(err, shop.ErrRefused) || err.Error() != "recording mould-shipped: I-0001 failed in CR40.1 (39.900 mm; limits 39.950 to 40.050 mm), and no nonconformance says so. No concession covers what I-0001 failed in. Not recorded; the attempt is noted." {
			t.Errorf("delivering a failed insert: %v; want to hear what failed", err)
		}
	})
}
