package views

import (
	"fmt"
	"testing"

	"sinterbook/store/shop"
)

// A column has no more boxes than can be told apart: what is held and where most
// inserts are keep boxes of their own, and no insert is lost from the count.
func TestFlowOfManyPlaces(t *testing.T) {
	var all []shop.Affected
	put := func(n int, place string, held ...string) {
		for range n {
			all = append(all, shop.Affected{Whereabout: shop.Whereabout{Place: place, HeldBy: held}})
		}
	}
	put(1, "first")
	for i := range 30 {
		put(2+i%3, fmt.Sprintf("place %d", i))
	}
	put(1, "last", "H-001")
	boxes := spots(all)
	if len(boxes) != boxesAtMost {
		t.Fatalf("%d boxes; want %d", len(boxes), boxesAtMost)
	}
	sum := 0
	for _, b := range boxes {
		sum += b.N
	}
	if sum != len(all) {
		t.Errorf("the boxes count %d inserts; want %d", sum, len(all))
	}
	if b := boxes[0]; b.Text != "place 2" || b.N != 4 {
		t.Errorf("first box %q with %d; want the first of those with most inserts", b.Text, b.N)
	}
	if b := boxes[boxesAtMost-2]; b.Text != "last" || !b.Held {
		t.Errorf("box before the last %+v; want the place with something held", b)
	}
	if b := boxes[boxesAtMost-1]; b.Text != "21 more places" || b.Href != "#inserts" || b.Held {
		t.Errorf("last box %+v; want the other places", b)
	}
	if n := len(spots(all[:3])); n != 2 {
		t.Errorf("%d boxes for two places", n)
	}
}
