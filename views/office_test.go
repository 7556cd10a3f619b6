package views

import (
	"math"
	"net/url"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// The factors that a toolroom released with the shrinkage that it believed.
func TestShrinkage(t *testing.T) {
	for _, tt := range []struct{ k, s float64 }{{1.2019, 16.80}, {1.2180, 17.90}, {1.2037, 16.92}, {1.2188, 17.95}, {1, 0}} {
		if got := Shrinkage(tt.k); math.Abs(got-tt.s) > 0.005 {
			t.Errorf("k %v means %.3f %%; want %.2f %%", tt.k, got, tt.s)
		}
	}
	if got := means(shop.Reading{}); got != "" {
		t.Errorf("no factor means %q", got)
	}
}

func TestLineCount(t *testing.T) {
	for _, tt := range []struct {
		name   string
		values url.Values
		want   int
	}{
		{"nothing typed", url.Values{}, 8},
		{"more asked for", url.Values{"lines": {"4"}}, 12},
		{"more than those with something in them", url.Values{"lines": {"4"}, "steps.11.yields": {"records"}}, 15},
		{"a line behind the last", url.Values{"steps.11.yields": {"records"}}, 11},
		{"an empty line behind the last", url.Values{"steps.11.yields": {""}}, 8},
		{"another table", url.Values{"positions.11": {"T1"}}, 8},
		{"nonsense", url.Values{"lines": {"-3"}, "steps.x": {"y"}}, 8},
		{"more than the server reads", url.Values{"lines": {"99999"}}, 200},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := (Form{Values: tt.values}).lineCount("steps", 8); got != tt.want {
				t.Errorf("%d lines; want %d", got, tt.want)
			}
		})
	}
}

func TestReleaseEffect(t *testing.T) {
	insert := func(number, status string, done bool) shop.Insert {
		return shop.Insert{Insert: number, Status: status, Done: done}
	}
	for _, tt := range []struct {
		name    string
		inserts []shop.Insert
		want    string
	}{
		{"nothing uses it", nil, "No traveler waits to be printed by it."},
		{"two wait", []shop.Insert{insert("I-1", shop.StatusOpened, false), insert("I-2", shop.StatusOpened, false)}, "No print by it can begin any more: the gate stops I-1 and I-2."},
		{"one waits, one is printing", []shop.Insert{insert("I-1", shop.StatusOpened, false), insert("I-2", shop.StatusPrinting, false)},
			"No print by it can begin any more: the gate stops I-1. Prints that began, 1 insert, keep it and go on."},
		{"scrapped", []shop.Insert{insert("I-1", shop.StatusScrapped, true)}, "No traveler waits to be printed by it."},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := (Release{Inserts: tt.inserts}).Effect(); got != tt.want {
				t.Errorf("%q; want %q", got, tt.want)
			}
		})
	}
}

func TestZonesOf(t *testing.T) {
	f := shop.Furnace{Positions: []shop.Position{{Position: "T1", Zone: "top", Use: "insert"}, {Position: "M1", Zone: "middle", Use: "insert"}, {Position: "M3", Zone: "middle", Use: "coupon"}, {Position: "T2", Zone: "top", Use: "insert"}}}
	zones := ZonesOf(f)
	if len(zones) != 2 || zones[0] != (Zone{"top", "T1 T2", ""}) || zones[1] != (Zone{"middle", "M1", "M3"}) {
		t.Errorf("zones %+v; want top T1 T2, middle M1 with a coupon at M3", zones)
	}
}

// The latest decision that names both counts, whichever of them is wider.
func TestPolicySince(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2025, 10, d, 0, 0, 0, 0, time.UTC) }
	p := Policies{At: day(20), Zone: time.UTC, Policies: []shop.Policy{
		{Gate: "not held", Operation: shop.OpPrint, From: day(1), Mode: shop.Warn},
		{Gate: "not held", Operation: shop.EveryOperation, From: day(10), Mode: shop.Stop},
		{Gate: "not held", Operation: shop.OpDry, From: day(25), Mode: shop.Silent},
	}}
	for op, want := range map[string]string{shop.OpPrint: "stop 2025-10-10", shop.OpDry: "stop 2025-10-10"} {
		if got := p.Mode("not held", op) + " " + p.Since("not held", op); got != want {
			t.Errorf("%s: %q; want %q", op, got, want)
		}
	}
	if got := p.Since("route order", shop.OpPrint); got != "" {
		t.Errorf("nothing decided, since %q", got)
	}
}

// Every limit says what it does.
func TestLimitsSayWhatTheyDo(t *testing.T) {
	for _, name := range shop.LimitNames() {
		if limitMeans[name] == "" {
			t.Errorf("the limit of the %s says nothing of what it does", name)
		}
	}
}
