package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

func TestTraceCommand(t *testing.T) {
	t.Parallel()
	o, _ := built(t, demoOptions{})
	book := filepath.Join(o.data, demoBook)
	var lot shop.TraceAnswer
	if err := json.Unmarshal([]byte(must(t, "trace", "L2509-A", "--json", "--db", book)), &lot); err != nil {
		t.Fatal(err)
	}
	var inserts []string
	for _, d := range lot.Downstream {
		if d.Kind == "insert" {
			inserts = append(inserts, d.Code)
		}
		if d.Code == "I-0026" && (d.Share != 0.6 || d.Where != "M306 in the toolroom") {
			t.Errorf("I-0026 is %+v; want 0.6 of it in M306", d)
		}
	}
	if want := "I-0013 I-0015 I-0016 I-0017 I-0019 I-0021 I-0024 I-0026 I-0030"; strings.Join(inserts, " ") != want || lot.Kind != "lot" || lot.Code != "L2509-A" {
		t.Errorf("%s %s touched %v; want %s", lot.Kind, lot.Code, inserts, want)
	}
	var insert shop.TraceAnswer
	if err := json.Unmarshal([]byte(must(t, "trace", "I-0026", "--json", "--db", book)), &insert); err != nil {
		t.Fatal(err)
	}
	for _, want := range []shop.TraceThing{{Kind: "lot", Code: "L2509-A"}, {Kind: "lot", Code: "L2509-B"}, {Kind: "container", Code: "L2509-B/02"}, {Kind: "load", Code: "F1-05"}, {Kind: "position", Code: "F1 M1"}, {Kind: "sensor", Code: "F1-TC2"}, {Kind: "controller", Code: "P1 4.2.1"}, {Kind: "person", Code: "204"}} {
		found := false
		for _, u := range insert.Upstream {
			found = found || u == want
		}
		if !found {
			t.Errorf("%v is not upstream of I-0026: %v", want, insert.Upstream)
		}
	}
	said := must(t, "trace", "M-12", "--since", "good", "--db", book)
	if !strings.Contains(said, "Inserts made: 6 = 0 delivered + 3 in stock + 3 in work + 0 scrapped") {
		t.Errorf("since its last good check it says\n%s", said)
	}
	if said := must(t, "trace", "L2509-A/03", "--layers", "1-10", "--db", book); !strings.Contains(said, "I-0026") {
		t.Errorf("layers 1 to 10 are in\n%s", said)
	}
	if said := must(t, "trace", "L2509-B/02", "--layers", "1-10", "--db", book); strings.Contains(said, "I-0026") {
		t.Errorf("layers 1 to 10 are in\n%s", said)
	}
	for _, tt := range []struct {
		why  string
		code int
		args []string
	}{
		{"Nothing in this book is called I-9999.", codeNo, []string{"I-9999"}},
		{"say a day instead", codeNo, []string{"L2509-A", "--since", "good"}},
		{"--since takes a day", codeMisuse, []string{"L2509-A", "--since", "last week"}},
		{"--layers takes", codeMisuse, []string{"L2509-A", "--layers", "20-10"}},
		{"Layers narrow", codeNo, []string{"F1-05", "--layers", "1-10"}},
	} {
		if got := ran(t, append([]string{"trace", "--db", book}, tt.args...)...); got.code != tt.code || !strings.Contains(got.err, tt.why) || got.out != "" {
			t.Errorf("trace %v: %+v; want %d, %q", tt.args, got, tt.code, tt.why)
		}
	}
}
