package views

import (
	"fmt"
	"strings"
)

// The picture of a face: a block seen from the front, the right and above, with
// every edge drawn, the hidden ones dashed, and one face filled.

// A corner is one of a block whose edges are 1 long: X to the right, Y away, Z up.
type corner struct{ x, y, z float64 }

// on is where a corner stands in the picture: Y runs up to the right, as depth is
// drawn on a bench sketch.
func (c corner) on() (x, y float64) {
	return 8 + 44*c.x + 24*c.y, 62 - 34*c.z - 18*c.y
}

// cornersOf are the corners of each face, in turn around it.
var cornersOf = map[string][4]corner{
	"base": {{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}},
	"+X":   {{1, 0, 0}, {1, 1, 0}, {1, 1, 1}, {1, 0, 1}},
	"-X":   {{0, 0, 0}, {0, 1, 0}, {0, 1, 1}, {0, 0, 1}},
	"+Y":   {{0, 1, 0}, {1, 1, 0}, {1, 1, 1}, {0, 1, 1}},
	"-Y":   {{0, 0, 0}, {1, 0, 0}, {1, 0, 1}, {0, 0, 1}},
}

// faceOutline is the outline of a face; "" for one that no insert has.
func faceOutline(face string) string {
	corners, ok := cornersOf[face]
	if !ok {
		return ""
	}
	return pathThrough(corners[:]...) + "Z"
}

// seenEdges and hiddenEdges are those of the whole block.
func seenEdges() string {
	return pathThrough(corner{0, 0, 0}, corner{1, 0, 0}, corner{1, 1, 0}, corner{1, 1, 1}, corner{0, 1, 1}, corner{0, 0, 1}, corner{0, 0, 0}) +
		pathThrough(corner{0, 0, 1}, corner{1, 0, 1}, corner{1, 0, 0}) + pathThrough(corner{1, 0, 1}, corner{1, 1, 1})
}

func hiddenEdges() string {
	return pathThrough(corner{0, 0, 0}, corner{0, 1, 0}, corner{1, 1, 0}) + pathThrough(corner{0, 1, 0}, corner{0, 1, 1})
}

func pathThrough(corners ...corner) string {
	var b strings.Builder
	for i, c := range corners {
		x, y := c.on()
		fmt.Fprintf(&b, "%c%g %g", "ML"[min(i, 1)], x, y)
	}
	return b.String()
}
