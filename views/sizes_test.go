package views

import (
	"testing"

	"sinterbook/store/shop"
)

func TestSizeInTheDrawingsUnit(t *testing.T) {
	inch := shop.Characteristic{Number: "1", Kind: shop.Length, Nominal: read("1.575", "in"), Lower: read("1.573", "in"), Upper: read("1.577", "in")}
	metric := shop.Characteristic{Number: "1", Kind: shop.Length, Nominal: read("40", "mm"), Lower: read("39.950", "mm"), Upper: read("40.050", "mm")}
	hard := shop.Characteristic{Number: "9", Kind: shop.Hardness, Lower: read("46", "HRC")}
	for _, tt := range []struct {
		name                                   string
		c                                      shop.Characteristic
		drawing                                string
		value                                  shop.Reading
		limits, shown, typed, off, perMM, thou string
	}{
		{"in its own unit", metric, "mm", read("39.969", "mm"), "39.950 – 40.050", "39.969", "", "−31", "−0.775", "−1.22"},
		{"with a comma, as typed", metric, "mm", read("39,969", "mm"), "39.950 – 40.050", "39,969", "", "−31", "−0.775", "−1.22"},
		{"zeros at the end stay", metric, "mm", read("40.000", "mm"), "39.950 – 40.050", "40.000", "", "0", "0.000", "0.00"},
		{"read in inches on a metric drawing", metric, "mm", read("1.5736", "in"), "39.950 – 40.050", "39.969", "1.5736 in", "−31", "−0.764", "−1.20"},
		{"inches first", inch, "in", read("1.5742", "in"), "1.573 – 1.577", "1.5742", "", "−20", "−0.508", "−0.80"},
		{"read in mm on an inch drawing", inch, "in", read("39.987", "mm"), "1.573 – 1.577", "1.57429", "39.987 mm", "−18", "−0.450", "−0.71"},
		{"no length", hard, "mm", read("49.0", "HRC"), "46 or more", "49.0", "", "", "", ""},
		{"not read", metric, "mm", shop.Reading{}, "39.950 – 40.050", "", "", "", "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := Size{Characteristic: tt.c, Drawing: tt.drawing, Result: shop.Result{Value: tt.value}}
			for _, got := range []struct{ what, got, want string }{
				{"limits", s.Limit(), tt.limits}, {"value", s.Value(), tt.shown}, {"as typed", s.AsTyped(), tt.typed},
				{"off", s.Off(), tt.off}, {"µm/mm", s.PerMM(), tt.perMM}, {"thou", s.OffThou(), tt.thou},
			} {
				if got.got != got.want {
					t.Errorf("%s is %q; want %q", got.what, got.got, got.want)
				}
			}
		})
	}
}

// A reading that passed on its limit is drawn on it, never outside.
func TestBarOnTheLimit(t *testing.T) {
	c := shop.Characteristic{Kind: shop.Length, Lower: read("1.573", "in"), Upper: read("1.577", "in")}
	s := Size{Characteristic: c, Drawing: "in", Result: shop.Result{Value: read("40.0558", "mm"), Verdict: "pass"}} // 1.577 in exactly
	if !s.Bar().Inside() {
		t.Errorf("%v is drawn outside of %v to %v", s.Bar().Value, s.Bar().Lower, s.Bar().Upper)
	}
	s.Result = shop.Result{Value: read("40.06", "mm"), Verdict: "fail"}
	if s.Bar().Inside() {
		t.Errorf("%v is drawn inside of %v to %v", s.Bar().Value, s.Bar().Lower, s.Bar().Upper)
	}
}

func TestSizesInTheDrawingsOrder(t *testing.T) {
	d := shop.Design{DrawingUnit: "mm", Characteristics: []shop.Characteristic{{Number: "2", Kind: shop.Length}, {Number: "1", Kind: shop.Length}, {Number: "9", Kind: shop.Hardness}}}
	sizes := SizesOf(d, []shop.Result{
		{Seq: 5, Characteristic: "1", Value: read("39.696", "mm"), CorrectedBy: 7}, {Seq: 6, Characteristic: "2", Value: read("30", "mm")}, {Seq: 7, Characteristic: "1", Value: read("39.969", "mm")},
	}, map[int64]string{7: "digits swapped"})
	want := []struct {
		number, word, reason string
		seq                  int64
	}{{"2", "no limits", "", 6}, {"1", "replaced", "digits swapped", 5}, {"1", "no limits", "", 7}, {"9", "not read yet", "", 0}}
	if len(sizes) != len(want) {
		t.Fatalf("%d lines; want %d", len(sizes), len(want))
	}
	for i, w := range want {
		if s := sizes[i]; s.Number != w.number || s.verdict() != w.word || s.Reason != w.reason || s.Result.Seq != w.seq {
			t.Errorf("line %d: %s %s %q entry %d; want %s %s %q entry %d", i, s.Number, s.verdict(), s.Reason, s.Result.Seq, w.number, w.word, w.reason, w.seq)
		}
	}
	if len(lengthsOf(sizes)) != 3 || len(othersOf(sizes)) != 1 {
		t.Errorf("%d lengths and %d others; want 3 and 1", len(lengthsOf(sizes)), len(othersOf(sizes)))
	}
}
