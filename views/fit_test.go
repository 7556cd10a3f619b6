package views

import (
	"slices"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// The faces read back as they were typed, decimals below each other, and with
// a unit each where they have several.
func TestFaceRows(t *testing.T) {
	mm := func(text string) shop.Reading { return read(text, "mm") }
	for _, tt := range []struct {
		name string
		fit  shop.FitNote
		unit string
		want []FaceRow
	}{
		{"nothing but the shim", shop.FitNote{Shim: read("10", "um")}, "µm", []FaceRow{{Face: "base", Shim: "10"}}},
		{"decimals", shop.FitNote{Shim: mm("0"), Faces: []shop.Face{{Face: "base", Removed: mm("0.5")}, {Face: "+X", Removed: mm("0.025"), Added: mm("0,35")}, {Face: "-Y", Removed: mm("1")}}}, "mm",
			[]FaceRow{{"base", "0.5  ", "", "0"}, {"+X", "0.025", "0,35", ""}, {"-Y", "1    ", "", ""}}},
		{"the base's own shim", shop.FitNote{Shim: mm("0.1"), Faces: []shop.Face{{Face: "base", Shim: mm("0.10")}}}, "mm", []FaceRow{{Face: "base", Shim: "0.10"}}},
		{"two units", shop.FitNote{Shim: read("10", "um"), Faces: []shop.Face{{Face: "+X", Removed: mm("0.02")}}}, "", []FaceRow{{Face: "base", Shim: "10 µm"}, {Face: "+X", Removed: "0.02 mm"}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := FaceRows(tt.fit)
			for i, r := range got {
				for _, figure := range []*string{&r.Removed, &r.Added, &r.Shim} {
					*figure = strings.ReplaceAll(*figure, noBreak, " ")
					if strings.TrimSpace(*figure) == "" {
						*figure = ""
					}
				}
				got[i] = r
			}
			if unit := FaceUnit(tt.fit); unit != tt.unit || !slices.Equal(got, tt.want) {
				t.Errorf("in %q the faces are\n%q\nwant in %q\n%q", unit, got, tt.unit, tt.want)
			}
		})
	}
}

// Every face that can be named has a picture of its own.
func TestFacesHavePictures(t *testing.T) {
	seen := map[string]string{}
	for _, face := range shop.Faces {
		outline := faceOutline(face)
		if outline == "" || faceWords(face) == "" || seen[outline] != "" {
			t.Errorf("the face %s is drawn %q, as %q, and called %q", face, outline, seen[outline], faceWords(face))
		}
		seen[outline] = face
	}
	if faceOutline("top") != "" {
		t.Error("there is a picture of no face")
	}
}
