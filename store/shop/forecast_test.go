package shop

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/calc/shrink"
)

// lengthsOf are lengths along the axes of the build, two in each of the runs,
// that shrink by s (a share) and scatter by off of the green length, in turn up
// and down; the constant part is a.
func lengthsOf(lot string, s map[string]float64, a, off float64, runs int) []LengthPair {
	var all []LengthPair
	for _, axis := range Axes {
		for i := range 2 * runs {
			green := 20 + 10*float64(i)
			if i%2 == 1 {
				green = 80 - 5*float64(i)
			}
			sintered := a + (1-s[axis])*green + off*green*[]float64{1, -1, -1, 1}[i%4]
			all = append(all, LengthPair{Piece: fmt.Sprintf("%s-%d", lot, i), Axis: axis, Drawn: axis, Nominal: mm("40"), KUsed: times("1.2000"),
				Green: mm(fmt.Sprintf("%.6f", green)), Sintered: mm(fmt.Sprintf("%.6f", sintered)), GreenU: 0.004, SinteredU: 0.002, Load: fmt.Sprintf("F1-%d", i/2), At: noon})
		}
	}
	return all
}

// piece is a green CR40 of one lot whose X was measured.
func piece(green string, fits ...LotFit) Green {
	return Green{Insert: "I-0029", Release: Release{Lot: "L2509-A", Orientation: "+Z up, X along the machine X"}, Layers: 305, At: noon, Fits: fits,
		Sizes:           []GreenSize{{Axis: "X", Size: mm(green), U: 0.004}},
		Characteristics: []Characteristic{{Number: "CR40.1", Axis: "X", Kind: Length, Nominal: mm("40"), Lower: mm("39.950"), Upper: mm("40.050")}}}
}

