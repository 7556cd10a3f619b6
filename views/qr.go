package views

import (
	"fmt"
	"image/color"
	"strings"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/qr"
)

// A QR is a QR code (ISO/IEC 18004) as it is drawn: its modules as one path, in
// a square of Size modules, the quiet zone of four included.
type QR struct {
	Path string
	Size int
}

// quietZone is the width of the empty margin that a QR code needs, in modules.
const quietZone = 4

// QROf draws a text. One that no QR code can hold gives none.
func QROf(text string) QR {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return QR{}
	}
	return QR{Path: modules(code), Size: code.Bounds().Dx() + 2*quietZone}
}

// modules draws the dark modules of a code, each run of a row at once.
func modules(code barcode.Barcode) string {
	var d strings.Builder
	bounds := code.Bounds()
	for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
		for x := bounds.Min.X; x < bounds.Max.X; x++ {
			from := x
			for x < bounds.Max.X && code.At(x, y) == color.Black {
				x++
			}
			if x > from {
				fmt.Fprintf(&d, "M%d %dh%dv1h-%dz", from+quietZone, y+quietZone, x-from, x-from)
			}
		}
	}
	return d.String()
}

// ViewBox is its square.
func (q QR) ViewBox() string { return fmt.Sprintf("0 0 %d %d", q.Size, q.Size) }
