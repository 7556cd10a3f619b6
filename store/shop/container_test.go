package shop

import (
	"testing"
	"time"
)

// TestLastDay: paste is used up by the end of its open life, and never after
// the lot's last day.
func TestLastDay(t *testing.T) {
	lot := Lot{ExpiresOn: "2025-12-31", OpenLifeDays: 30}
	for _, tt := range []struct {
		name   string
		opened time.Time
		want   Date
	}{
		{"sealed", time.Time{}, "2025-12-31"},
		{"open, long before the lot's last day", noon, "2025-11-19"},
		{"open to the lot's last day", time.Date(2025, 12, 1, 12, 0, 0, 0, time.UTC), "2025-12-31"},
		{"the lot's last day comes first", time.Date(2025, 12, 20, 12, 0, 0, 0, time.UTC), "2025-12-31"},
		{"late at night in the shop", time.Date(2025, 11, 1, 23, 30, 0, 0, time.UTC), "2025-12-02"},
	} {
		if got := (Container{Opened: tt.opened}).LastDay(lot, vienna(t)); got != tt.want {
			t.Errorf("%s: %s; want %s", tt.name, got, tt.want)
		}
	}
}

// containerRows are the questions to the gates about containers, by gate.
var containerRows = map[string][]gateRow{
	ContainerOpenLife.Name: {
		{"opened yesterday", asIs, nil},
		{"the last moment", func(f *Facts) { f.Container.Opened = noon.AddDate(0, 0, -30) }, nil},
		{"a moment too late", func(f *Facts) { f.Container.Opened = noon.AddDate(0, 0, -30).Add(-time.Second) }, []string{"L2509-A/03", "opened 2025-09-20 11:59", "30 days"}},
		{"sealed", func(f *Facts) { f.Container.Opened = time.Time{} }, []string{"L2509-A/03 is sealed", "opening first"}},
	},
	ContainerEnoughLeft.Name: {
		{"some is left over", draws("280.5", "3.10"), nil},
		{"all of it", draws("296.9", "3.1"), nil},
		{"drawn in kilograms", func(f *Facts) {
			f.Event = PasteDrawn{Container: "L2509-A/03", Drawn: MustReading("0.300", "kg")}
		}, nil},
		{"asked about another act", asIs, nil},
		{"the purge is too much", draws("297", "3.1"), []string{"L2509-A/03", "300 g", "300.1 g"}},
		{"a hundredth of a gram too much", draws("300.01", ""), []string{"holds 300 g", "not 300.01 g"}},
		{"empty", func(f *Facts) {
			draws("0.5", "")(f)
			f.Container.Left = 0
		}, []string{"0 g", "0.5 g"}},
	},
}

func draws(drawn, purged string) func(*Facts) {
	return func(f *Facts) {
		e := PasteDrawn{Container: "L2509-A/03", Insert: "I-0029", FromLayer: 1, ToLayer: 5, Drawn: MustReading(drawn, "g")}
		if purged != "" {
			e.Purged = MustReading(purged, "g")
		}
		f.Event, f.Phase = e, During
	}
}
