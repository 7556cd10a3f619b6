package views

import (
	"math"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// Every green reading keeps its limits, and says what became of it; a chance is
// never called certain, and none is made up.
func TestGreenList(t *testing.T) {
	mm := func(text string) shop.Reading { return read(text, "mm") }
	x := shop.Characteristic{Number: "CR40.1", Axis: "X", Kind: shop.Length, Nominal: mm("40"), Lower: mm("39.950"), Upper: mm("40.050")}
	sizes := []shop.GreenSize{{Seq: 3, Axis: "X", Size: mm("48.20"), CorrectedBy: 4}, {Seq: 4, Axis: "X", Size: mm("48.12")}, {Seq: 5, Axis: "Y", Size: mm("36.0")}, {Seq: 9, Axis: "X", Size: mm("48.06")}}
	told := func(chance float64, size float64, why, unsure string) shop.Forecast {
		f := shop.Forecast{Of: x, Axis: "X", Green: sizes[3], Size: size, Chance: chance, Best: chance, Lo: size - 0.02, Hi: size + 0.02, Why: why, Unsure: unsure}
		if math.IsNaN(chance) {
			f.Lo, f.Hi = chance, chance
		}
		return f
	}
	for _, tt := range []struct {
		name, state, mark string
		f                 []shop.Forecast
		stops             int // 1 yes, 0 said without, -1 nothing is said
	}{
		{"as asked", "likely right (81 %)", "done", []shop.Forecast{told(0.819, 40, "", "")}, -1},
		{"too little, inside", "not sure enough (79 %)", "stopped", []shop.Forecast{told(0.799, 40, "", "")}, 1},
		{"outside", "likely wrong (below 1 %)", "stopped", []shop.Forecast{told(0.001, 40.1, "", "")}, 1},
		{"nobody knows a chance", "inside, chance not known", "todo", []shop.Forecast{told(math.NaN(), 40, "", "The factor has no interval.")}, 0},
		{"nor that, outside", "outside, chance not known", "stopped", []shop.Forecast{told(math.NaN(), 40.1, "", "The factor has no interval.")}, 1},
		{"no factor at all", "not known", "todo", []shop.Forecast{told(math.NaN(), math.NaN(), "No factor is in force.", "")}, 1},
		{"sintered", "", "", nil, -1},
	} {
		p := Traveler{Design: shop.Design{X: mm("40"), Y: mm("30"), Z: mm("25"), Characteristics: []shop.Characteristic{x}}, Greens: sizes, Forecasts: tt.f, LeastChance: shop.FirstLimits[2]}
		rows := p.GreenList().Rows
		if got := rows[3].Cells[4]; got.Text != tt.state || got.Mark != tt.mark || rows[3].Past || rows[3].Stopped != (tt.mark == "stopped") {
			t.Errorf("%s: %q, %q; want %q", tt.name, got.Text, got.Mark, tt.state)
		}
		for i, want := range []string{"replaced", "measured again", ""} {
			limits := map[bool]string{true: "39.950 to 40.050 mm", false: "no limits"}[i < 2]
			if got := rows[i].Cells; got[4].Text != want || strings.ReplaceAll(got[3].Text, noBreak, " ") != limits || rows[i].Past != (want != "") {
				t.Errorf("%s, row %d: %q with %q; want %q with %q", tt.name, i, got[4].Text, got[3].Text, want, limits)
			}
		}
		stops, notes := p.ForecastWords()
		if (len(stops) == 1) != (tt.stops == 1) || (len(notes) == 1) != (tt.stops == 0) {
			t.Errorf("%s: it stops by %q and says %q", tt.name, stops, notes)
		}
		if tt.stops == 0 && !strings.Contains(notes[0], "no interval") {
			t.Errorf("%s: it says %q; want why", tt.name, notes)
		}
	}
	p := Traveler{Design: shop.Design{X: mm("40")}, Greens: sizes[3:], Forecasts: []shop.Forecast{told(0.9, 40, "", "")}, LeastChance: shop.FirstLimits[2]}
	if got := strings.ReplaceAll(p.GreenList().Rows[0].Cells[2].Text, noBreak, " "); got != "40.000 ± 0.020" {
		t.Errorf("it becomes %q", got)
	}
}
