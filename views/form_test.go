package views

import (
	"slices"
	"testing"
)

func TestWrongFields(t *testing.T) {
	f := Form{Sent: []string{"site", "zone", "pin", "pin_again"}, Wrong: map[string]string{"pin_again": "2", "zone": "1", "boxes": "3", "": "0", "a": "4"}}
	if got := f.WrongFields(); !slices.Equal(got, []string{"", "zone", "pin_again", "a", "boxes"}) {
		t.Errorf("%q; want the whole form, then the fields as they stand, then what was not sent", got)
	}
}
