package server

import (
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"sinterbook/store/shop"
)

// A no stands in a line above the box for scans, and leads to where it is said
// in full.
func TestNoIsSaidAboveTheBox(t *testing.T) {
	t.Parallel()
	s := scans(t)
	above := func(want string) {
		t.Helper()
		var lines []*html.Node
		for _, n := range elements(s.page.doc, "p") {
			if attrOf(n, "class") == "no-above" {
				lines = append(lines, n)
			}
		}
		if want == "" {
			if len(lines) != 0 {
				t.Errorf("%s says %q above the box", s.path, wordsIn(lines[0]))
			}
			return
		}
		if len(lines) != 1 || !strings.Contains(wordsIn(lines[0]), want) || attrOf(lines[0], "role") != "alert" {
			t.Fatalf("%s does not say %q above the box: %s", s.path, want, s.page.text())
		}
		if strings.Index(s.page.raw, `class="no-above"`) > strings.Index(s.page.raw, "data-scan") {
			t.Error("the line stands below the box")
		}
		to, found := strings.TrimPrefix(attrOf(elements(lines[0], "a")[0], "href"), "#"), 0
		for _, n := range elements(s.page.doc, "section") {
			if attrOf(n, "id") == to {
				found++
			}
		}
		if found != 1 {
			t.Errorf("the line leads to %q, of which there are %d", to, found)
		}
	}
	s.scan(s.code["I-0029"]).scan(s.code["PL-01"]).scan(testProgram)
	above("")
	s.scan(s.code["RECORD"])
	above("4 things to put right. ")
	s.scan(s.code["RECORD"], append(slices.Clone(printedBy), "kz", "1.2181")...)
	above("Stopped: The oversize in Z on the machine is 1.2181")
	s.put("601", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0030", Why: "being looked at"})
	s.open("/station").scan(s.code["I-0030"])
	above("Stopped: I-0030 is held by 601")
}
