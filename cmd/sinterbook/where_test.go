package main

import (
	"encoding/json"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

func TestWhere(t *testing.T) {
	t.Parallel()
	o, _ := built(t, demoOptions{})
	book := filepath.Join(o.data, demoBook)
	var one shop.Whereabout
	if err := json.Unmarshal([]byte(must(t, "where", "I-0037", "--json", "--db", book)), &one); err != nil {
		t.Fatal(err)
	}
	want := shop.Whereabout{Code: "I-0037", Part: "CR40", Status: "inspected, in quarantine", Operation: "fit-up", Place: "NC-005", Since: "2025-11-14T08:58:00+01:00", HeldBy: []string{"H-003"}, Customer: "K2"}
	if !reflect.DeepEqual(one, want) {
		t.Errorf("where says %+v; want %+v", one, want)
	}
	if said := must(t, "where", "--db", book, "i-0001"); !strings.Contains(said, "M301 at K1 since 2025-10-08") {
		t.Errorf("in words it says\n%s", said)
	}
	var all []shop.Whereabout
	if err := json.Unmarshal([]byte(must(t, "floor", "--json", "--db", book)), &all); err != nil {
		t.Fatal(err)
	}
	if len(all) != 41 || all[0].Code != "I-0001" || all[40].Status != "scrapped" || all[40].HeldBy == nil {
		t.Errorf("%d inserts, the first %+v, the last %+v; want 41, scrapped ones too", len(all), all[0], all[len(all)-1])
	}
	if lines := strings.Count(must(t, "floor", "--db", book), "\n"); lines != 42 {
		t.Errorf("in words there are %d lines; want 41 and their heading", lines)
	}
	for code, why := range map[string]string{"I-9999": "Nothing in this book is called I-9999.", "L2509-A": "L2509-A is a lot, not an insert.", "10ABCDEF90": "has a wrong character"} {
		if got := ran(t, "where", code, "--db", book); got.code != codeNo || !strings.Contains(got.err, why) || got.out != "" {
			t.Errorf("where %s: %+v; want %q", code, got, why)
		}
	}
}