func TestForecast(t *testing.T) {
	alike := map[string]float64{"X": 0.168, "Y": 0.17, "Z": 0.18}
	fit := func(lot string, s map[string]float64, off float64, runs int) LotFit {
		return FitLot(lot, lengthsOf(lot, s, 0.01, off, runs), nil, noon)
	}
	own := fit("L2509-A", alike, 0.0002, 4)
	onSide := piece("48.081", own)
	onSide.Release.Orientation = "+X up, Y along the machine X"
	onSide.Sizes[0].Size = mm("48.781")
	upright := piece("48.781", own)
	upright.Sizes[0].Axis, upright.Characteristics[0].Axis = "Z", "Z"
	stacked := upright
	stacked.Fits = append(slices.Clone(stacked.Fits), fit("L2509-B", map[string]float64{"X": 0.168, "Y": 0.17, "Z": 0.184}, 0.0002, 4))
	stacked.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}}
	mixed := piece("48.081", own, fit("L2509-B", map[string]float64{"X": 0.164, "Y": 0.17, "Z": 0.18}, 0.0002, 4))
	mixed.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}}
	half := mixed
	half.Fits = mixed.Fits[:1]
	half.Factors = append(factorsOf("L2509-A", "1.2019", "1.2019", "1.2180"), factorsOf("L2509-B", "1.2011", "1.2011", "1.2171")...)
	bare := piece("48.081")
	bare.Factors = half.Factors
	inch := piece("48.081", own)
	inch.Characteristics[0].Lower = Reading{}
	for _, tt := range []struct {
		name        string
		g           Green
		size        float64 // 0.01 + (1 − s) · green
		least, most float64 // chance
		says        string
	}{
		{"in the middle", piece("48.065", own), 40.0001, 0.99, 1, ""},
		{"on the upper limit", piece("48.125", own), 40.0500, 0.4, 0.6, "take 0.060 mm off, to 48.065 mm, and measure it again. The chance is above 99 % then."},
		{"inside, but near the limit", piece("48.120", own), 40.0458, 0.5, 0.799, "take 0.055 mm off, to 48.065 mm"},
		{"far above", piece("48.325", own), 40.2164, 0, 0.001, "below 1 %"},
		{"far below", piece("47.865", own), 39.8337, 0, 0.001, "It is 0.200 mm too small, and nothing can be put on; drying on does not help either. Measure it again, else make it anew, 48.065 mm green. The chance is above 99 % then."},
		{"lying on its side", onSide, 40.0104, 0.9, 1, ""}, // X shrinks as the build's Z
		// Within a layer each lot shrinks by itself: 0.01 + 0.836 · 48.081 in the upper ones.
		{"of two lots in a layer", mixed, 40.2057, 0, 0.01, "about 40.205 mm in the layers of lot L2509-B, where it comes out worst"},
		// 0.01 + (1 − 0.18 · 183/305 − 0.184 · 122/305) · 48.781
		{"of two lots by their height", stacked, 39.9324, 0, 0.1, "too small"},
		{"of one along the height", upright, 40.0104, 0.9, 1, ""},
		{"no lower limit", inch, 40.0134, 0.9, 1, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := tt.g.Forecasts()[0]
			if !f.ByFit || math.Abs(f.Size-tt.size) > 1e-3 || f.Chance < tt.least || f.Chance > tt.most || f.Lo >= f.Size || f.Hi <= f.Size {
				t.Errorf("%+v; want about %v mm and a chance from %v to %v", f, tt.size, tt.least, tt.most)
			}
			said := f.Sentence("I-0029", LimitAt(nil, GreenChance, noon))
			if good := f.Good(80); good == (tt.says != "") || !strings.Contains(said, tt.says) {
				t.Errorf("good is %v, and it says %q; want %q", good, said, tt.says)
			}
		})
	}
	for name, g := range map[string]Green{"one of its lots was not measured": half, "nothing was measured": bare} {
		f := g.Forecasts()[0]
		if f.ByFit || !math.IsNaN(f.Chance) || f.Size == 0 || !f.Good(99) {
			t.Errorf("%s: %+v; want a size by the factors, and no chance", name, f)
		}
		if said := f.Sentence("I-0029", LimitAt(nil, GreenChance, noon)); !strings.Contains(said, "is not known: The factor of lot L2509-") || !strings.Contains(said, "has no interval") {
			t.Errorf("%s: it says %q", name, said)
		}
	}
	if f := piece("48.081").Forecasts()[0]; f.Why == "" || f.Good(0) {
		t.Errorf("without lengths and factor: %+v; want a reason", f)
	}
}

// A lot with one run takes what runs differ by from the shop's other lots.
func TestForecastOfOneRun(t *testing.T) {
	s := map[string]float64{"X": 0.168, "Y": 0.17, "Z": 0.18}
	others := []LotFit{FitLot("L1", apart(lengthsOf("L1", s, 0, 0.0001, 5), 0.001), nil, noon), FitLot("L2", apart(lengthsOf("L2", s, 0, 0.0001, 5), 0.001), nil, noon)}
	alone := FitLot("L2509-A", lengthsOf("L2509-A", s, 0.01, 0.0002, 2), nil, noon)
	before := piece("48.081", alone).Forecasts()[0]
	alone.Towards(others)
	after := piece("48.081", alone).Forecasts()[0]
	if after.Hi-after.Lo < 1.5*(before.Hi-before.Lo) || after.Chance >= before.Chance {
		t.Errorf("with the runs of other lots the interval is %v to %v, without %v to %v", after.Lo, after.Hi, before.Lo, before.Hi)
	}
}

// apart makes every second run shrink less, by a share of the length.
func apart(pairs []LengthPair, by float64) []LengthPair {
	for i, p := range pairs {
		if i/2%2 == 1 {
			pairs[i].Sintered = mm(fmt.Sprintf("%.6f", p.Sintered.Value()+by*p.Green.Value()))
		}
	}
	return pairs
}

