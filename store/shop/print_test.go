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
