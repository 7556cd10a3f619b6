package views

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"sinterbook/store/shop"
)

func TestTold(t *testing.T) {
	at := time.Date(2025, 11, 21, 8, 12, 40, 0, time.UTC)
	long := shop.InsertScrapped{Insert: "I-0042", Why: strings.Repeat("the edge is torn, ", 12) + "and more"}
	for _, tt := range []struct {
		name, by string
		e        shop.Event
		want     string
	}{
		{"short", "205", shop.LayersMade{Insert: "I-0042", FromLayer: 1, ToLayer: 40}, "205 recorded at 09:12: Layers 1 to 40 of I-0042 were made."},
		{"by the service", "", shop.HoldSet{Hold: "H-7", OnKind: "lot", OnCode: "L1", Why: "small"}, "The service recorded at 09:12: Hold H-7 was set on lot L1: small."},
		{"cut where it pauses", "601", long, "601 recorded at 09:12: I-0042 was scrapped: the edge is torn, the edge is torn, the edge is torn, the edge is torn, the edge is torn, the edge is torn, the edge is torn …"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := Told(shop.Entry{By: tt.by, Entered: at, Event: tt.e}, vienna); got != tt.want {
				t.Errorf("it is told as %q; want %q", got, tt.want)
			}
		})
	}
}

// Every kind of event is told, and none at length.
func TestToldIsBrief(t *testing.T) {
	for _, e := range examples() {
		got := Brief(Sentence(e, vienna), toldAtMost)
		if n := utf8.RuneCountInString(got); got == "" || n > toldAtMost+2 {
			t.Errorf("%s is told in %d characters: %q", e.Kind(), n, got)
		}
		if whole := Sentence(e, vienna); got != whole && !strings.HasPrefix(whole, strings.TrimSuffix(got, " …")) {
			t.Errorf("%s is told as %q, which does not begin %q", e.Kind(), got, whole)
		}
	}
	if got := Brief(strings.Repeat("x", 400), toldAtMost); utf8.RuneCountInString(got) > toldAtMost+2 {
		t.Errorf("a word without end is told in %d characters", utf8.RuneCountInString(got))
	}
}