// What a lot's lengths do not say is said in words, and no number stands for it.
func TestFitAxis(t *testing.T) {
	length := func(piece, green, sintered string) LengthPair {
		return LengthPair{Piece: piece, Number: "CP40.1", Axis: "X", Nominal: mm("40"), KUsed: times("1.2000"), Green: mm(green), Sintered: mm(sintered), At: noon}
	}
	in := Factor{Seq: 1, Lot: "L", Axis: "X", K: times("1.2019")}
	for _, tt := range []struct {
		name    string
		pairs   []LengthPair
		known   bool
		bounded bool
		oneSize bool
		advice  string
		says    string
		inForce Factor
		s       float64
	}{
		{name: "nothing measured", advice: AdviceMeasure, says: "Nothing of this lot was measured along X", inForce: in},
		{name: "one length", pairs: []LengthPair{length("CP-1", "48.000", "39.936")}, known: true, oneSize: true, advice: AdviceMeasure, says: "no interval", inForce: in, s: 0.168},
		{name: "two pieces of one length", pairs: []LengthPair{length("CP-1", "48.000", "39.936"), length("CP-2", "48.005", "39.941")}, known: true, bounded: true, oneSize: true, advice: AdviceMeasure, inForce: in, s: 0.168},
		{name: "two lengths, each once", pairs: []LengthPair{length("CP-1", "48.000", "39.936"), length("CP-2", "14.400", "11.981")}, known: true, bounded: true, oneSize: true, advice: AdviceMeasure, inForce: in, s: 0.168},
		{name: "sintered larger than green", pairs: []LengthPair{length("CP-1", "48.000", "39.936"), length("CP-2", "39.941", "48.005")}, advice: AdviceMeasure, says: "CP-2 CP40.1 is 39.941 mm green and 48.005 mm sintered: it did not shrink", inForce: in},
		{name: "no factor in force", pairs: []LengthPair{length("CP-1", "48.000", "39.936"), length("CP-2", "48.005", "39.941")}, known: true, bounded: true, oneSize: true, advice: AdvicePropose, s: 0.168},
		{name: "another factor in force", pairs: []LengthPair{length("CP-1", "48.000", "39.936"), length("CP-2", "48.005", "39.9402"), length("CP-3", "48.002", "39.9377")}, known: true, bounded: true, oneSize: true, advice: AdviceChange, inForce: Factor{Seq: 1, K: times("1.2101")}, s: 0.168},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := FitAxis("X", tt.pairs, tt.inForce)
			if f.Known() != tt.known || f.Bounded() != tt.bounded || f.OneLength != tt.oneSize || f.Advice() != tt.advice || !strings.Contains(f.NoNumber+f.NoInterval, tt.says) {
				t.Errorf("%+v, advice %q", f, f.Advice())
			}
			if tt.known && math.Abs(f.S-tt.s) > 2e-4 || !tt.known && !math.IsNaN(f.S) {
				t.Errorf("s is %v; want %v", f.S, tt.s)
			}
		})
	}
}

// Two pieces that were exchanged contradict each other and are named; what was
// not measured at all takes what the other lots say, wider than any of them.
func TestFitAxisNamesWhatIsOdd(t *testing.T) {
	s := map[string]float64{"X": 0.168, "Y": 0.17, "Z": 0.18}
	pairs := lengthsOf("L1", s, 0.01, 0.0002, 3)
	pairs[1].Sintered, pairs[3].Sintered = pairs[3].Sintered, pairs[1].Sintered
	if f := FitAxis("X", pairs, Factor{}); len(f.Crossed) != 2 || f.Pairs[f.Crossed[0]].Piece != "L1-1" || f.Pairs[f.Crossed[1]].Piece != "L1-3" {
		t.Errorf("exchanged: %v are named; want the second and the fourth", f.Crossed)
	}
	others := []LotFit{FitLot("L1", lengthsOf("L1", s, 0.01, 0.0002, 4), nil, noon)}
	s["X"] = 0.170
	others = append(others, FitLot("L2", lengthsOf("L2", s, 0.01, 0.0002, 4), nil, noon))
	fresh := FitLot("L3", nil, nil, noon)
	fresh.Towards(others)
	x := fresh.Axes[0]
	lo, hi, err := x.Untried.Interval(FitConfidence)
	if x.Known() || x.OtherLots != 2 || err != nil || math.Abs(x.Untried.S-0.169) > 5e-4 || lo > 0.168 || hi < 0.170 {
		t.Errorf("not measured: %v from %v to %v by %d lots, %v; want about 0.169 and both lots inside", x.Untried.S, lo, hi, x.OtherLots, err)
	}
}

