package main

import (
	"encoding/json"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// The numbers are those of store/scenario/demo/expected.json, which were
// computed outside of this project.
func TestLot(t *testing.T) {
	t.Parallel()
	o, _ := built(t, demoOptions{})
	book := filepath.Join(o.data, demoBook)
	var a lotAnswer
	said := must(t, "lot", "L2509-A", "--json", "--db", book)
	if err := json.Unmarshal([]byte(said), &a); err != nil {
		t.Fatal(err)
	}
	z := a.Axes["z"]
	for _, f := range []struct {
		name      string
		got, want float64
	}{{"s", *z.S, 0.18376}, {"lo", *z.Lo, 0.18308}, {"hi", *z.Hi, 0.18443}, {"k", *z.K, 1 / (1 - 0.18376)}, {"in_force_k", *z.InForce, 1.2188}} {
		if math.Abs(f.got-f.want) > 1e-5 {
			t.Errorf("%s in Z is %v; want %v", f.name, f.got, f.want)
		}
	}
	if z.N != 14 || z.Advice != "change" || a.Axes["x"].Advice != "keep" || a.Axes["y"].Advice != "keep" {
		t.Errorf("Z has %d lengths and the advice %q, X %q and Y %q; want 14, change, keep, keep", z.N, z.Advice, a.Axes["x"].Advice, a.Axes["y"].Advice)
	}
	if want := (lotBalance{In: 9999.8, Used: 4440.1, Waste: 3055.9, Left: 2503.8}); a.Balance != want {
		t.Errorf("the balance is %+v; want %+v", a.Balance, want)
	}
	for _, lot := range []string{"L2508-B", "L2511-A"} { // one with a loss, one that is new
		var of lotAnswer
		if err := json.Unmarshal([]byte(must(t, "lot", lot, "--json", "--db", book)), &of); err != nil {
			t.Fatal(err)
		}
		b := of.Balance
		if sum := b.Used + b.Waste + b.Returned + b.Left + b.Unexplained; math.Abs(sum-b.In) > 1e-6 {
			t.Errorf("the balance of %s adds up to %v of %v g", lot, sum, b.In)
		}
	}
	shares := map[string]float64{}
	for _, i := range a.Inserts {
		shares[i.Code] = i.Share
	}
	if len(shares) != 9 || shares["I-0026"] != 0.6 || shares["I-0013"] != 1 || a.Inserts[0].Code != "I-0013" || a.State != "released" || a.Code != "L2509-A" {
		t.Errorf("%s is %s, of inserts %v", a.Code, a.State, a.Inserts)
	}
	words := strings.Join(strings.Fields(must(t, "lot", "--db", book, "L2511-A")), " ")
	if !strings.Contains(words, "Z 0.1791 0.1778 0.1804 1.2182 4 1.2182 keep") || !strings.Contains(words, "7252.4") {
		t.Errorf("in words it says\n%s", words)
	}
	var few lotAnswer // of one run: the pieces alone are much surer than what the runs leave
	if err := json.Unmarshal([]byte(must(t, "lot", "L2511-A", "--json", "--db", book)), &few); err != nil {
		t.Fatal(err)
	}
	if z := few.Axes["z"]; !z.ThroughOrigin || math.Abs(*z.S-0.17912) > 1e-5 || *z.HiRuns-*z.LoRuns < 1.5*(*z.Hi-*z.Lo) || a.Axes["z"].ThroughOrigin {
		t.Errorf("L2511-A in Z: %+v; want a line through the origin, 0.17912, and more with the runs", z)
	}
	for code, why := range map[string]string{"L9999-A": "Nothing in this book is called L9999-A.", "I-0001": "I-0001 is an insert, not a lot."} {
		if got := ran(t, "lot", code, "--db", book); got.code != codeNo || !strings.Contains(got.err, why) || got.out != "" {
			t.Errorf("lot %s: %+v; want %q", code, got, why)
		}
	}
}

// What no length says is null, and nothing is invented for it.
func TestAnswerWithoutLengths(t *testing.T) {
	said, err := json.Marshal(answerOfAxis(shop.FitAxis("Z", nil, shop.Factor{})))
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"s":null,"lo":null,"hi":null,"k":null,"n":0,"in_force_k":null,"advice":"measure","lo_runs":null,"hi_runs":null}`; string(said) != want {
		t.Errorf("of no lengths it says %s; want %s", said, want)
	}
}
