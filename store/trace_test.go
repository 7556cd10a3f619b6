package store

import (
	"errors"
	"slices"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// Every query of a trace is one that both databases take, whatever it is
// narrowed to.
func TestTraceQueries(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		fitted(t, s, "I-0001", "K1")
		tr, err := s.Trace(t.Context(), Thing{Kind: "insert", Number: "I-0001"}, shop.Window{})
		if err != nil {
			t.Fatal(err)
		}
		from := time.Date(2025, 8, 1, 0, 0, 0, 0, time.UTC)
		for _, v := range slices.Concat(tr.Upstream, tr.Into) {
			for _, w := range []shop.Window{{}, {From: from}, {From: from, Until: from.AddDate(1, 0, 0)}} {
				back, err := s.Trace(t.Context(), Thing{Kind: v.Kind, Number: v.Number}, w)
				if err != nil || len(back.Inserts) != 1 || back.Inserts[0].Code != "I-0001" || back.Inserts[0].Share != 1 {
					t.Errorf("%s %s leads back to %+v, %v", v.Kind, v.Number, back.Inserts, err)
				}
				if none, err := s.Affected(t.Context(), Thing{Kind: v.Kind, Number: v.Number}, shop.Window{Until: from}); err != nil || len(none) != 0 {
					t.Errorf("%s %s touched %+v before anything was made, %v", v.Kind, v.Number, none, err)
				}
			}
		}
		for _, kind := range Traceable() {
			if _, err := s.Trace(t.Context(), Thing{Kind: kind, Number: "none"}, shop.Window{}); !errors.Is(err, shop.ErrNotFound) {
				t.Errorf("%s none: %v", kind, err)
			}
		}
		for _, kind := range []string{"insert", "machine"} {
			if _, err := s.Trace(t.Context(), Thing{Kind: kind, Number: "I-0001"}, shop.Window{FromLayer: 1, ToLayer: 9}); !errors.Is(err, shop.ErrInvalid) {
				t.Errorf("layers of a %s: %v", kind, err)
			}
		}
	})
}

// A trace of paste is narrowed by the layers in which it lies.
func TestTraceOfLayers(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		put(t, s, "204", shop.ContainerReceived{Container: "L1/02", Lot: "L1", Mass: gram("2500"), Code: shop.NewScanCode()})
		put(t, s, "204", shop.ContainerOpened{Container: "L1/02"})
		put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 120, Drawn: gram("100")})
		put(t, s, "204", shop.PasteDrawn{Container: "L1/02", Insert: "I-0001", FromLayer: 121, ToLayer: 300, Drawn: gram("100")})
		for _, tt := range []struct {
			container string
			from, to  int
			want      []string
		}{
			{"L1/01", 1, 120, []string{"I-0001"}}, {"L1/01", 121, 300, nil}, {"L1/01", 100, 130, []string{"I-0001"}}, {"L1/02", 121, 121, []string{"I-0001"}}, {"L1/02", 1, 120, nil},
		} {
			got, err := s.Affected(t.Context(), Thing{Kind: "container", Number: tt.container}, shop.Window{FromLayer: tt.from, ToLayer: tt.to})
			if err != nil || !slices.Equal(codesOf(got), tt.want) {
				t.Errorf("%s, layers %d to %d: %v, %v; want %v", tt.container, tt.from, tt.to, codesOf(got), err, tt.want)
			}
			for _, a := range got {
				if want := map[string]float64{"L1/01": 0.4, "L1/02": 0.6}[tt.container]; a.Share != want {
					t.Errorf("the share of %s is %v; want %v", tt.container, a.Share, want)
				}
			}
		}
	})
}

func codesOf(all []shop.Affected) []string {
	var codes []string
	for _, a := range all {
		codes = append(codes, a.Code)
	}
	return codes
}

// What a gauge read is in doubt from the last good check before a bad one until
// the next good one, also when it was put right since.
func TestInDoubt(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		gauge := Thing{Kind: "gauge", Number: "M-12"}
		var at []time.Time
		check := func(reads string) {
			clockOf(s).advance(time.Hour)
			at = append(at, clockOf(s).now())
			put(t, s, "402", shop.GaugeChecked{Gauge: "M-12", Block: mm("25.000"), Read: mm(reads), Limit: mm("0.040")})
		}
		is := func(from, until int) {
			t.Helper()
			w, what, err := s.InDoubt(t.Context(), gauge)
			if err != nil || !w.From.Equal(at[from]) || until >= 0 != !w.Until.IsZero() || until >= 0 && !w.Until.Equal(at[until]) || what == "" {
				t.Errorf("in doubt from %v until %v (%s), %v; want checks %d to %d of %v", w.From, w.Until, what, err, from, until, at)
			}
		}
		check("25.001")
		is(0, -1)
		check("25.002")
		is(1, -1)
		check("25.024") // passes by the limit that was typed, not by the permissible error
		is(1, -1)
		check("25.023")
		is(1, -1)
		check("25.001")
		is(1, 4)
		check("25.000")
		is(1, 4)
		if _, _, err := s.InDoubt(t.Context(), Thing{Kind: "insert", Number: "I-0001"}); !errors.Is(err, shop.ErrInvalid) {
			t.Errorf("an insert: %v", err)
		}
	})
}