// The line with the runs in the scatter is less sure where runs differ.
func TestWithRuns(t *testing.T) {
	s := map[string]float64{"X": 0.168, "Y": 0.17, "Z": 0.18}
	f := FitAxis("X", apart(lengthsOf("L1", s, 0, 0.0001, 6), 0.001), Factor{})
	line, by, ok := f.WithRuns()
	if !ok || line.VarF <= 0 || by.Run.Var <= by.Insert.Var || math.Abs(math.Sqrt(by.Run.Var)-0.00055) > 0.0002 {
		t.Errorf("%v: %+v with scatter %+v; want runs that differ by about 0.5 µm/mm", ok, line, by)
	}
	if _, _, ok := FitAxis("X", lengthsOf("L1", s, 0, 0.0001, 2), Factor{}).WithRuns(); ok {
		t.Error("two runs were taken apart")
	}
}

// Readings that happen to agree are no surer than their gauges; of gauges that
// nobody knows, agreement says nothing.
func TestLengthsThatAgree(t *testing.T) {
	alike := func(u float64) []LengthPair {
		var all []LengthPair
		for i := range 4 {
			all = append(all, LengthPair{Piece: fmt.Sprint("CP-", i), Axis: "X", Nominal: mm("40"), KUsed: times("1.2000"), Green: mm("48.000"), Sintered: mm("39.936"), GreenU: u, SinteredU: u, Load: "F1-01", At: noon})
		}
		return all
	}
	f := FitAxis("X", alike(0.004), Factor{Seq: 1, K: times("1.2021")})
	want := math.Sqrt(0.002*0.002+0.832*0.832*0.002*0.002) / 48 / 2 // of the mean of four
	if got := math.Sqrt(f.Line.VarF); math.Abs(got/want-1) > 1e-6 || !f.Bounded() {
		t.Errorf("the standard error is %v; want that of the gauges, %v", got, want)
	}
	if f.Advice() != AdviceMeasure {
		t.Errorf("one run that is 0.1 µm/mm off says %q; want to measure another", f.Advice())
	}
	if f := FitAxis("X", alike(0), Factor{}); f.Bounded() || f.NoInterval == "" || math.Abs(f.S-0.168) > 1e-12 {
		t.Errorf("of unknown gauges: %v to %v (%q)", f.Lo, f.Hi, f.NoInterval)
	}
}

// A lot with two lengths is forecast by the shop's other lots too, less surely.
func TestForecastOfFewLengths(t *testing.T) {
	s := map[string]float64{"X": 0.168, "Y": 0.17, "Z": 0.18}
	few := FitLot("L2509-A", lengthsOf("L2509-A", s, 0, 0.0002, 1), nil, noon)
	if f := piece("48.077", few).Forecasts()[0]; f.ByFit {
		t.Errorf("two lengths alone give a chance: %+v", f)
	}
	few.Towards([]LotFit{FitLot("L1", apart(lengthsOf("L1", s, 0, 0.0001, 5), 0.0002), nil, noon), FitLot("L2", apart(lengthsOf("L2", s, 0, 0.0001, 5), 0.0002), nil, noon), FitLot("L3", apart(lengthsOf("L3", s, 0, 0.0001, 5), 0.0002), nil, noon)})
	f := piece("48.077", few).Forecasts()[0]
	if !f.ByFit || math.Abs(f.Size-40) > 0.02 || !(f.Lo < f.Size && f.Size < f.Hi) || !(f.Chance > 0.5) {
		t.Errorf("pooled: %+v; want about 40 mm with an interval and a chance", f)
	}
	for i := range few.Axes[0].Pairs {
		few.Axes[0].Pairs[i].SinteredU = 0.05
	}
	if g := piece("48.077", few).Forecasts()[0]; !(g.Hi-g.Lo > f.Hi-f.Lo) || !(g.Chance < f.Chance) {
		t.Errorf("by a gauge of ±0.05 mm: %+v; want it less sure than %+v", g, f)
	}
}

