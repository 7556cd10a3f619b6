package server

import (
	"net/http"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"sinterbook/store/outside"
)

// Labels are laid out as they are asked for; what cannot be printed is said,
// with what was typed.
func TestLabels(t *testing.T) {
	b := crammed(t)
	b.get("204", "/labels").says(http.StatusOK, "Which labels").silent("person")
	p := b.get("204", "/labels?kind=container&symbol=bars&layout=letter-30").says(http.StatusOK, "L2509-A/01", "L2509-A/02")
	if n := strings.Count(p.raw, `role="img" aria-label="Code of container`); n != 2 {
		t.Errorf("%d codes are drawn; want 2", n)
	}
	for box, notes := range map[string][]string{"L2509-A/01": {"HT44", "opened 2025-10-20", "last day 2025-11-"}, "L2509-A/02": {"HT44", "opened ____-__-__", "last day 2026-", "open for 30 days"}} {
		b.get("204", "/labels?kind=container&symbol=qr&layout=a4-24&numbers="+box).says(http.StatusOK, notes...)
	}
	b.get("601", "/labels?kind=person&symbol=qr&layout=a4-24&numbers=402").says(http.StatusOK, "402")
	for path, why := range map[string]string{
		"/labels?kind=person": "There is no label for a person.", "/labels?kind=container&numbers=L2509-A/01%0AL9/09": "There is no container L9/09 in this book.",
		"/labels?kind=container&skip=many": "is not how many labels of the sheet are used up", "/labels?kind=dragon": "There is no label for a dragon.",
	} {
		b.get("204", path).says(http.StatusUnprocessableEntity, why).silent("As they are printed")
	}
}

// zxing reads all three symbologies, many on a sheet. Without -noscale version
// 1.4.0 stops at its own assertion on Code 128.
var zxing = []string{"ZXingReader", "-noscale", "-1"}

// textsOf are the texts that a decoder read. ZXingReader has one on a line, in
// quotes behind the file and the symbology.
func textsOf(decoder, out string) []string {
	if decoder != zxing[0] {
		return strings.Fields(out)
	}
	var texts []string
	for line := range strings.Lines(out) {
		_, text, _ := strings.Cut(line, `"`)
		texts = append(texts, strings.TrimSuffix(strings.TrimSpace(text), `"`))
	}
	return texts
}

// drawn are the pages of a PDF as pictures of 300 dots per inch, or a part of
// each.
func drawn(t *testing.T, pdf string, part ...string) []string {
	t.Helper()
	dir := t.TempDir()
	args := append(append([]string{"-r", "300", "-png"}, part...), pdf, filepath.Join(dir, "sheet"))
	if out, err := exec.CommandContext(t.Context(), "pdftoppm", args...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	pages, err := filepath.Glob(filepath.Join(dir, "sheet*.png"))
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

// labelOf65 cuts a label of the first row, counted from 0, off a sheet of 65:
// ZXingReader finds no Data Matrix that is small in a large picture.
func labelOf65(n int) []string {
	dots := func(mm float64) string { return strconv.Itoa(int(mm / 25.4 * 300)) }
	return []string{"-x", dots(9.7 + 38.1*float64(n)), "-y", dots(10.7), "-W", dots(38.1), "-H", dots(21.2)}
}

// barsSmallest is the width and the height in mm of the smallest bar of the
// labels on the page.
func barsSmallest(a *tab) (width, height float64) {
	a.TB.Helper()
	smallest := step(a, "measuring bars", chromedp.Evaluate[[]float64](`["width", "height"].map(side => Math.min(...Array.from(document.querySelectorAll(".label .symbol"), s =>
		s.getBoundingClientRect()[side] / (side == "width" ? s.viewBox.baseVal.width : 1) * 25.4 / 96)))`))
	return smallest[0], smallest[1]
}

// Every label of a printed sheet is read back by outside decoders, and says the
// thing that is written under it.
func TestLabelsOnPaper(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	outside.Program(t, "pdftoppm", "poppler-utils")
	b := crammed(t)
	at := b.serve()
	a := newTab(t, chromium(t), at.URL)
	b.keyed("204")
	a.open("/").fields("Badge", "204", "Password", rightPassword).press("Sign in")
	codes, err := b.store.CodesOf(t.Context(), "container", nil, 10)
	if err != nil || len(codes) != 2 {
		t.Fatalf("%d containers, %v", len(codes), err)
	}
	zbar, dmtx := []string{"zbarimg", "--quiet", "--raw"}, []string{"dmtxread", "-n", "-m", "20000"}
	for _, tt := range []struct {
		symbol, layout string
		decoder        []string
		from           string
	}{
		{"qr", "a4-24", zbar, "zbar-tools"}, {"bars", "letter-30", zbar, "zbar-tools"}, {"bars", "a4-65", zbar, "zbar-tools"}, {"matrix", "a4-65", dmtx, "dmtx-utils"}, {"matrix", "single-50", dmtx, "dmtx-utils"}, {"bars", "single-100", zbar, "zbar-tools"},
		{"qr", "a4-24", zxing, "zxing-cpp-tools"}, {"bars", "letter-30", zxing, "zxing-cpp-tools"}, {"matrix", "a4-65", zxing, "zxing-cpp-tools"}, {"matrix", "single-50", zxing, "zxing-cpp-tools"},
	} {
		t.Run(tt.symbol+" on "+tt.layout+" by "+tt.decoder[0], func(t *testing.T) {
			outside.Program(t, tt.decoder[0], tt.from)
			a.TB = t
			a.open("/labels?kind=container&skip=1&symbol=" + tt.symbol + "&layout=" + tt.layout)
			if tt.symbol == "bars" {
				// What hand scanners read (common practice, no source).
				if w, h := barsSmallest(a); w < .19 || h < 4.99 {
					t.Errorf("the smallest bar is %.2f mm wide and %.1f mm high; want at least 0.19 and 5", w, h)
				}
			}
			pdf := pdfOf(t, a, []chromedp.PDFOption{chromedp.PDFPreferCSSPageSize()})
			sheets := drawn(t, pdf)
			if tt.symbol == "matrix" && tt.layout == "a4-65" && tt.from == "zxing-cpp-tools" {
				sheets = append(drawn(t, pdf, labelOf65(1)...), drawn(t, pdf, labelOf65(2)...)...)
			}
			var read []string
			for _, sheet := range sheets {
				out, err := exec.CommandContext(t.Context(), tt.decoder[0], append(slices.Clone(tt.decoder[1:]), sheet)...).Output()
				if err != nil {
					t.Errorf("%s reads nothing: %v", tt.decoder[0], err)
				}
				read = append(read, textsOf(tt.decoder[0], string(out))...)
			}
			slices.Sort(read)
			var want []string
			for _, c := range codes {
				if tt.symbol == "qr" {
					want = append(want, strings.ToUpper(at.URL+"/t/"+string(c.Code)))
				} else {
					want = append(want, string(c.Code))
				}
			}
			slices.Sort(want)
			if !slices.Equal(read, want) {
				t.Errorf("read are %q; want %q", read, want)
			}
		})
	}
	a.TB = t
	a.quiet("the labels' tab")
}
