package shop

import (
	"math"
	"testing"
	"time"
)

// A block of 40 by 30 by 25 mm at k = 1.2019, 1.2020 and 1.2180 of paste of
// 4.35 g/cm³ by hand: 30 cm³ · 1.759611… · 4.35 = 229.6 g.
func TestExpectedOf(t *testing.T) {
	k := []Reading{times("1.2019"), times("1.2020"), times("1.2180")}
	volume, wet := MustReading("30", "cm3"), MustReading("4.35", "g/cm3")
	for _, tt := range []struct {
		name     string
		x        Expected
		want     float64
		from, to int
	}{
		{"all layers", ExpectedOf(volume, k[0], k[1], k[2], wet), 229.6, 1, 304},
		{"typed in mm³", ExpectedOf(MustReading("30000", "mm3"), k[0], k[1], k[2], wet), 229.6, 1, 304},
		{"half of the layers", ExpectedOf(volume, k[0], k[1], k[2], wet), 114.8, 153, 304},
		{"no layers named", ExpectedOf(volume, k[0], k[1], k[2], wet), 0, 0, 0},
		{"layers past the last", ExpectedOf(volume, k[0], k[1], k[2], wet), 0, 1, 305},
		{"nobody knows the volume", ExpectedOf(Reading{}, k[0], k[1], k[2], wet), 0, 1, 304},
		{"nobody knows the density", ExpectedOf(volume, k[0], k[1], k[2], Reading{}), 0, 1, 304},
		{"nobody knows a factor", ExpectedOf(volume, k[0], Reading{}, k[2], wet), 0, 1, 304},
	} {
		if got := tt.x.Of(tt.from, tt.to, 304).Draw(); math.Abs(got-tt.want) > 0.05 {
			t.Errorf("%s: %.2f g; want %.1f", tt.name, got, tt.want)
		}
	}
}

// What earlier inserts took stands for a volume that nobody knows.
func TestExpectedLike(t *testing.T) {
	tub := func(g float64) Took { return Took{Drawn: g, Purged: 3, Layers: 304, For: 304} }
	half := Took{Drawn: 151, Purged: 1, Layers: 304, For: 152} // the rest was never written down
	for _, tt := range []struct {
		name            string
		of              []Took
		whole, sd, most float64
		inserts         int
	}{
		{"none", nil, 0, 0, 0, 0},
		{"two", []Took{tub(300), tub(302)}, 0, 0, 0, 0},
		{"three", []Took{tub(300), tub(302), tub(304)}, 302, 2, 304, 3},
		{"half of the layers", []Took{half, tub(300), tub(304)}, 302, 2, 304, 3},
		{"a slip among them", []Took{tub(300), tub(2199.3), tub(302), tub(304)}, 302, 2, 304, 3},
		{"a slip the other way", []Took{tub(0.3), tub(302), tub(300), tub(304)}, 302, 2, 304, 3},
		{"no layers on record", []Took{{Drawn: 300, Layers: 304}, tub(302), tub(304)}, 0, 0, 0, 0},
	} {
		x := ExpectedLike(tt.of)
		if math.Abs(x.Whole-tt.whole) > 1e-9 || math.Abs(x.SD-tt.sd) > 1e-9 || x.High != tt.most || x.Inserts != tt.inserts {
			t.Errorf("%s: %+v; want %v ± %v of %d", tt.name, x, tt.whole, tt.sd, tt.inserts)
		}
	}
	if g, n := MeanTaken([]Took{tub(300)}); g != 303 || n != 1 {
		t.Errorf("one insert took %v of %d; want 303 g with its purge", g, n)
	}
	if g, n := MeanTaken(nil); g != 0 || n != 0 {
		t.Errorf("of none: %v of %d", g, n)
	}
}

func TestLimitAt(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2025, 9, d, 6, 0, 0, 0, time.UTC) }
	set := []Limit{{Limit: DrawOff, Value: MustReading("5", "%"), From: day(1)}, {Limit: UnexplainedMass, Value: grams("25"), Basis: "ours", From: day(10)}, {Limit: UnexplainedMass, Value: grams("12"), From: day(20)}}
	for _, tt := range []struct {
		at   time.Time
		want string
	}{{day(9), "10"}, {day(10), "25"}, {day(19), "25"}, {day(20), "12"}, {time.Time{}, "10"}} {
		if got := LimitAt(set, UnexplainedMass, tt.at); got.Value.Text != tt.want {
			t.Errorf("the limit on %s is %s; want %s g", tt.at.Format(time.DateOnly), got.Value, tt.want)
		}
	}
}

// What a certificate calls density is not always that of the paste.
func TestWetDensity(t *testing.T) {
	lines := []CertificateLine{{"carbon", "0.40", "wt%", "", ""}, {"tap density", "4.9", "g/cm3", "", ""}, {"Density of the paste", "4,35", "g/cm³", "4.2", "4.5"}}
	typed := MustReading("4.40", "g/cm3")
	for _, tt := range []struct {
		name  string
		lot   Lot
		lines []CertificateLine
		want  string
	}{
		{"typed", Lot{WetDensity: typed}, lines, "4.40"}, {"of the certificate", Lot{}, lines, "4,35"}, {"of the powder only", Lot{}, lines[:2], ""},
		{"in another unit", Lot{}, []CertificateLine{{"paste density", "4350", "kg/m3", "", ""}}, ""},
	} {
		if got := WetDensity(tt.lot, tt.lines); got.Text != tt.want {
			t.Errorf("%s: %q; want %q", tt.name, got.Text, tt.want)
		}
	}
}