// forecastRows are the questions to the gates about green sizes, by gate.
var forecastRows = map[string][]gateRow{
	GreenPredictsGood.Name: {
		{"inside", asIs, nil},
		{"on the upper limit", green("48.137"), nil}, // 48.137 · 0.832 = 40.04998
		{"above it", green("48.138"), []string{"48.138 mm green", "about 40.051 mm", "CR40.1"}},
		{"below the lower", green("48.010"), []string{"about 39.944 mm", "39.950"}},
		{"not measured", func(f *Facts) { f.Greens = nil }, []string{"I-0029 in X was not measured"}},
		{"no factor", func(f *Facts) { f.Factors = nil }, []string{"No factor of lot L2509-A in X"}},
		{"nothing to predict", func(f *Facts) { f.Characteristics, f.Greens = nil, nil }, nil},
		{"coupons alone in a load", func(f *Facts) { f.Insert, f.Greens = Insert{}, nil }, nil},
		{"half of another lot", func(f *Facts) { // 48.081 · (1 − 0.1674) = 40.0322 in its layers
			f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 153}}
			f.Factors = append(f.Factors, factorsOf("L2509-B", "1.2011", "1.2011", "1.2171")...)
			f.Characteristics[0].Upper = mm("40.017")
		}, []string{"about 40.032 mm in the layers of lot L2509-B"}},
	},
}

func green(size string) func(*Facts) {
	return func(f *Facts) { f.Greens = []GreenSize{{Seq: 5, Axis: "X", Size: mm(size)}} }
}

// A step in a part has no green size of its own, so that nothing is foretold of
// it.
func TestWholeLengths(t *testing.T) {
	d := Design{X: mm("40"), Y: mm("30"), Z: mm("25"), Characteristics: []Characteristic{
		{Number: "1", Axis: "X", Kind: Length, Nominal: mm("40")}, {Number: "2", Axis: "Z", Kind: Length, Nominal: mm("12")},
		{Number: "3", Kind: Length, Nominal: mm("8")}, {Number: "4", Axis: "Z", Kind: Length, Nominal: MustReading("2500", "um")}, {Number: "5", Axis: "Z", Kind: Length, Nominal: MustReading("25000", "um")}}}
	got := d.WholeLengths()
	if len(got) != 2 || got[0].Number != "1" || got[1].Number != "5" || len(d.Characteristics) != 5 {
		t.Errorf("%+v are whole lengths; want 1 and 5", got)
	}
}

// scattering is a lot of four runs that scatters by a share of the length.
func scattering(off float64) LotFit {
	return FitLot("L2509-A", lengthsOf("L2509-A", map[string]float64{"X": 0.168, "Y": 0.17, "Z": 0.18}, 0.01, off, 4), nil, noon)
}

