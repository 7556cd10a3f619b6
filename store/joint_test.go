package store

import (
	"errors"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// stopped is the gate that refuses an act, with its sentence.
func stopped(t testing.TB, s *Store, e shop.Entry, gate, says string) {
	t.Helper()
	_, err := s.Record(t.Context(), e)
	no, ok := errors.AsType[*shop.Refusal](err)
	if !ok || len(no.Objections) == 0 || no.Objections[0].Gate != gate || !strings.Contains(no.Why, says) {
		t.Errorf("%s: %v; want it stopped by %q, saying %q", e.Event.Kind(), err, gate, says)
	}
	clockOf(s).advance(3 * time.Second)
}

// What is asked of each insert when it is laid in is asked again at the door.
func TestDoorAsks(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		dried(t, s, "I-0001", "PL-01")
		put(t, s, "601", shop.PolicySet{Gate: shop.RecipeOfRelease.Name, Op: shop.OpSinter, From: s.Now(), Mode: shop.Silent})
		put(t, s, "311", shop.LoadOpened{Load: "F1-01", Furnace: "F1", Recipe: "SR-1300 A", Code: shop.NewScanCode()})
		put(t, s, "311", shop.LoadPlaced{Load: "F1-01", Insert: "I-0001", Position: "T1"})
		put(t, s, "601", shop.PolicySet{Gate: shop.RecipeOfRelease.Name, Op: shop.OpSinter, From: s.Now(), Mode: shop.Stop})
		shut := shop.LoadClosed{Load: "F1-01"}
		stopped(t, s, entryBy("311", shut), shop.RecipeOfRelease.Name, "The load runs SR-1300 A; release DR-02 A of I-0001 asks for SR-1340 C.")
		put(t, s, "601", shop.PolicySet{Gate: shop.RecipeOfRelease.Name, Op: shop.OpSinter, From: s.Now(), Mode: shop.Silent})
		put(t, s, "601", shop.PersonAdded{Badge: "312", Roles: []shop.Role{shop.FurnaceOperator}, From: "2025-01-01", Code: shop.NewScanCode()})
		stopped(t, s, entryBy("312", shut), shop.Authorised.Name, "Badge 312 is not authorised for sintering")
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "coupons are small"})
		stopped(t, s, entryBy("311", shut), shop.NotHeld.Name, "L1 is held by 601")
		put(t, s, "601", shop.HoldLifted{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "measured again"})
		shutting := put(t, s, "311", shut)
		of, err := s.History(t.Context(), "insert/I-0001", 0, 100)
		if err != nil || of[len(of)-1].Seq != shutting.Seq {
			t.Errorf("the last entry of the insert's history is %s, %v; want the closing of its load", of[len(of)-1].Event.Kind(), err)
		}
	})
}

// A mould leaves the house with nothing in it that is held: neither an insert
// nor the lot or load that it came from.
func TestDeliveryAsks(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		ship := func(inserts ...string) shop.Entry {
			return signed("601", shop.MouldShipped{Mould: "M301", Note: "DN-501", Inserts: inserts})
		}
		if _, err := s.Record(t.Context(), ship("I-0001")); !errors.Is(err, shop.ErrInvalid) || !strings.Contains(err.Error(), "No insert is fitted in mould M301: there is nothing to deliver.") {
			t.Errorf("an empty mould: %v; want to hear that nothing is fitted in it", err)
		}
		opened(t, s, "I-0001")
		fitted(t, s, "I-0001", "K1")
		for _, on := range []struct{ kind, code string }{{"insert", "I-0001"}, {"lot", "L1"}, {"load", "F1-I-0001"}, {"mould", "M301"}} {
			hold := "H-" + on.code
			put(t, s, "601", shop.HoldSet{Hold: hold, OnKind: on.kind, OnCode: on.code, Why: "the sensor read low"})
			stopped(t, s, ship("I-0001"), shop.NotHeld.Name, on.code+" is held by 601")
			put(t, s, "601", shop.HoldLifted{Hold: hold, OnKind: on.kind, OnCode: on.code, Why: "looked at"})
		}
		if _, err := s.Record(t.Context(), ship("I-0001")); err != nil {
			t.Errorf("with every hold lifted: %v", err)
		}
	})
}

// Paste written down later than it was drawn cannot be older than the opening
// of its container.
func TestPasteOfASealedContainer(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", shop.ContainerReceived{Container: "L1/02", Lot: "L1", Mass: gram("2500"), Code: shop.NewScanCode()})
		draw := entryBy("204", shop.PasteDrawn{Container: "L1/02", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("280.5")})
		stopped(t, s, draw, shop.ContainerOpenLife.Name, "Container L1/02 is sealed")
		clockOf(s).advance(time.Hour)
		put(t, s, "204", shop.ContainerOpened{Container: "L1/02"})
		clockOf(s).advance(time.Hour)
		draw = entryBy("204", draw.Event)
		draw.At = s.Now().Add(-90 * time.Minute)
		stopped(t, s, draw, shop.ContainerOpenLife.Name, "nothing can have been drawn from it at")
		draw = entryBy("204", draw.Event)
		draw.At = s.Now().Add(-30 * time.Minute)
		if _, err := s.Record(t.Context(), draw); err != nil {
			t.Errorf("drawn after the opening: %v", err)
		}
	})
}
