package scenario

import (
	"fmt"
	"testing"
)

func TestPairsTry(t *testing.T) {
	st := loaded(t)
	for _, lot := range []string{"L2508-A", "L2509-A", "L2511-A"} {
		p, err := st.LengthPairs(t.Context(), lot)
		if err != nil {
			t.Fatal(err)
		}
		n := map[string]int{}
		for _, x := range p {
			n[x.Axis]++
		}
		fmt.Println(lot, n)
		fmt.Printf("%+v\n", p[0])
	}
}
