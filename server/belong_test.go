package server

import (
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// What was scanned and does not belong to the insert is not ticked off, and the
// sentence about it says what helps.
func TestWhatDoesNotBelongIsNotTicked(t *testing.T) {
	t.Parallel()
	s := scans(t)
	s.put("101", shop.LotReceived{Lot: "L2511-C", Material: "HT44", MadeOn: "2025-09-13", ExpiresOn: "2026-12-01", OpenLifeDays: 10, Code: shop.NewScanCode()})
	box := shop.ContainerReceived{Container: "L2511-C/01", Lot: "L2511-C", Mass: readingOf("2500", "g"), Code: shop.NewScanCode()}
	s.put("204", box)
	s.put("204", shop.ContainerOpened{Container: box.Container})
	chip := func(what, word string) {
		t.Helper()
		for _, n := range elements(s.page.doc, "li") {
			if strings.Contains(wordsIn(n), what) && len(elements(n, "svg")) > 0 {
				if got := strings.Contains(wordsIn(n), "does not belong here"); got != (word == "stopped") || !strings.Contains(markupOf(n), word) {
					t.Errorf("%s: %s", what, markupOf(n))
				}
				return
			}
		}
		t.Errorf("%s is not among what was scanned: %s", what, s.page.text())
	}
	other := strings.Repeat("ab", 32)
	s.scan(s.code["I-0029"]).scan(s.code["PL-01"]).scan(other)
	chip("Plate or tray", "done")
	chip("Program", "stopped")
	s.scan(testProgram)
	chip("Program", "done")
	s.scan(s.code["START"], printedBy...).reads("Print of I-0029 started at")
	s.scan(string(box.Code)).reads("Container L2511-C/01 is of lot L2511-C", "Clears it: a container of that lot, or a change of lot signed by the process engineer.")
	chip("Container", "stopped")
	s.scan(s.code["L2509-A/01"])
	chip("Container", "done")
}
