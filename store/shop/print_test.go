package shop

import (
	"errors"
	"strings"
	"testing"
)

// TestLayerGaps finds the layers that no run covers, in whatever order the runs
// were recorded and however they overlap.
func TestLayerGaps(t *testing.T) {
	for _, tt := range []struct {
		name string
		runs []LayerRun
		last int
		want string
	}{
		{"nothing", nil, 304, "layers 1 to 304"},
		{"all at once", []LayerRun{{1, 304}}, 304, ""},
		{"in pieces, not in order", []LayerRun{{101, 304}, {1, 100}}, 304, ""},
		{"one overlaps another", []LayerRun{{1, 200}, {50, 100}, {201, 304}}, 304, ""},
		{"the first ones", []LayerRun{{11, 304}}, 304, "layers 1 to 10"},
		{"one in between", []LayerRun{{1, 99}, {101, 304}}, 304, "layer 100"},
		{"the last ones", []LayerRun{{1, 300}}, 304, "layers 301 to 304"},
		{"the last one", []LayerRun{{1, 303}}, 304, "layer 304"},
		{"two", []LayerRun{{2, 3}, {6, 7}}, 7, "layer 1, layers 4 to 5"},
		{"beyond where it ended", []LayerRun{{1, 96}, {200, 304}}, 96, ""},
		{"it ended in a gap", []LayerRun{{1, 50}, {100, 304}}, 96, "layers 51 to 96"},
	} {
		var got []string
		for _, g := range LayerGaps(tt.runs, tt.last) {
			got = append(got, g.String())
		}
		if said := strings.Join(got, ", "); said != tt.want {
			t.Errorf("%s: missing %q; want %q", tt.name, said, tt.want)
		}
	}
}

func TestMorePrintedThanDrawn(t *testing.T) {
	for _, tt := range []struct {
		printed string
		draws   []LayerDraw
		says    string
	}{
		{"100.0", drawn(1, 304), ""},
		{"0.1", drawn(1, 304), ""},
		{"100.1", drawn(1, 304), "100.1 g were printed, and only 100 g were drawn"},
		{"200.0", drawn(1, 100, 101, 304), ""},
		{"254.3", nil, ""},
	} {
		err := PrintFinished{Insert: "I-0029", LayersDone: 304, Printed: grams(tt.printed)}.MorePrintedThanDrawn(tt.draws)
		no, _ := errors.AsType[*Invalid](err)
		if tt.says == "" && err != nil || tt.says != "" && (no == nil || !strings.Contains(no.Fields["printed"], tt.says)) {
			t.Errorf("%s g of %g g: %v; want %q", tt.printed, DrawnMass(tt.draws), err, tt.says)
		}
	}
}

// printRows are the questions to the gates about prints, by gate.
var printRows = map[string][]gateRow{
	LayersDrawnOnce.Name: {
		{"the first draw", draws("1", ""), nil},
		{"asked about another act", func(f *Facts) { f.Draws = drawn(1, 304) }, nil},
		{"the layers that come next", func(f *Facts) {
			draws("1", "")(f)
			f.Draws = drawn(6, 100)
		}, nil},
		{"one layer of them", func(f *Facts) {
			draws("1", "")(f)
			f.Draws = drawn(5, 100)
		}, []string{"Paste for layer 5 of I-0029", "100.0 g from L2509-A/03 for layers 5 to 100, by 205"}},
		{"all of them, in the second draw", func(f *Facts) {
			draws("1", "")(f)
			f.Draws = drawn(200, 304, 1, 100)
		}, []string{"Paste for layers 1 to 5 of I-0029"}},
	},
	PrintedAsDrawn.Name: {
		{"asked about another act", asIs, nil},
		{"what shaping leaves", ends("261.0", 1, 100, 101, 200, 201, 304), nil},
		{"just enough", ends("70.0", 1, 304), nil},
		{"a tenth of a gram less", ends("69.9", 1, 304), []string{"69.9 g were printed of 100 g drawn for I-0029", "70 %"}},
		{"nothing drawn: the records say so", ends("50.0"), nil},
	},
	MachineFree.Name: {
		{"free", asIs, nil},
		{"asked about another act", func(f *Facts) {
			draws("1", "")(f)
			f.OnMachine = "I-0030"
		}, nil},
		{"another print is on it", func(f *Facts) { f.OnMachine = "I-0030" }, []string{"P1 is printing I-0030", "finished first"}},
	},
}

func prints(change func(*PrintStarted)) func(*Facts) {
	return func(f *Facts) {
		e := f.Event.(PrintStarted)
		change(&e)
		f.Event = e
	}
}

// drawn are draws of an insert that stand, of 100 g each.
func drawn(runs ...int) []LayerDraw {
	var all []LayerDraw
	for i := 0; i < len(runs); i += 2 {
		all = append(all, LayerDraw{LayerRun: LayerRun{runs[i], runs[i+1]}, Container: "L2509-A/03", Drawn: grams("100.0"), By: "205"})
	}
	return all
}

// ends is the end of a print with a mass on the plate.
func ends(mass string, draws ...int) func(*Facts) {
	return func(f *Facts) {
		f.Event, f.Phase, f.Draws = PrintFinished{Insert: "I-0029", LayersDone: 304, Printed: grams(mass)}, End, drawn(draws...)
	}
}
