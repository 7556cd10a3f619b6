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
