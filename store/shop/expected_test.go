package shop

import (
	"math"
	"testing"
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

// expectedRows are the questions to the gates about masses that look wrong, by gate.
var expectedRows = map[string][]gateRow{
	DrawAsExpected.Name: {
		{"as it should be", drawsOf("280.0", 400, "30"), nil},
		{"at the limit", drawsOf("210", 400, "30"), nil}, // 300 layers of 400: 300 g
		{"nobody knows the volume", drawsOf("2", 0, "30"), nil},
		{"the layers are not known", func(f *Facts) {
			f.Event, f.Expected = PasteDrawn{Container: "L2509-A/03", Drawn: grams("2")}, Expected{Whole: 400}.Of(0, 0, 400)
		}, nil},
		{"asked about another act", asIs, nil},
		{"one layer", func(f *Facts) {
			drawsOf("9", 400, "30")(f)
			f.Event = PasteDrawn{Container: "L2509-A/03", Insert: "I-0029", FromLayer: 5, ToLayer: 5, Drawn: grams("9")}
			f.Expected = f.Expected.Of(5, 5, 400)
		}, []string{"Layer 5 of I-0029 should take about 1.0 g"}},
		{"far too little", drawsOf("209.9", 400, "30"), []string{"Layers 1 to 300", "I-0029", "about 300.0 g", "209.9 g was drawn", "30 %", "common practice"}},
		{"far too much", drawsOf("391", 400, "30"), []string{"about 300.0 g", "391 g"}},
		{"half as much again as the last ones", func(f *Facts) {
			drawsOf("450", 400, "30")(f)
			f.Expected.Inserts, f.Expected.SD, f.Expected.Low, f.Expected.High = 14, 5, 390, 408
		}, []string{"about 300.0 g: the last 14 CR40 took 400.0 g in the mean (390.0 to 408.0 g) for all layers; 450 g was drawn", "30 %"}},
		{"of a design that takes now more and now less", func(f *Facts) {
			drawsOf("450", 400, "30")(f)
			f.Expected.Inserts, f.Expected.SD = 14, 67
		}, nil},
		{"kilograms typed as grams", drawsOf("0.301", 400, "30"), []string{"kilograms typed as grams", "0.301 kg are 301 g"}},
		{"grams typed as kilograms", func(f *Facts) {
			drawsOf("300", 400, "30")(f)
			e := f.Event.(PasteDrawn)
			e.Drawn = MustReading("300", "kg")
			f.Event = e
		}, []string{"300 kg was drawn", "grams typed as kilograms"}},
	},
	WeighingAsExpected.Name: {
		{"what the records say", weighs("1250.0"), nil},
		{"a little less", weighs("1240"), nil},
		{"less than the limit", weighs("1239.9"), []string{"should hold 1250.0 g", "1239.9 g is 10.1 g less", "draw, a purge or waste was not recorded", "10 g"}},
		{"a little more", weighs("1260"), nil},
		{"empty, of half a container", weighs("0"), []string{"0 g is 1250.0 g less"}},
		{"empty, as its records say", func(f *Facts) { weighsAgain("0", 9.9)(f); f.Container.Left = 9.9 }, nil},
		{"a little less, for the second time", weighsAgain("1245", 1256), []string{"5.0 g less; with what was unexplained before it is 11.0 g less", "not recorded"}},
		{"a little more after a little less", weighsAgain("1255", 1259), nil},
		{"a little less after much that was asked about", weighsAgain("1245", 1300), nil},
		{"asked about another act", asIs, nil},
		{"more than the limit", weighs("1260.1"), []string{"L2509-A/03", "should hold 1250.0 g", "10.1 g more", "right container", "10 g"}},
		{"more than came in it", weighs("2500"), []string{"came with 2499.8 g", "2500 g is more", "right unit"}},
		{"kilograms typed as grams", weighs("1.25"), []string{"kilograms typed as grams", "1250 g"}},
		{"received like the others", receives("2500"), nil},
		{"the first of its lot", func(f *Facts) { receives("2.5")(f); f.Container.In = 0 }, nil},
		{"received in the wrong unit", receives("2.5"), []string{"lot L2509-A", "2499.8 g in the mean", "2.5 kg are 2500 g"}},
		{"grams typed as kilograms", func(f *Facts) {
			weighs("0")(f)
			f.Event = ContainerWeighed{Container: "L2509-A/03", Left: MustReading("1250", "kg")}
		}, []string{"grams typed as kilograms", "1250 g"}},
	},
}

// drawsOf draws so much for 300 layers of 400, of a piece that should take so
// much in all.
func drawsOf(g string, whole float64, limit string) func(*Facts) {
	return func(f *Facts) {
		f.Event = PasteDrawn{Container: "L2509-A/03", Insert: "I-0029", FromLayer: 1, ToLayer: 300, Drawn: grams(g)}
		f.Expected = Expected{Whole: whole}.Of(1, 300, 400)
		f.Limit = Limit{Limit: DrawOff, Value: MustReading(limit, "%"), Basis: commonPractice}
	}
}

// weighs weighs a container that holds 1250 g by its records.
func weighs(g string) func(*Facts) { return weighsAgain(g, 1250) }

// weighsAgain weighs it where it should hold so much with no weighing counted.
func weighsAgain(g string, book float64) func(*Facts) {
	return func(f *Facts) {
		f.Book = book
		f.Event = ContainerWeighed{Container: "L2509-A/03", Left: grams(g)}
		f.Container.In, f.Container.Left = 2499.8, 1250
		f.Limit = LimitAt(nil, UnexplainedMass, f.At)
	}
}

// receives takes in a container of a lot whose others came with 2499.8 g.
func receives(g string) func(*Facts) {
	return func(f *Facts) {
		f.Event = ContainerReceived{Container: "L2509-A/04", Lot: "L2509-A", Mass: grams(g)}
		f.Container.In = 2499.8
	}
}
