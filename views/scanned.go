package views

import (
	"strconv"
	"strings"

	"sinterbook/store/shop"
)

// Scanned says of an entry what was read off a label, and the text where a
// scanner added something to it.
func (r HistoryRow) Scanned() string {
	var said []string
	for _, s := range r.Scans {
		kind, number := shop.SubjectParts(s.Is)
		words := kind + " " + shortened(number)
		if text, _ := shop.Unwrapped(s.Raw); text != s.Raw || kind == "job" {
			words += ", as " + strconv.Quote(s.Raw)
		}
		said = append(said, words)
	}
	return "Scanned: " + strings.Join(said, ", ") + "."
}
