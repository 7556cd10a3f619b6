package views

import (
	"slices"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// How far paste goes is counted container by container: what is left in two of
// them makes no insert together.
func TestMakes(t *testing.T) {
	box := func(left float64) ContainerLine { return ContainerLine{Container: shop.Container{Left: left}} }
	for _, tt := range []struct {
		name string
		t    Taking
		left []ContainerLine
		want []string // one takes, from, a full container, what is left
	}{
		{"by volume", Taking{Design: "CR40", Grams: 300, ByVolume: true}, []ContainerLine{box(899.9), box(300)}, []string{"300.0", "volume, oversize and wet density; without chips and purge", "8", "3"}},
		{"not enough in any one", Taking{Design: "CR40", Grams: 300, Inserts: 7}, []ContainerLine{box(200), box(299.9)}, []string{"300.0", "mean of the last 7 inserts, drawn and purged", "8", "0"}},
		{"of one insert", Taking{Design: "CR40", Grams: 800, Inserts: 1}, []ContainerLine{box(2500)}, []string{"800.0", "1 insert, drawn and purged", "3", "3"}},
		{"drawn below zero", Taking{Design: "CR40", Grams: 300, Inserts: 2}, []ContainerLine{box(-5)}, []string{"300.0", "mean of the last 2 inserts, drawn and purged", "8", "0"}},
		{"nobody knows", Taking{Design: "CR40"}, []ContainerLine{box(2500)}, []string{notKnown, "neither volume and wet density nor a whole print", notKnown, notKnown}},
	} {
		var got []string
		for _, c := range Makes([]Taking{tt.t}, tt.left, 2500).Rows[0].Cells[1:] {
			got = append(got, c.Text)
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: %q; want %q", tt.name, got, tt.want)
		}
	}
}

// What runs out first stands first, by the end of its open life or of its lot,
// behind what does not add up.
func TestOpenLines(t *testing.T) {
	now := time.Date(2025, 11, 21, 8, 0, 0, 0, time.UTC)
	long, short := shop.Lot{ExpiresOn: "2026-03-01", OpenLifeDays: 30, ReleasedAt: now}, shop.Lot{ExpiresOn: "2025-11-22", OpenLifeDays: 30, ReleasedAt: now}
	box := func(number string, l shop.Lot, daysOpen int, more func(*ContainerLine)) ContainerLine {
		c := ContainerLine{Container: shop.Container{Container: number, Left: 1250, Opened: now.AddDate(0, 0, -daysOpen)}, Of: l, Limit: shop.FirstLimits[0]}
		if more != nil {
			more(&c)
		}
		return c
	}
	lines := OpenLines([]ContainerLine{
		box("fresh", long, 1, nil), box("old", long, 25, nil), box("gone over", long, 31, nil), box("of a lot that ends", short, 1, nil),
		box("of a held lot", long, 2, func(c *ContainerLine) { c.LotHeld = "H-001" }),
		box("scrapped", long, 3, func(c *ContainerLine) { c.Scrapped = now }), box("sent back", long, 3, func(c *ContainerLine) { c.Returned = now }),
		box("sealed", long, 0, func(c *ContainerLine) { c.Opened = time.Time{} }),
		box("short", long, 40, func(c *ContainerLine) { c.Scrapped, c.Over, c.Unexplained = now, true, 38 }),
		box("explained", long, 40, func(c *ContainerLine) { c.Scrapped, c.Over, c.Unexplained, c.Answer = now, true, 38, "spilled" }),
	}, now, time.UTC)
	var got []string
	for _, l := range lines {
		got = append(got, l.Container+": "+l.Mark+", "+strings.Map(func(r rune) rune {
			if r == '\u00a0' || r == '\u202f' {
				return ' '
			}
			return r
		}, l.Words))
	}
	want := []string{
		"short: stopped, 38.0 g missing, unexplained. The limit was 10 g (common practice, no source).",
		"gone over: stopped, 1 250.0 g left, open life over since 1 d 0 h",
		"of a lot that ends: done, 1 250.0 g left, 1 d 16 h to use it",
		"old: done, 1 250.0 g left, 5 d 0 h to use it",
		"of a held lot: stopped, 1 250.0 g left, lot held",
		"fresh: done, 1 250.0 g left, 29 d 0 h to use it",
	}
	if !slices.Equal(got, want) {
		t.Errorf("the floor says\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// The flag says by how much, which way, and whether somebody looked.
func TestFlagOfAContainer(t *testing.T) {
	for _, tt := range []struct {
		name     string
		c        ContainerLine
		word     string
		flagged  bool
		sentence string
	}{
		{"adds up", ContainerLine{}, "", false, "0.0"},
		{"short", ContainerLine{Over: true, Unexplained: 38}, "over the limit", true, "38.0"},
		{"too much", ContainerLine{Over: true, Unexplained: -12.5}, "over the limit", true, "12.5"},
		{"drawn below zero", ContainerLine{Container: shop.Container{Left: -3}, Over: true}, "over the limit", true, "More was taken out than was in it"},
		{"looked into", ContainerLine{Over: true, Unexplained: 38, Answer: "spilled"}, "looked into", false, "38.0"},
	} {
		if tt.c.flagWord() != tt.word || tt.c.Flagged() != tt.flagged || !strings.Contains(tt.c.flagSentence(), tt.sentence) {
			t.Errorf("%s: %q, flagged %v: %s", tt.name, tt.c.flagWord(), tt.c.Flagged(), tt.c.flagSentence())
		}
	}
}

// Nothing is said about a mass that nobody knows but that it is not known.
func TestTakes(t *testing.T) {
	if said := (Work{}).takes(); !strings.Contains(said, "not known") {
		t.Errorf("without a volume: %q", said)
	}
	if said := (Work{Expected: shop.Expected{Whole: 224.47}}).takes(); !strings.Contains(said, "224.5") {
		t.Errorf("with a volume: %q", said)
	}
	by := Work{Traveler: Traveler{Insert: shop.Insert{Design: "CR40"}}, Expected: shop.Expected{Whole: 301.71, Inserts: 14, Low: 296, High: 308}}
	if said := by.takes(); !strings.Contains(said, "the last 14 CR40 took 301.7 g in the mean (296.0 to 308.0 g)") {
		t.Errorf("by earlier ones: %q", said)
	}
}

// What nobody weighed is not called right.
func TestLotStock(t *testing.T) {
	weighed := shop.Container{Container: "L1/01", Left: 900, Opened: time.Date(2025, 10, 1, 0, 0, 0, 0, time.UTC), Weighed: time.Date(2025, 11, 1, 0, 0, 0, 0, time.UTC)}
	sealed := ContainerLine{Container: shop.Container{Container: "L1/02", Left: 2500}}
	opened := ContainerLine{Container: shop.Container{Container: "L1/04", Left: 2500, Opened: weighed.Opened}}
	gone := ContainerLine{Container: shop.Container{Container: "L1/03", Scrapped: weighed.Weighed}}
	short := ContainerLine{Container: weighed, Over: true, Unexplained: 38}
	for _, tt := range []struct {
		of          []ContainerLine
		words, mark string
	}{
		{nil, "no container yet", "todo"},
		{[]ContainerLine{sealed}, "sealed", "todo"},
		{[]ContainerLine{sealed, opened}, "not weighed yet", "todo"},
		{[]ContainerLine{{Container: weighed}, sealed, opened, gone}, "adds up, 2 of 3 weighed", "done"},
		{[]ContainerLine{{Container: weighed}, sealed, gone}, "adds up", "done"},
		{[]ContainerLine{short, sealed}, "L1/01 over the limit", "stopped"},
		{[]ContainerLine{short, short}, "2 containers over the limit", "stopped"},
	} {
		var s LotStock
		for _, c := range tt.of {
			s.Add(c)
		}
		if s.words() != tt.words || s.mark() != tt.mark {
			t.Errorf("of %d containers: %q, %q; want %q, %q", len(tt.of), s.words(), s.mark(), tt.words, tt.mark)
		}
	}
}
