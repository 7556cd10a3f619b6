package views

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"sinterbook/store/outside"
)

// decoders read symbols and were not written here. Without -noscale ZXingReader 1.4.0 stops at its own assertion on
// Code 128.
var decoders = map[string]struct {
	command []string
	from    string
}{
	"zbarimg":     {[]string{"--quiet", "--raw", "-Sbinary"}, "zbar-tools"},
	"dmtxread":    {[]string{"-n"}, "dmtx-utils"},
	"ZXingReader": {[]string{"-noscale", "-bytes"}, "zxing-cpp-tools"},
}

// Every symbol that is drawn is read back by decoders that were not written
// here: ZXingReader reads all of them, zbarimg QR codes and Code 128, dmtxread
// Data Matrix.
func TestSymbolsAreRead(t *testing.T) {
	for _, tt := range []struct {
		name     string
		text     string
		drawn    func(string) Symbol
		decoders []string
	}{
		{"an address in capitals", "HTTPS://SHOP.EXAMPLE/T/A7K3Q0042C", QROf, []string{"zbarimg", "ZXingReader"}},
		{"a signed checkpoint", "sinterbook-demo\n2124\nq0yWqJ0n8uZ1oYyyB8c7kX3w3mO8xG6v0m2d4k5l6m8=\n\n— sinterbook-demo AAAAAFb1+bQ0d0\n", QROf, []string{"zbarimg", "ZXingReader"}},
		{"a scan code for an old scanner", "A7K3Q0042C", BarsOf, []string{"zbarimg", "ZXingReader"}},
		{"digits only", "0123456789", BarsOf, []string{"zbarimg", "ZXingReader"}},
		{"a scan code on a part", "A7K3Q0042C", MatrixOf, []string{"dmtxread", "ZXingReader"}},
		{"a scan code of digits", "0123456789", MatrixOf, []string{"dmtxread", "ZXingReader"}},
	} {
		for _, decoder := range tt.decoders {
			t.Run(tt.name+" by "+decoder, func(t *testing.T) {
				path := outside.Program(t, decoder, decoders[decoder].from)
				name := filepath.Join(t.TempDir(), "code.png")
				if err := os.WriteFile(name, painted(t, tt.drawn(tt.text)), 0o600); err != nil {
					t.Fatal(err)
				}
				out, err := exec.CommandContext(t.Context(), path, append(slices.Clone(decoders[decoder].command), name)...).Output()
				if err != nil || strings.TrimSuffix(string(out), "\n") != strings.TrimSuffix(tt.text, "\n") {
					t.Errorf("%q is read as %q, %v", tt.text, out, err)
				}
			})
		}
	}
}

func TestSymbolsThatCannotBe(t *testing.T) {
	for name, s := range map[string]Symbol{"a long text": QROf(strings.Repeat("x", 5000)), "a letter that is not ASCII": MatrixOf("Mühle"), "a line break": BarsOf("two\nlines"), "another": MatrixOf("two\nlines")} {
		if s != (Symbol{}) {
			t.Errorf("%s is drawn in %d modules", name, s.Width)
		}
	}
	if m := MatrixOf("A7K3Q0042C"); m.Width != 14+4 {
		t.Errorf("a scan code takes %d modules of a Data Matrix; want 14 and the quiet zone", m.Width)
	}
	var out bytes.Buffer
	if err := symbol(QROf("A7K3Q0042C"), "qr", "a label").Render(context.Background(), &out); err != nil || !strings.Contains(out.String(), "<title>a label</title>") {
		t.Errorf("drawn as %s, %v", out.String(), err)
	}
	out.Reset()
	if err := symbol(Symbol{}, "qr", "none").Render(context.Background(), &out); err != nil || out.Len() > 0 {
		t.Errorf("nothing is drawn as %s, %v", out.String(), err)
	}
}

// painted paints the path as a browser does, eight pixels a module.
func painted(t *testing.T, s Symbol) []byte {
	t.Helper()
	const px = 8
	img := image.NewGray(image.Rect(0, 0, s.Width*px, s.Height*px))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, m := range regexp.MustCompile(`M(\d+) (\d+)h(\d+)v(\d+)h-\d+z`).FindAllStringSubmatch(s.Path, -1) {
		var n [4]int
		for i := range n {
			var err error
			if n[i], err = strconv.Atoi(m[i+1]); err != nil {
				t.Fatal(err)
			}
		}
		for y := n[1] * px; y < (n[1]+n[3])*px; y++ {
			for x := n[0] * px; x < (n[0]+n[2])*px; x++ {
				img.SetGray(x, y, color.Gray{})
			}
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
