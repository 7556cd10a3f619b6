package store

import (
	"testing"
	"time"

	"sinterbook/store/shop"
)

// A chance that is asked from next month on is not asked today.
func TestChanceOfTheDay(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "601", shop.LimitSet{Limit: shop.GreenChance, Value: shop.MustReading("95", "%"), From: s.Now().AddDate(0, 1, 0), Basis: "our own furnace"})
		for wait, want := range map[time.Duration]string{0: "80 %", 40 * 24 * time.Hour: "95 %"} {
			if _, least, err := s.Forecasts(t.Context(), "I-0001", s.Now().Add(wait)); err != nil || least.Value.String() != want {
				t.Errorf("in %v it asks %v, %v; want %s", wait, least.Value, err, want)
			}
		}
	})
}

// What the green gate leaves to the quality manager is there: a permit lets one
// piece through, place and door, and another limit lets all.
func TestGreenGateIsNoDeadEnd(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for i, insert := range []string{"I-0001", "I-0002"} {
			opened(t, s, insert)
			dried(t, s, insert, []string{"PL-01", "PL-02"}[i])
		}
		// Of nine measurements: ±0.06 points are 0.078 points for one piece, ±0.050 mm 1.27 times that.
		factored(t, s, "FA-002", "L1", shop.ProposedFactor{Axis: "X", S: shop.MustReading("16.80", "%"), K: times("1.2019"), Low: shop.MustReading("16.74", "%"), High: shop.MustReading("16.86", "%"), N: 9, Method: shop.Measured})
		put(t, s, "311", shop.LoadOpened{Load: "F1-01", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
		first, second := shop.LoadPlaced{Load: "F1-01", Insert: "I-0001", Position: "T1"}, shop.LoadPlaced{Load: "F1-01", Insert: "I-0002", Position: "M1"}
		stopped(t, s, entryBy("311", first), shop.GreenPredictsGood.Name, "For I-0001 as it is the quality manager decides: by a deviation permit for it, or by another limit for the chance.")
		permit := signed("601", shop.PermitGiven{Permit: "DP-001", Insert: "I-0001", Gate: shop.GreenPredictsGood.Name, Op: shop.OpSinter, Why: "a trial piece", ExpiresOn: "2030-01-01"})
		if _, err := s.Record(t.Context(), permit); err != nil {
			t.Fatal(err)
		}
		put(t, s, "311", first)
		stopped(t, s, entryBy("311", second), shop.GreenPredictsGood.Name, "scatters too much")
		put(t, s, "601", shop.LimitSet{Limit: shop.GreenChance, Value: shop.MustReading("60", "%"), From: s.Now(), Basis: "the mould waits"})
		put(t, s, "311", second)
		put(t, s, "311", shop.LoadClosed{Load: "F1-01"})
	})
}

// A piece that lost too little in drying, or is drying yet, is said to be wet.
func TestForecastKnowsTheDrying(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		printed(t, s, "I-0001", "PL-01")
		put(t, s, "204", shop.DryingStarted{Insert: "I-0001", Oven: "D1", Shelf: "2", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")})
		put(t, s, "204", shop.GreenMeasured{Insert: "I-0001", Axis: "X", Size: mm("48.3"), Gauge: "M-12"})
		wet := func(when, want string) {
			t.Helper()
			all, _, err := s.Forecasts(t.Context(), "I-0001", s.Now())
			if err != nil || len(all) == 0 || all[0].Wet != want {
				t.Errorf("%s: %+v, %v; want it to be wet by %q", when, all, err, want)
			}
		}
		wet("in the oven", "It is still drying.")
		put(t, s, "601", shop.PolicySet{Gate: shop.ConstantMass.Name, Op: shop.OpDry, From: s.Now(), Mode: shop.Silent})
		clockOf(s).advance(14 * time.Hour)
		put(t, s, "204", shop.InsertWeighed{Insert: "I-0001", Gauge: "BAL-1", Mass: gram("234.00")})
		clockOf(s).advance(time.Hour)
		put(t, s, "204", shop.DryingFinished{Insert: "I-0001", Dry: gram("232.85")})
		wet("taken out too early", "It was not at constant mass when its drying ended: its last two weighings an hour apart differ by 0.491 %, and 0.05 % is allowed.")
	})
}
