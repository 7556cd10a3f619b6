package paste

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"testing/quick"
)

func TestUnexplained(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name  string
		a     Account
		want  float64
		limit float64
		flag  bool
	}{
		{"full", Account{In: 2500, Left: 2500}, 0, 0, false},
		// Subtracted in binary, 1.1e-13 g would be left.
		{"used up to the tenth", Account{In: 2499.8, Used: 1646.2, Purged: 40.1, Wasted: 813.5}, 0, 0, false},
		{"ten times a tenth", Account{In: 1, Used: 0.1, Purged: 0.7, Wasted: 0.1, Left: 0.1}, 0, 0, false},
		{"38 g gone", Account{In: 2502.4, Used: 1132.6, Purged: 17.8, Wasted: 1314}, 38, 20, true},
		{"just at the limit", Account{In: 100.3, Left: 80.2}, 20.1, 20.1, false},
		{"a hundredth beyond", Account{In: 100.31, Left: 80.2}, 20.11, 20.1, true},
		{"more than came in", Account{In: 100, Used: 90, Returned: 20, Left: 15.5}, -25.5, 20, true},
		{"a little more than came in", Account{In: 100, Used: 90, Left: 15}, -5, 20, false},
	} {
		if got := tt.a.Unexplained(); got != tt.want || tt.a.Flag(tt.limit) != tt.flag || tt.a.Check() != nil {
			t.Errorf("%s: Unexplained = %v, Flag(%v) = %v; want %v, %v", tt.name, got, tt.limit, tt.a.Flag(tt.limit), tt.want, tt.flag)
		}
	}
}

func TestCheck(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		a    Account
		want error
	}{
		{"negative", Account{In: 100, Wasted: -0.1}, ErrNegative},
		{"no number", Account{In: math.NaN()}, ErrNotFinite},
		{"infinite", Account{Left: math.Inf(1)}, ErrNotFinite},
		{"a ship's load", Account{In: 1e12}, ErrNotFinite},
	} {
		if err := tt.a.Check(); !errors.Is(err, tt.want) || !tt.a.Flag(1000) {
			t.Errorf("%s: %v, flagged %v; want %v and flagged", tt.name, err, tt.a.Flag(1000), tt.want)
		}
	}
	if (Account{In: 100, Left: 100}).Flag(math.NaN()) != true {
		t.Error("a limit that is no number lets everything pass")
	}
}

// TestBalance: in = used + waste + left + unexplained, whatever the tenths and
// hundredths, and the accounts of containers add up to that of their lot.
func TestBalance(t *testing.T) {
	t.Parallel()
	property := func(seed uint64) bool {
		r := rand.New(rand.NewPCG(seed, 6))
		mass := func() float64 { return float64(r.IntN(300_000)) / 100 }
		var lot Account
		sum := int64(0)
		for range 40 {
			a := Account{In: mass(), Used: mass(), Purged: mass(), Wasted: mass(), Returned: mass(), Left: mass()}
			lot = lot.Plus(a)
			sum += mg(a.Unexplained())
			back, err := Sum(a.Used, a.Waste(), a.Returned, a.Left, max(0, a.Unexplained()))
			in, err2 := Sum(a.In, max(0, -a.Unexplained()))
			if err != nil || err2 != nil || back != in {
				return false
			}
		}
		return lot.Unexplained() == grams(sum)
	}
	if err := quick.Check(property, nil); err != nil {
		t.Error(err)
	}
}

func TestSumAndDraw(t *testing.T) {
	t.Parallel()
	if got, err := Sum(0.1, 0.2, 0.3, 0.01); got != 0.61 || err != nil {
		t.Errorf("Sum = %v, %v; want 0.61", got, err)
	}
	if _, err := Sum(0.1, -0.1); !errors.Is(err, ErrNegative) {
		t.Errorf("negative: %v", err)
	}
	for _, tt := range []struct {
		left, drawn, want float64
		err               error
	}{
		{100.3, 20.1, 80.2, nil}, {0.3, 0.3, 0, nil}, {20, 20.1, 0, ErrTooMuch}, {20, -1, 0, ErrNegative}, {math.NaN(), 1, 0, ErrNotFinite},
	} {
		if got, err := Draw(tt.left, tt.drawn); got != tt.want || !errors.Is(err, tt.err) {
			t.Errorf("Draw(%v, %v) = %v, %v; want %v, %v", tt.left, tt.drawn, got, err, tt.want, tt.err)
		}
	}
}

// TestExpectedMass by hand: 40 x 30 x 20 mm sintered, printed 1.2 times as
// long, 1.2 and 1.25 in height, is 43.2 cm³; at 4.5 g/cm³ that is 194.4 g.
func TestExpectedMass(t *testing.T) {
	t.Parallel()
	v, err := GreenVolume(24000, 1.2, 1.2, 1.25)
	if err != nil || math.Abs(v-43200) > 1e-6 {
		t.Fatalf("GreenVolume = %v, %v; want 43200", v, err)
	}
	for _, tt := range []struct {
		name                   string
		volume, density, share float64
		want                   float64
		err                    error
	}{
		{"all of it", v, 4.5, 1, 194.4, nil},
		{"a quarter of its height", v, 4.5, 0.25, 48.6, nil},
		{"none of it", v, 4.5, 0, 0, nil},
		{"share in percent", v, 4.5, 25, 0, ErrShare},
		{"share no number", v, 4.5, math.NaN(), 0, ErrShare},
		{"no volume", 0, 4.5, 1, 0, ErrNotPositive},
		{"negative density", v, -4.5, 1, 0, ErrNotPositive},
		{"density no number", v, math.NaN(), 1, 0, ErrNotPositive},
		{"infinite volume", math.Inf(1), 4.5, 1, 0, ErrNotFinite},
	} {
		if got, err := ExpectedMass(tt.volume, tt.density, tt.share); math.Abs(got-tt.want) > 1e-9 || !errors.Is(err, tt.err) {
			t.Errorf("%s: ExpectedMass = %v, %v; want %v, %v", tt.name, got, err, tt.want, tt.err)
		}
	}
	for _, k := range []float64{0.83, 0, math.NaN(), math.Inf(1)} {
		if v, err := GreenVolume(24000, 1.2, k, 1.2); !errors.Is(err, ErrNotPositive) {
			t.Errorf("GreenVolume with factor %v = %v, %v", k, v, err)
		}
	}
}

func TestInsertsLeft(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name      string
		left, per float64
		want      int
		err       error
	}{
		{"about three of a full one", 2499.8, 780, 3, nil}, // common practice, no source
		{"just three", 0.3, 0.1, 3, nil},                   // in binary 0.3/0.1 is below 3
		{"a milligram short", 299.999, 100, 2, nil},
		{"empty", 0, 100, 0, nil},
		{"of no mass", 100, 0, 0, ErrNotPositive},
		{"negative", -1, 100, 0, ErrNegative},
		{"no number", 100, math.NaN(), 0, ErrNotFinite},
	} {
		if got, err := InsertsLeft(tt.left, tt.per); got != tt.want || !errors.Is(err, tt.err) {
			t.Errorf("%s: InsertsLeft = %v, %v; want %v, %v", tt.name, got, err, tt.want, tt.err)
		}
	}
}