// What can be done is only offered where it reaches the chance that is asked.
func TestRemedy(t *testing.T) {
	least := LimitAt(nil, GreenChance, noon)
	with := func(green string, off float64, change func(*Green)) Green {
		g := piece(green, scattering(off))
		if change != nil {
			change(&g)
		}
		return g
	}
	wet := func(g *Green) { g.Wet = "It is still drying." }
	for _, tt := range []struct {
		name       string
		g          Green
		says, hush []string
	}{
		{"at the best size of a lot that scatters", with("48.065", 0.0010, nil), []string{"Lot L2509-A scatters too much for these limits: at 48.06", "the best there is, the chance is 61 %", "Neither shaping it again nor making it anew of the same paste reaches 80 %", "another lot", "deviation permit"}, []string{"gains all the same", "shaped again while", "0.000 mm", "nothing can be put on", "dry it on"}},
		{"too large, of a lot that scatters", with("48.165", 0.0010, nil), []string{"scatters too much", "Shaping it gains all the same: take 0.098 mm off, to 48.067 mm, and the chance is 61 % instead of"}, nil},
		{"too small, of a lot that scatters", with("48.041", 0.0010, nil), []string{"scatters too much"}, []string{"gains all the same", "Measure it again, else make it anew"}},
		{"a lot that could be known better", with("48.065", 0.00068, nil), []string{"More measured runs can: were the shrinkage known exactly, the chance would be 8"}, []string{"hardly help"}},
		{"a lot that pieces differ in", with("48.065", 0.0015, nil), []string{"More measured runs hardly help"}, []string{"known exactly"}},
		{"too large, and wet", with("48.125", 0.0002, wet), []string{"It is still drying. It gets smaller yet: dry it on", "take 0.060 mm off"}, nil},
		{"too small, and wet", with("47.865", 0.0002, wet), []string{"too small already", "Make it anew"}, []string{"drying on does not help"}},
		{"good, and wet", with("48.065", 0.0002, wet), nil, []string{"dry it on"}},
		{"limits on one side of the nominal", with("48.081", 0.0002, func(g *Green) { g.Characteristics[0].Lower = mm("40.010"); g.Characteristics[0].Upper = mm("40.020") }), []string{"at 48.083 mm green, the best there is"}, nil},
		{"the nominal is the only limit", with("48.081", 0.0002, func(g *Green) { g.Characteristics[0].Lower = Reading{}; g.Characteristics[0].Upper = mm("40") }), []string{"The chance is 9"}, []string{"scatters too much"}},
	} {
		f := tt.g.Forecasts()[0]
		said := f.Sentence("I-0029", least)
		for _, words := range tt.says {
			if !strings.Contains(said, words) {
				t.Errorf("%s: %q; want %q", tt.name, said, words)
			}
		}
		for _, words := range tt.hush {
			if strings.Contains(said, words) {
				t.Errorf("%s: %q; want nothing of %q", tt.name, said, words)
			}
		}
	}
}

// Without lengths of the lot, the factor in force says how sure it is.
func TestForecastByFactor(t *testing.T) {
	by := func(n int, low, high string) Forecast {
		g := piece("48.077")
		in := Factor{Seq: 1, Lot: "L2509-A", Axis: "X", S: MustReading("16.80", "%"), K: times("1.2019"), N: n}
		if low != "" {
			in.Low, in.High = MustReading(low, "%"), MustReading(high, "%")
		}
		g.Factors = []Factor{in}
		return g.Forecasts()[0]
	}
	// Nine measurements with an interval of ±0.03 points: t of eight degrees of
	// freedom is 2.306 (testdata/reference/distributions gives its neighbours), the
	// mean is known to 0.0130 points and one piece scatters by 0.0390; 48.077 mm ·
	// √(0.0130² + 0.0390²) % = 0.01977 mm, with the gauge of 0.002 mm 0.01984.
	f := by(9, "16.77", "16.83")
	if half := (f.Hi - f.Lo) / 2; math.Abs(half/(2.306*0.01984)-1) > 0.002 || f.ByFit || f.Unsure != "" || !(f.Chance > 0.94 && f.Chance < 0.98) {
		t.Errorf("by its interval: ±%v, %+v", half, f)
	}
	if wide := by(9, "16.50", "17.10"); wide.Good(80) || !wide.Inside() || !strings.Contains(wide.Sentence("I-0029", LimitAt(nil, GreenChance, noon)), "scatters too much") {
		t.Errorf("a wide interval lets it pass: %+v", wide)
	}
	for want, f := range map[string]Forecast{"has no interval": by(9, "", ""), "one measurement at most": by(1, "16.77", "16.83")} {
		if !math.IsNaN(f.Chance) || !strings.Contains(f.Unsure, want) {
			t.Errorf("%+v; want no chance, since it %s", f, want)
		}
	}
}

