package views

import (
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

func TestLasted(t *testing.T) {
	for _, tt := range []struct {
		d    time.Duration
		want string
	}{
		{-298 * time.Second, "not known"}, {0, "less than a minute"}, {59 * time.Second, "less than a minute"}, {61 * time.Second, "1 min"},
		{90 * time.Minute, "1 h 30 min"}, {24 * time.Hour, "1 d 0 h"}, {53*time.Hour + 59*time.Minute, "2 d 5 h"},
	} {
		if got := strings.ReplaceAll(Lasted(tt.d), noBreak, " "); got != tt.want {
			t.Errorf("%v lasted %q; want %q", tt.d, got, tt.want)
		}
	}
}

// An act whose end lies before its start has a length that nobody knows.
func TestTook(t *testing.T) {
	began := time.Date(2026, 8, 11, 6, 0, 0, 500_000_000, time.UTC)
	for _, tt := range []struct {
		name  string
		ended time.Time
		want  string
	}{{"under way", time.Time{}, "under way"}, {"the clock stepped back", began.Add(-298 * time.Second), "not known"}, {"an hour", began.Add(time.Hour), "1 h 0 min"}} {
		if got := strings.ReplaceAll(Took(began, tt.ended), noBreak, " "); got != tt.want {
			t.Errorf("%s: took %q; want %q", tt.name, got, tt.want)
		}
	}
}

// A day is over when it is over in the shop, not in Greenwich.
func TestDaysLate(t *testing.T) {
	for _, tt := range []struct {
		at   string
		want int
	}{{"2025-10-14T12:00:00Z", 0}, {"2025-10-15T21:59:00Z", 0}, {"2025-10-15T22:01:00Z", 1}, {"2025-10-27T12:00:00Z", 12}} {
		at, err := time.Parse(time.RFC3339, tt.at)
		if err != nil {
			t.Fatal(err)
		}
		if got := DaysLate("2025-10-15", at, vienna); got != tt.want {
			t.Errorf("at %s it is %d days late; want %d", tt.at, got, tt.want)
		}
	}
}

func TestContainerInWords(t *testing.T) {
	now := time.Date(2025, 10, 27, 12, 0, 0, 0, time.UTC)
	lot := shop.Lot{ExpiresOn: "2026-01-10", OpenLifeDays: 30, ReleasedAt: now}
	for _, tt := range []struct {
		name, state, life string
		lot               shop.Lot
		c                 ContainerLine
	}{
		{"sealed", "sealed", "30 days once opened", lot, ContainerLine{Container: shop.Container{Left: 9}}},
		{"in use", "open", "20 d 0 h left", lot, ContainerLine{Container: shop.Container{Left: 9, Opened: now.AddDate(0, 0, -10)}}},
		{"open too long", "open too long", "over since 1 d 0 h", lot, ContainerLine{Container: shop.Container{Left: 9, Opened: now.AddDate(0, 0, -31)}}},
		{"used up", "empty", "20 d 0 h left", lot, ContainerLine{Container: shop.Container{Opened: now.AddDate(0, 0, -10)}}},
		{"held", "held", "20 d 0 h left", lot, ContainerLine{Container: shop.Container{Left: 9, Opened: now.AddDate(0, 0, -10)}, Held: "H-001"}},
		{"of a lot that is held", "lot held", "20 d 0 h left", lot, ContainerLine{Container: shop.Container{Left: 9, Opened: now.AddDate(0, 0, -10)}, LotHeld: "H-002"}},
		{"of a lot on test", "lot on test", "20 d 0 h left", shop.Lot{ExpiresOn: "2026-01-10", OpenLifeDays: 30}, ContainerLine{Container: shop.Container{Left: 9, Opened: now.AddDate(0, 0, -10)}}},
		{"of an expired lot", "expired", "30 days once opened", shop.Lot{ExpiresOn: "2025-10-26", OpenLifeDays: 30}, ContainerLine{Container: shop.Container{Left: 9}}},
	} {
		tt.c.Of = tt.lot
		if word, _ := tt.c.State(now, vienna); word != tt.state {
			t.Errorf("%s: %q; want %q", tt.name, word, tt.state)
		}
		if got := strings.ReplaceAll(tt.c.OpenLife(now), noBreak, " "); got != tt.life {
			t.Errorf("%s: open life %q; want %q", tt.name, got, tt.life)
		}
	}
}

func TestExpiry(t *testing.T) {
	for day, want := range map[shop.Date]string{"2026-01-09": "1\u00a0day left", "2026-01-10": "today is the last day", "2026-01-12": "expired 2\u00a0days ago", "": "not known"} {
		if got := Expiry(shop.Lot{ExpiresOn: "2026-01-10"}, day); got != want {
			t.Errorf("on %q: %q; want %q", day, got, want)
		}
	}
}

func TestAddresses(t *testing.T) {
	for _, tt := range []struct{ kind, number, page, history string }{
		{"insert", "I-0001", "/inserts/I-0001", "/history/insert/I-0001"},
		{"container", "L2509-A/03", "/containers/L2509-A/03", "/history/container/L2509-A/03"},
		{"release", "DR-02 A", "/releases/DR-02%20A", "/history/release/DR-02%20A"},
	} {
		if got := PageOf(tt.kind, tt.number); got != tt.page {
			t.Errorf("page of %s: %s; want %s", tt.number, got, tt.page)
		}
		if got := HistoryOf(tt.kind, tt.number); got != tt.history {
			t.Errorf("history of %s: %s; want %s", tt.number, got, tt.history)
		}
	}
}
