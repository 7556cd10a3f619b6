package store

import (
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// TestLotChanged: paste of another lot is drawn only once a second person signed
// the change, from its layer on; then both lots stay on the insert by height.
func TestLotChanged(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		secondLot(t, s)
		opened(t, s, "I-0001")
		change := shop.LotChanged{Insert: "I-0001", FromLayer: 153, From: "L1", To: "L2", Why: "the tub ran out"}
		no := func(what string, kind error, e shop.Entry) {
			t.Helper()
			if _, err := s.Record(t.Context(), e); !errors.Is(err, kind) {
				t.Errorf("%s: %v; want %v", what, err, kind)
			}
		}
		no("before it is printed", shop.ErrConflict, signed("101", change))
		put(t, s, "204", printStart("I-0001", "PL-01"))
		put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 152, Drawn: gram("140")})
		second := shop.PasteDrawn{Container: "L2/01", Insert: "I-0001", FromLayer: 153, ToLayer: 304, Drawn: gram("140")}
		no("paste of a lot that nobody let in", shop.ErrRefused, entryBy("204", second))
		no("a lot on test", shop.ErrRefused, signed("101", change))
		put(t, s, "601", shop.LotReleased{Lot: "L2", Evidence: "receipt coupons"})
		no("without saying what it means", shop.ErrInvalid, entryBy("101", change))
		no("by an operator", shop.ErrForbidden, signed("204", change))
		early, late, wrong := change, change, change
		early.FromLayer, late.FromLayer, wrong.From, wrong.To = 152, 305, "L2", "L1"
		no("at a layer that is printed", shop.ErrInvalid, signed("101", early))
		no("behind the last layer", shop.ErrInvalid, signed("101", late))
		no("from a lot that is not printed", shop.ErrConflict, signed("101", wrong))
		receipt, err := s.Record(t.Context(), signed("101", change))
		if err != nil {
			t.Fatal(err)
		}
		e, err := s.Entry(t.Context(), receipt.Seq)
		if ev := e.Event.(shop.LotChanged); err != nil || len(ev.Factors) != 6 || ev.Factors[5] != (shop.LotFactor{Lot: "L2", Axis: "Z", K: times("1.2171")}) {
			t.Errorf("the entry has the factors %+v, %v", e.Event, err)
		}
		no("once more", shop.ErrConflict, signed("601", change))
		put(t, s, "204", second)
		i, err := s.Insert(t.Context(), "I-0001")
		if err != nil {
			t.Fatal(err)
		}
		r, err := s.ReleaseOf(t.Context(), i)
		if want := map[string]float64{"L1": 0.5, "L2": 0.5}; err != nil || !maps.Equal(r.LotShares(304), want) || r.LotWords() != "L1, from layer 153 L2" {
			t.Errorf("printed of %s, %v, %v; want half of each", r.LotWords(), r.LotShares(304), err)
		}
		for _, lot := range []string{"L1", "L2"} {
			made, err := s.MadeOf(t.Context(), lot, 0, 10)
			if err != nil || !slices.ContainsFunc(made, func(m Made) bool { return m.Insert == "I-0001" }) {
				t.Errorf("made of %s: %+v, %v", lot, made, err)
			}
		}
		put(t, s, "402", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L2", Why: "smells"})
		no("while the second lot is held", shop.ErrRefused, entryBy("204", shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 5}))
		rows, err := s.Board(t.Context(), Board{HeldBy: "H-001", Limit: 10})
		if err != nil || len(rows) != 1 || rows[0].Held != "H-001" {
			t.Errorf("held on the floor: %+v, %v; want the insert", rows, err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// TestLotTakesOverAtWhatTheMachineHas: the factors of the lot that takes over are
// held against those that the machine was given, not those of the release.
func TestLotTakesOverAtWhatTheMachineHas(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		secondLot(t, s)
		put(t, s, "601", shop.LotReleased{Lot: "L2", Evidence: "receipt coupons"})
		opened(t, s, "I-0001")
		for _, gate := range []shop.Gate{shop.OversizeOfRelease, shop.CompensationOfLot} {
			put(t, s, "601", shop.PolicySet{Gate: gate.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		}
		start := printStart("I-0001", "PL-01")
		start.KX = times("1.2109")
		put(t, s, "204", start)
		put(t, s, "601", shop.PolicySet{Gate: shop.CompensationOfLot.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Stop})
		_, err := s.Record(t.Context(), signed("101", shop.LotChanged{Insert: "I-0001", FromLayer: 153, From: "L1", To: "L2", Why: "the tub ran out"}))
		no, ok := errors.AsType[*shop.Refusal](err)
		if !ok || !strings.Contains(no.Why, "Machine P1 was given 1.2109 in X; the factor of lot L2 in force is 1.2011.") || strings.Contains(no.Why, " in Z") {
			t.Fatalf("a lot that is not what the machine has: %v", err)
		}
		if row := no.Objections[0].Compared[0]; row.Machine != "1.2109" || row.Release != "1.2019" || row.Factor != "1.2011" || !row.Differs {
			t.Errorf("side by side: %+v", row)
		}
	})
}

// TestLotTakesOverAfterWhatIsMade: layers that are recorded were printed of the
// lot until then, also where their paste is not written down yet.
func TestLotTakesOverAfterWhatIsMade(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		secondLot(t, s)
		put(t, s, "601", shop.LotReleased{Lot: "L2", Evidence: "receipt coupons"})
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		put(t, s, "204", layersDrawn("I-0001", 1, 100, "92"))
		put(t, s, "204", shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 152})
		change := shop.LotChanged{Insert: "I-0001", FromLayer: 152, From: "L1", To: "L2", Why: "the tub ran out"}
		if _, err := s.Record(t.Context(), signed("101", change)); !errors.Is(err, shop.ErrInvalid) || !strings.Contains(err.Error(), "I-0001 is made up to layer 152: the lot takes over after it.") {
			t.Errorf("at a layer that is made: %v", err)
		}
		change.FromLayer = 153
		if _, err := s.Record(t.Context(), signed("101", change)); err != nil {
			t.Errorf("at the next layer: %v", err)
		}
	})
}

// TestThirdLotTakesOver: the factors that the machine was given are those of a
// lot of this print, whichever lot took over in between.
func TestThirdLotTakesOver(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		secondLot(t, s)
		put(t, s, "101", shop.LotReceived{Lot: "L3", Material: "HT44 paste", MadeOn: "2025-08-20", ExpiresOn: "2026-01-20", OpenLifeDays: 30, Code: shop.NewScanCode()})
		factored(t, s, "FA-003", "L3", proposed("X", "16.77", "1.2015"), proposed("Y", "16.77", "1.2015"), proposed("Z", "17.86", "1.2174"))
		for _, lot := range []string{"L2", "L3"} {
			put(t, s, "601", shop.LotReleased{Lot: lot, Evidence: "receipt coupons"})
		}
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		change := func(at int, from, to string) error {
			_, err := s.Record(t.Context(), signed("101", shop.LotChanged{Insert: "I-0001", FromLayer: at, From: from, To: to, Why: "the tub ran out"}))
			return err
		}
		if err := change(101, "L1", "L2"); err != nil {
			t.Fatal(err)
		}
		if err := change(201, "L2", "L3"); !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "No container of lot L3 has paste in it") {
			t.Errorf("a lot without paste: %v", err)
		}
		put(t, s, "204", shop.ContainerReceived{Container: "L3/01", Lot: "L3", Mass: gram("2500.0"), Code: shop.NewScanCode()})
		if err := change(201, "L2", "L3"); err != nil {
			t.Errorf("a third lot: %v", err)
		}
	})
}
