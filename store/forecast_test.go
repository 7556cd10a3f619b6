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
