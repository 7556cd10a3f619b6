package shop

import (
	"strings"
	"testing"
	"time"
)

// TestLacks: a plan is held against the way in which its coupons are built: by
// the releases of the lot, and by the design while there is none.
func TestLacks(t *testing.T) {
	bar := Design{Design: "CP40", Revision: "B", Orientation: "+Z up", Characteristics: []Characteristic{
		{Number: "1", Axis: "X", Kind: Length, Nominal: mm("40")}, {Number: "2", Axis: "X", Kind: Length, Nominal: mm("20")},
		{Number: "3", Axis: "Y", Kind: Length, Nominal: mm("12")}, {Number: "4", Axis: "Y", Kind: Length, Nominal: mm("12.5")},
		{Number: "5", Kind: Hardness}}}
	built := func(orientation string) Release {
		return Release{Release: "DR-01 " + orientation, Design: "CP40", Revision: "B", Lot: "L2509-A", Orientation: orientation}
	}
	gone := built("+X up, Y along the machine X")
	gone.SupersededBy, gone.SupersededAt = "DR-02 A", noon.Add(-time.Hour)
	of := func(change func(*Release)) Release {
		r := built("+X up, Y along the machine X")
		change(&r)
		return r
	}
	const noZ, noX = "CP40 B has no length along Z of the build", "CP40 B has no length along X of the build"
	for _, tt := range []struct {
		name     string
		axes     string
		releases []Release
		says     []string
		silent   []string
	}{
		{"no release yet: as it is drawn", "X Y Z", nil, []string{noZ, "Along Y the coupons have one length only"}, []string{noX, "Along X"}},
		{"turned on its end", "X Y Z", []Release{built("+X up, Y along the machine X")}, []string{"Along X the coupons have one length only", "CP40 B has no length along Y of the build"}, []string{noZ, "Along Z", noX}},
		{"some lie and some stand", "X Y Z", []Release{built("+Z up"), built("+X up, Y along the machine Y")}, []string{"Along Y the coupons have one length only"}, []string{noZ, noX, "Along X"}},
		{"a release that is superseded", "X Y Z", []Release{gone}, []string{noZ}, []string{noX}},
		{"a release of another lot", "X Y Z", []Release{of(func(r *Release) { r.Lot = "L2509-B" })}, []string{noZ}, []string{noX}},
		{"a release of which the lot takes over later", "X Y Z", []Release{of(func(r *Release) { r.Lot, r.Further = "L2509-B", []LayerLot{{"L2509-A", 50}} })}, []string{"no length along Y"}, []string{noZ}},
		{"a release of another revision", "X Y Z", []Release{of(func(r *Release) { r.Revision = "A" })}, []string{noZ}, []string{noX}},
		{"words that do not say how", "X Y Z", []Release{built("flat")}, []string{`The coupons are built "flat"`, "Their lengths will count along none.", noX, noZ}, []string{"one length only"}},
		{"X only", "X", nil, []string{"Nothing is planned along Y: a factor in Y will rest on no measurement.", "Nothing is planned along Z"}, []string{noZ, "one length only"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q := Qualification{Lot: "L2509-A", Coupons: 4, Design: "CP40", Revision: "B", Axes: strings.Fields(tt.axes)}
			said := strings.Join(q.Lacks(bar, tt.releases, noon), " ")
			whole(t, said)
			says(t, said, tt.says)
			for _, word := range tt.silent {
				if strings.Contains(said, word) {
					t.Errorf("%q says %q", said, word)
				}
			}
		})
	}
}
