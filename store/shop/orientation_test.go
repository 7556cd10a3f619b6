package shop

import (
	"maps"
	"testing"
)

// Definition: the build's Z is the direction in which layers are stacked (ISO
// 17295, from memory).
func TestBuildAxes(t *testing.T) {
	for _, tt := range []struct {
		name, orientation string
		want              map[string]string
	}{
		{"as drawn", "+Z up, X along the machine X", map[string]string{"X": "X", "Y": "Y", "Z": "Z"}},
		{"as drawn, short", "Z up", map[string]string{"X": "X", "Y": "Y", "Z": "Z"}},
		{"upside down", "-Z up, X along the machine X", map[string]string{"X": "X", "Y": "Y", "Z": "Z"}},
		{"a quarter turn about Z", "+Z up, Y along the machine X", map[string]string{"X": "Y", "Y": "X", "Z": "Z"}},
		{"on its side", "+X up, Y along the machine X", map[string]string{"X": "Z", "Y": "X", "Z": "Y"}},
		{"on its end, small letters", "y up, -x along machine Y", map[string]string{"X": "Y", "Y": "Z", "Z": "X"}},
		{"on its side, and nothing said of the rest", "+X up", nil},
		{"one axis twice", "+X up, X along the machine X", nil},
		{"other words", "base on the plate", nil},
		{"nothing", "", nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, ok := BuildAxes(tt.orientation)
			if !maps.Equal(got, tt.want) || ok != (tt.want != nil) {
				t.Errorf("BuildAxes(%q) = %v, %v; want %v", tt.orientation, got, ok, tt.want)
			}
		})
	}
}
