package views

import (
	"testing"
	"time"

	"sinterbook/store/shop"
)

func TestKeptWords(t *testing.T) {
	sent := time.Date(2025, 11, 21, 8, 24, 0, 0, time.UTC) // 09:24 in Vienna
	for _, tt := range []struct {
		name         string
		waited, fast time.Duration
		want         string
	}{
		{"3 s slow", 12 * time.Minute, -3 * time.Second, "Kept on tablet-02 from 09:12 without connection, sent 09:24; the tablet's clock was 3 s slow: it said 2025-11-21 09:11:57, and 2025-11-21 09:23:57 when it was sent."},
		{"right", 12 * time.Minute, 0, "Kept on tablet-02 from 09:12 without connection, sent 09:24; the tablet's clock was right: it said 2025-11-21 09:12:00, and 2025-11-21 09:24:00 when it was sent."},
		{"an hour fast, over night", 14 * time.Hour, time.Hour, "Kept on tablet-02 from 2025-11-20 19:24 without connection, sent 09:24; the tablet's clock was 1 h fast: it said 2025-11-20 20:24:00, and 2025-11-21 10:24:00 when it was sent."},
		{"absurd, but said", time.Minute, -400 * 24 * time.Hour, "Kept on tablet-02 from 09:23 without connection, sent 09:24; the tablet's clock was 400 d slow: it said 2024-10-17 10:23:00, and 2024-10-17 10:24:00 when it was sent."},
	} {
		k := shop.Kept{DeviceAt: sent.Add(-tt.waited + tt.fast), SentAt: sent.Add(tt.fast)}
		if err := k.Received(sent); err != nil {
			t.Fatal(err)
		}
		row := HistoryRow{Entry: shop.Entry{Entered: sent, Device: "tablet-02", Kept: &k}}
		if got := (History{Zone: vienna}).KeptWords(row); got != tt.want {
			t.Errorf("%s:\n%s\nwant\n%s", tt.name, got, tt.want)
		}
	}
}
