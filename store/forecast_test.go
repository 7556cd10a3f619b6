package store

import (
	"testing"
	"time"

	"sinterbook/store/shop"
)

// A step in a part has no green size of its own, so that nothing is foretold of
// it.
func TestWholeLengths(t *testing.T) {
	d := shop.Design{X: mm("40"), Y: mm("30"), Z: mm("25"), Characteristics: []shop.Characteristic{
		{Number: "1", Axis: "X", Kind: shop.Length, Nominal: mm("40")}, {Number: "2", Axis: "Z", Kind: shop.Length, Nominal: mm("12")},
		{Number: "3", Kind: shop.Length, Nominal: mm("8")}, {Number: "4", Axis: "Z", Kind: shop.Length, Nominal: shop.MustReading("2500", "um")}, {Number: "5", Axis: "Z", Kind: shop.Length, Nominal: shop.MustReading("25000", "um")}}}
	got := wholeLengths(d)
	if len(got) != 2 || got[0].Number != "1" || got[1].Number != "5" || len(d.Characteristics) != 5 {
		t.Errorf("%+v are whole lengths; want 1 and 5", got)
	}
}

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
