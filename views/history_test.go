package views

import (
	"testing"
	"time"

	"sinterbook/store/shop"
)

// The clock steps back between the second entry and the third.
func TestMarkOfAStepBack(t *testing.T) {
	at := time.Date(2026, 8, 11, 6, 0, 0, 500_000_000, time.UTC)
	p := History{}
	for _, entered := range []time.Time{at, at.Add(10 * time.Microsecond), at.Add(-298*time.Second - 500*time.Millisecond), at.Add(-290 * time.Second)} {
		p.Rows = append(p.Rows, HistoryRow{Entry: shop.Entry{Entered: entered}})
	}
	p = p.Mark()
	for i, want := range []string{"", "", "The clock had stepped back by 4 min 58 s since the entry before.", ""} {
		if got := p.Rows[i].Back(); got != want {
			t.Errorf("row %d: %q; want %q", i+1, got, want)
		}
	}
	p.Previous = at.Add(time.Hour)
	if got, want := p.Mark().Rows[0].Back(), "The clock had stepped back by 1 h since the entry before."; got != want {
		t.Errorf("across pages: %q; want %q", got, want)
	}
}

func TestWhatACheckpointCovers(t *testing.T) {
	p := History{Kind: "insert", Number: "I-0001", Total: 3, Rows: []HistoryRow{{Seq: 7}, {Seq: 9}, {Seq: 12}}}
	for size, want := range map[int64]string{
		13: "The newest signed checkpoint covers the first 13 entries of the log, and with them every entry on this page.",
		12: "The newest signed checkpoint covers the first 12 entries of the log. One entry on this page is newer and waits for the next checkpoint.",
		9:  "The newest signed checkpoint covers the first 9 entries of the log. 2 entries on this page are newer and wait for the next checkpoint.",
	} {
		p.Sealed.Size = size
		if got := p.Covered(); got != want {
			t.Errorf("%q; want %q", got, want)
		}
	}
	if (Checkpoint{}).Made() {
		t.Error("no checkpoint counts as one")
	}
}
