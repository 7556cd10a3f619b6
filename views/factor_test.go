package views

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// However many releases are left behind, the sentence stays short enough to be
// told.
func TestLeftBehindIsShort(t *testing.T) {
	at := time.Date(2025, 11, 21, 8, 0, 0, 0, time.UTC)
	var touched []TouchedRelease
	for i := range 30 {
		r := shop.Release{Release: fmt.Sprintf("DR-%02d A", i+1), Signatures: []shop.Signature{{By: "101", At: at}, {By: "601", At: at}}}
		touched = append(touched, TouchedRelease{Release: r, Shifts: []shop.Shift{{Lot: "L1", Axis: "X", Beyond: true}}})
	}
	if said := LeftBehind(touched, at); !strings.Contains(said, "DR-01 A, DR-02 A, DR-03 A and 27 more") {
		t.Errorf("it says %q", said)
	}
}
