package shop_test

import (
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

// Labels that one outside program drew and another read are understood as they
// come from a scanner: the identifier of the symbology, then the text with its
// separators.
func TestLabelsThatOthersDrew(t *testing.T) {
	t.Parallel()
	zint, zxing := outside.Program(t, "zint", "zint"), outside.Program(t, "ZXingReader", "zxing-cpp-tools")
	const elements = "lot A20; last day of use 2027-03-31; article 09521234567899"
	for _, tt := range []struct {
		name, aim string
		args      []string
		want      string
	}{
		{"GS1 DataMatrix", "]d2", []string{"-b", "71", "--gs1", "-d", "[01]09521234567899[10]A20[17]270331"}, elements},
		{"GS1-128", "]C1", []string{"-b", "16", "-d", "[01]09521234567899[10]A20[17]270331"}, elements},
		{"GS1 QR", "]Q3", []string{"-b", "58", "--gs1", "-d", "[01]09521234567899[17]270300[10]A20"}, elements},
		{"data identifiers in a Data Matrix", "]d1", []string{"-b", "71", "--esc", "-d", `[)>\R06\G1TA20\G7Q500GR\GSJ-0031\R\E`}, "lot A20; serial number J-0031; quantity 500 g"},
		{"data identifiers in a QR code", "]Q1", []string{"-b", "58", "--esc", "-d", `[)>\R06\G1TA20\G14D20270331\R\E`}, "lot A20; last day of use 2027-03-31"},
		{"a link in a QR code", "]Q1", []string{"-b", "58", "-d", "https://label.example/01/09521234567899/10/A20?17=270331"}, elements},
	} {
		t.Run(tt.name, func(t *testing.T) {
			name := filepath.Join(t.TempDir(), "label.png")
			if out, err := exec.CommandContext(t.Context(), zint, append([]string{"-o", name, "-w", "8", "--vwhitesp=8", "--scale=4"}, tt.args...)...).CombinedOutput(); err != nil {
				t.Fatalf("zint: %v: %s", err, out)
			}
			text, err := exec.CommandContext(t.Context(), zxing, "-noscale", "-bytes", name).Output()
			if err != nil {
				t.Fatalf("ZXingReader reads nothing: %v", err)
			}
			about, err := exec.CommandContext(t.Context(), zxing, "-noscale", name).Output()
			if err != nil {
				t.Fatal(err)
			}
			aim := regexp.MustCompile(`Identifier: (\S+)`).FindSubmatch(about)
			if aim == nil || string(aim[1]) != tt.aim {
				t.Fatalf("the identifier is %q; want %q: %s", aim, tt.aim, about)
			}
			l, err := shop.ReadMakerLabel(tt.aim+string(text)+"\r", "2026-11-26")
			var said []string
			for _, f := range l.Fields() {
				said = append(said, f.What+" "+f.Text)
			}
			if got := strings.Join(said, "; "); err != nil || got != tt.want {
				t.Errorf("%q is read as %q, %v; want %q", text, got, err, tt.want)
			}
		})
	}
}