// forecasts is how many lots are made up to see how often intervals hold what
// comes: -forecasts 20000 takes a minute or two and tells half a hundredth.
var forecasts = flag.Int("forecasts", 800, "lots that are simulated to see how often the interval of a forecast holds the size")

// TestForecastCoverage: the interval of 95 % holds the size of a piece of a run
// to come, however few runs of its lot were measured, whether other lots say how
// runs differ, and of lengths that differ or are all alike. Runs differ by half
// as much again as the pieces of one do; the fits are given with the uncertainty
// of a line of few runs in them.
func TestForecastCoverage(t *testing.T) {
	apart, alike := []float64{24, 32, 40, 48, 56, 64}, []float64{48, 48, 48, 48}
	for seed, tt := range []struct {
		name    string
		runs    int
		others  bool
		lengths []float64
	}{
		{"one run", 1, true, apart}, {"two runs", 2, true, apart}, {"three runs", 3, true, apart}, {"six runs", 6, true, apart},
		{"three runs of one length", 3, true, alike}, {"six runs of one length", 6, true, alike},
		{"six runs, and no other lot", 6, false, apart}, {"six runs of one length, and no other lot", 6, false, alike},
	} {
		r := rand.New(rand.NewPCG(6, uint64(seed)))
		held, once := 0, 0
		for range *forecasts {
			fit, next := lotToCome(r, tt.runs, tt.lengths)
			x := &fit.Axes[0]
			if tt.others {
				x.OtherRuns, x.OtherInserts = shrink.Part{Var: sq(runSD), DF: 8}, shrink.Part{Var: sq(insertSD), DF: 20}
			}
			if tt.runs < fewRuns {
				x.Line.VarF += sq(runSD) / float64(tt.runs)
			}
			f := piece("48.077", fit).Forecasts()[0]
			if f.Why != "" || f.Unsure != "" {
				t.Fatalf("%s: %s%s", tt.name, f.Why, f.Unsure)
			}
			if f.Lo <= next && next <= f.Hi {
				held++
			}
			if math.Abs(next-f.Size) <= 1.96*48.077*math.Hypot(runSD, insertSD) {
				once++
			}
		}
		n := float64(*forecasts)
		t.Logf("%-42s %.4f; with the next run alone in it %.4f", tt.name, float64(held)/n, float64(once)/n)
		if got := float64(held) / n; got < 0.93-2*math.Sqrt(0.93*0.07/n) || got > 0.995 {
			t.Errorf("%s: the interval of 95 %% held in %.4f", tt.name, got)
		}
	}
}

// What runs, and inserts of a run, differ by in drawn lots, share of the length.
const runSD, insertSD = 0.00030, 0.00020

// lotToCome is the fit of a lot of so many runs along X, and the size that a piece
// of 48.077 mm green has after the next one.
func lotToCome(r *rand.Rand, runs int, lengths []float64) (LotFit, float64) {
	sintered := func(green, shift float64) float64 {
		return green*(1-0.168-shift-insertSD*r.NormFloat64()) + 0.001*r.NormFloat64() + 0.832*0.002*r.NormFloat64()
	}
	read := func(x float64) Reading { return mm(fmt.Sprintf("%.6f", x)) }
	var pairs []LengthPair
	for i := range runs {
		shift := runSD * r.NormFloat64()
		for k, green := range lengths {
			pairs = append(pairs, LengthPair{Piece: fmt.Sprint(i, k), Axis: "X", Nominal: mm("40"), KUsed: times("1.2"), Green: read(green), Sintered: read(sintered(green, shift)), GreenU: 0.004, SinteredU: 0.002, Load: fmt.Sprint("F1-", i), At: noon})
		}
	}
	return FitLot("L2509-A", pairs, nil, noon), sintered(48.077, runSD*r.NormFloat64())
}
