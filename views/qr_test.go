package views

import (
	"bytes"
	"context"
	"fmt"
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

// Every QR code that is drawn is read back by a decoder that was not written
// here.
func TestQRIsRead(t *testing.T) {
	path, err := exec.LookPath("zbarimg")
	if err != nil {
		if os.Getenv("SINTERBOOK_TEST_ALL") != "" {
			t.Fatal("zbarimg is missing: apt-get install zbar-tools")
		}
		t.Skip("zbarimg is missing: apt-get install zbar-tools")
	}
	for _, text := range []string{"HTTPS://SHOP.EXAMPLE/T/A7K3Q0042C", "sinterbook-demo\n2124\nq0yWqJ0n8uZ1oYyyB8c7kX3w3mO8xG6v0m2d4k5l6m8=\n\n— sinterbook-demo AAAAAFb1+bQ0d0\n"} {
		name := filepath.Join(t.TempDir(), "code.png")
		if err := os.WriteFile(name, drawnQR(t, QROf(text)), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.CommandContext(t.Context(), path, "--quiet", "--raw", "-Sbinary", name).Output()
		if err != nil || strings.TrimSuffix(string(out), "\n") != strings.TrimSuffix(text, "\n") {
			t.Errorf("%q is read as %q, %v", text, out, err)
		}
	}
	if q := QROf(strings.Repeat("x", 5000)); q.Size != 0 {
		t.Errorf("5000 letters fit into %d modules", q.Size)
	}
	var out bytes.Buffer
	if err := qrCode("A7K3Q0042C", "a label").Render(context.Background(), &out); err != nil || !strings.Contains(out.String(), "<title>a label</title>") {
		t.Errorf("drawn as %s, %v", out.String(), err)
	}
}

// drawnQR paints the path as a browser does, eight pixels a module.
func drawnQR(t *testing.T, q QR) []byte {
	t.Helper()
	const px = 8
	img := image.NewGray(image.Rect(0, 0, q.Size*px, q.Size*px))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, m := range regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-\d+z`).FindAllStringSubmatch(q.Path, -1) {
		var n [3]int
		for i := range n {
			n[i], _ = strconv.Atoi(m[i+1])
		}
		for y := n[1] * px; y < (n[1]+1)*px; y++ {
			for x := n[0] * px; x < (n[0]+n[2])*px; x++ {
				img.SetGray(x, y, color.Gray{})
			}
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		t.Fatal(fmt.Errorf("painting: %w", err))
	}
	return out.Bytes()
}
