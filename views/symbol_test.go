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
	"strconv"
	"strings"
	"testing"
)

// program is the path of a decoder, or the test is skipped.
func program(t *testing.T, name, from string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("SINTERBOOK_TEST_ALL") != "" {
		t.Fatalf("%s is missing: apt-get install %s", name, from)
	}
	t.Skipf("%s is missing: apt-get install %s", name, from)
	return ""
}

// Every symbol that is drawn is read back by a decoder that was not written
// here: zbarimg reads QR codes and Code 128, dmtxread Data Matrix.
func TestSymbolsAreRead(t *testing.T) {
	for _, tt := range []struct {
		name    string
		text    string
		drawn   func(string) Symbol
		decoder []string
		from    string
	}{
		{"an address in capitals", "HTTPS://SHOP.EXAMPLE/T/A7K3Q0042C", QROf, []string{"zbarimg", "--quiet", "--raw", "-Sbinary"}, "zbar-tools"},
		{"a signed checkpoint", "sinterbook-demo\n2124\nq0yWqJ0n8uZ1oYyyB8c7kX3w3mO8xG6v0m2d4k5l6m8=\n\n— sinterbook-demo AAAAAFb1+bQ0d0\n", QROf, []string{"zbarimg", "--quiet", "--raw", "-Sbinary"}, "zbar-tools"},
		{"a scan code for an old scanner", "A7K3Q0042C", BarsOf, []string{"zbarimg", "--quiet", "--raw"}, "zbar-tools"},
		{"digits only", "0123456789", BarsOf, []string{"zbarimg", "--quiet", "--raw"}, "zbar-tools"},
		{"a scan code on a part", "A7K3Q0042C", MatrixOf, []string{"dmtxread", "-n"}, "dmtx-utils"},
		{"a scan code of digits", "0123456789", MatrixOf, []string{"dmtxread", "-n"}, "dmtx-utils"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			path := program(t, tt.decoder[0], tt.from)
			name := filepath.Join(t.TempDir(), "code.png")
			if err := os.WriteFile(name, painted(t, tt.drawn(tt.text)), 0o600); err != nil {
				t.Fatal(err)
			}
			out, err := exec.CommandContext(t.Context(), path, append(tt.decoder[1:], name)...).Output()
			if err != nil || strings.TrimSuffix(string(out), "\n") != strings.TrimSuffix(tt.text, "\n") {
				t.Errorf("%q is read as %q, %v", tt.text, out, err)
			}
		})
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
