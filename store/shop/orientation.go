package shop

import (
	"regexp"
	"strings"
)

// turned is the way in which an orientation says how the part stands in the
// machine: which axis of its drawing points up, and which lies along which axis
// of the machine.
var turned = regexp.MustCompile(`(?i)^\s*[+-]?([XYZ])\s+up(?:\s*,\s*[+-]?([XYZ])\s+along\s+(?:the\s+)?(?:machine(?:'s)?\s+)?([XY]))?\s*$`)

// BuildAxes says which axis of the build each axis of the drawing lies along,
// by an orientation such as "+Z up, X along the machine X"; false for words
// that do not say so. Shrinkage belongs to the axes of the build: a part that
// was turned is small in another direction of its drawing (trade.md section 3).
//
// "+Z up" alone leaves the part as it is drawn. Where another axis is up, which
// of the other two lies along the machine's X must be said.
func BuildAxes(orientation string) (of map[string]string, ok bool) {
	m := turned.FindStringSubmatch(orientation)
	if m == nil {
		return nil, false
	}
	up, along, machine := strings.ToUpper(m[1]), strings.ToUpper(m[2]), strings.ToUpper(m[3])
	switch {
	case along == "" && up == "Z":
		along, machine = "X", "X"
	case along == "" || along == up:
		return nil, false
	}
	other := map[string]string{"X": "Y", "Y": "X"}[machine]
	of = map[string]string{up: "Z", along: machine}
	for _, axis := range Axes {
		if of[axis] == "" {
			of[axis] = other
		}
	}
	return of, true
}

// BuildAxis is the axis of the build along which an axis of the drawing lay;
// "" where the orientation does not say.
func BuildAxis(orientation, drawing string) string {
	of, _ := BuildAxes(orientation)
	return of[drawing]
}
