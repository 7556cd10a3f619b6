package views

import (
	"fmt"
	"image/color"
	"strings"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/datamatrix"
	"github.com/boombuler/barcode/qr"
)

// A Symbol is a code as it is drawn: its dark modules as one path in a box of
// Width by Height modules, with the quiet zone that its standard asks for. The
// zero Symbol draws nothing.
type Symbol struct {
	Path          string
	Width, Height int
}

// bars is how high a Code 128 is drawn, in modules.
const bars = 40

// QROf is a text as a QR code (ISO/IEC 18004, level M, quiet zone 4 modules).
// One that no QR code can hold gives none.
func QROf(text string) Symbol {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return Symbol{}
	}
	return drawn(code, 4, 4, 1)
}

// MatrixOf is a text as a Data Matrix (ISO/IEC 16022, quiet zone 2 modules). It
// takes ASCII only, and gives none for other text.
func MatrixOf(text string) Symbol {
	code, err := datamatrix.Encode(text)
	if err != nil || !ascii(text) {
		return Symbol{}
	}
	return drawn(code, 2, 2, 1)
}

// BarsOf is a text as a Code 128 (ISO/IEC 15417, quiet zone 10 modules at both
// ends). It takes ASCII only.
func BarsOf(text string) Symbol {
	code, err := code128.Encode(text)
	if err != nil || !ascii(text) {
		return Symbol{}
	}
	return drawn(code, 10, 0, bars)
}

func ascii(text string) bool {
	return !strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r > '~' })
}

// drawn draws the dark modules of a code, each run of a row at once; a row is
// high modules high.
func drawn(code barcode.Barcode, side, above, high int) Symbol {
	var d strings.Builder
	bounds := code.Bounds()
	for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
		for x := bounds.Min.X; x < bounds.Max.X; x++ {
			from := x
			for x < bounds.Max.X && code.At(x, y) == color.Black {
				x++
			}
			if x > from {
				fmt.Fprintf(&d, "M%d %dh%dv%dh-%dz", from+side, y*high+above, x-from, high, x-from)
			}
		}
	}
	return Symbol{Path: d.String(), Width: bounds.Dx() + 2*side, Height: bounds.Dy()*high + 2*above}
}

// ViewBox is its box.
func (s Symbol) ViewBox() string { return fmt.Sprintf("0 0 %d %d", s.Width, s.Height) }

// fits is how it takes the box it is given (the words of SVG's
// preserveAspectRatio): Code 128 fills it, the others keep their square.
func (s Symbol) fits() string {
	if s.Width > s.Height {
		return "none"
	}
	return "xMidYMid"
}
