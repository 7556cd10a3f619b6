package server

import (
	"net/http"
	"os/exec"
	"path/filepath"
	"slices"
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
	b.get("601", "/labels?kind=person&symbol=qr&layout=a4-24&numbers=402").says(http.StatusOK, "402")
	for path, why := range map[string]string{
		"/labels?kind=person": "There is no label for a person.", "/labels?kind=container&numbers=L2509-A/01%0AL9/09": "There is no container L9/09 in this book.",
		"/labels?kind=container&skip=many": "is not how many labels of the sheet are used up", "/labels?kind=dragon": "There is no label for a dragon.",
	} {
		b.get("204", path).says(http.StatusUnprocessableEntity, why).silent("As they are printed")
	}
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
	for _, tt := range []struct {
		symbol, layout string
		decoder        []string
		from           string
	}{
		{"qr", "a4-24", []string{"zbarimg", "--quiet", "--raw"}, "zbar-tools"}, {"bars", "letter-30", []string{"zbarimg", "--quiet", "--raw"}, "zbar-tools"},
		{"matrix", "a4-65", []string{"dmtxread", "-n", "-m", "20000"}, "dmtx-utils"}, {"matrix", "single-50", []string{"dmtxread", "-n", "-m", "20000"}, "dmtx-utils"}, {"bars", "single-100", []string{"zbarimg", "--quiet", "--raw"}, "zbar-tools"},
	} {
		t.Run(tt.symbol+" on "+tt.layout, func(t *testing.T) {
			outside.Program(t, tt.decoder[0], tt.from)
			a.TB = t
			a.open("/labels?kind=container&skip=1&symbol=" + tt.symbol + "&layout=" + tt.layout)
			dir := t.TempDir()
			pdf := pdfOf(t, a, []chromedp.PDFOption{chromedp.PDFPreferCSSPageSize()})
			if out, err := exec.CommandContext(t.Context(), "pdftoppm", "-r", "300", "-png", pdf, filepath.Join(dir, "sheet")).CombinedOutput(); err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			sheets, err := filepath.Glob(filepath.Join(dir, "sheet*.png"))
			if err != nil {
				t.Fatal(err)
			}
			var read []string
			for _, sheet := range sheets {
				out, err := exec.CommandContext(t.Context(), tt.decoder[0], append(slices.Clone(tt.decoder[1:]), sheet)...).Output()
				if err != nil {
					t.Errorf("%s reads nothing: %v", tt.decoder[0], err)
				}
				read = append(read, strings.Fields(string(out))...)
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
