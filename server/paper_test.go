package server

import (
	"encoding/xml"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// upright is the paper of the two parts of the world.
var upright = []struct {
	name    string
	options []chromedp.PDFOption
}{
	{"A4", []chromedp.PDFOption{chromedp.PDFPaper(chromedp.PaperA4)}},
	{"Letter", []chromedp.PDFOption{chromedp.PDFPaper(chromedp.PaperLetter)}},
}

// TestPagesOnPaper prints what a shop hands out, and holds the paper against
// the screen: every word is on it, none lies over another or off the sheet, and
// nothing is there that only a screen can do.
func TestPagesOnPaper(t *testing.T) {
	t.Parallel()
	outside.Program(t, "pdftotext", "poppler-utils")
	chromiumPath(t)
	b := crammed(t)
	server := b.serve()
	w := newTab(t, chromium(t), server.URL)
	b.at(w, "900", "")
	for _, page := range []struct {
		path         string
		sheets, most int
		values       []string
	}{
		{"/history/insert/I-0029?print=1", 2, 4, []string{"The traveler of I-0029 was opened", "oversize X 1.2019, Y 1.2019, Z 1.2180", "280.5 g", "208.5 g", "digits swapped", "254.82 g", "232.85 g", "8.62 %", "F2-05", "place T1",
			"39.969 mm", "39.696 mm", "48.2 HRC", "30.012 mm", "24.990 mm", "shim 20 µm", "85 %", "DN-7", "Signed by 601", "entries about this insert"}},
		{"/inserts/I-0029?print=1", 1, 4, []string{"CR40 core, revision B", "O-1", "DR-02 A", "280.5 g", "254.82", "232.85", "F2-05", "39.969", "39.950", "40.050", "48.2", "HRC", "M301", "C2", "20 µm", "hard"}},
		{"/lots/L2509-A", 2, 5, []string{"L2509-A", "HT44 paste", "Factors, newest first", "1.2019", "1.2180", "Maker's certificate", "I-0029", "DR-02 A"}},
		{"/lots/L2509-A/account", 1, 3, []string{"L2509-A", "Came in", "L2509-A/01", "I-0029", "280.5"}},
		{"/loads/F2-05?print=1", 1, 2, []string{"F2-05", "F2", "SR-1340 C", "I-0029", "I-0030", "I-0031", "T1", "T2", "M1", "311"}},
	} {
		for _, paper := range upright {
			t.Run(strings.Trim(strings.ReplaceAll(page.path, "/", " "), " ")+" "+paper.name, func(t *testing.T) {
				w := &tab{TB: t, ctx: w.ctx, at: w.at, complaints: w.complaints}
				wanted := w.open(page.path).onPaper()
				file := pdfOf(t, w, paper.options)
				sheets := sheetsOf(t, file)
				if len(sheets) < page.sheets || len(sheets) > page.most {
					t.Errorf("%d sheets; want %d to %d", len(sheets), page.sheets, page.most)
				}
				text := onOneLine(strings.Join(sheets, " "))
				for _, value := range page.values {
					if !strings.Contains(text, value) && missingWords(strings.Fields(value), sheets) != nil {
						t.Errorf("%q is not on paper", value)
					}
				}
				for i, sheet := range sheets {
					if want := fmt.Sprintf("page %d of %d", i+1, len(sheets)); !strings.Contains(sheet, want) {
						t.Errorf("sheet %d does not say %q", i+1, want)
					}
				}
				if missing := missingWords(wanted, sheets); missing != nil {
					t.Errorf("of the page these words are not on paper: %q", missing)
				}
				for _, screen := range []string{"Sign out", "Skip to", "Floor", "Holds", "Orders", "Print ", "Dark", "Light", "History ·", "It happened earlier", "Back to"} {
					if strings.Contains(text, screen) {
						t.Errorf("on paper stands %q, which only a screen can do", screen)
					}
				}
				laidOut(t, file)
			})
		}
	}
}

// onPaper lists the words of a page as it would be printed.
func (w *tab) onPaper() []string {
	w.Helper()
	call(w, "taking paper", emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	w.look(viewport{"a sheet of A4 between its margins", 680, 960})
	for _, said := range script[[]string](w, "parted") {
		w.Errorf("on paper %s", said)
	}
	words := script[[]string](w, "wordsOnPaper")
	w.look(viewports[0])
	call(w, "leaving paper", emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{})
	return words
}

// paperOf prints what a tab shows and reads the text of each sheet.
func paperOf(t testing.TB, w *tab, options []chromedp.PDFOption) []string {
	t.Helper()
	outside.Program(t, "pdftotext", "poppler-utils")
	return sheetsOf(t, pdfOf(t, w, options))
}

func pdfOf(t testing.TB, w *tab, options []chromedp.PDFOption) (file string) {
	t.Helper()
	dir := os.Getenv("SINTERBOOK_TEST_SHOTS")
	if dir == "" {
		dir = t.TempDir()
	}
	file = filepath.Join(dir, strings.NewReplacer("/", "_", "?", "_", "#", "_").Replace(t.Name())+".pdf")
	if err := os.WriteFile(file, step(w, "printing", chromedp.PrintToPDF(options...)), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func sheetsOf(t testing.TB, file string) []string {
	t.Helper()
	text, err := exec.CommandContext(t.Context(), "pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
}

// missingWords lists the words that are not on paper as often as they should
// be. A long word may be broken at the end of its line.
func missingWords(want []string, sheets []string) []string {
	printed := map[string]int{}
	for _, word := range strings.Fields(strings.Join(sheets, " ")) {
		printed[word]++
	}
	squeezed := strings.Join(strings.Fields(strings.Join(sheets, "")), "")
	wanted := map[string]int{}
	for _, word := range want {
		wanted[word]++
	}
	var missing []string
	for word, n := range wanted {
		if printed[word] < n && strings.Count(squeezed, word) < n && !brokenOn(word, printed) {
			missing = append(missing, fmt.Sprintf("%s (%d of %d)", word, printed[word], n))
		}
	}
	return missing
}

// brokenOn reports whether a long word stands on paper in two pieces.
func brokenOn(word string, printed map[string]int) bool {
	for i := 8; i < len(word); i++ {
		if printed[word[:i]] > 0 && (printed[word[i:]] > 0 || brokenOn(word[i:], printed)) {
			return true
		}
	}
	return false
}

// A sheetOfWords is a sheet as pdftotext -bbox draws it, in points.
type sheetOfWords struct {
	Width  float64 `xml:"width,attr"`
	Height float64 `xml:"height,attr"`
	Words  []struct {
		XMin float64 `xml:"xMin,attr"`
		YMin float64 `xml:"yMin,attr"`
		XMax float64 `xml:"xMax,attr"`
		YMax float64 `xml:"yMax,attr"`
		Text string  `xml:",chardata"`
	} `xml:"word"`
}

// wordsOfSheets says where each word of a PDF stands.
func wordsOfSheets(t *testing.T, file string) []sheetOfWords {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), "pdftotext", "-bbox", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Sheets []sheetOfWords `xml:"body>doc>page"`
	}
	if err := xml.Unmarshal(out, &doc); err != nil || len(doc.Sheets) == 0 {
		t.Fatalf("reading where the words are: %d sheets, %v", len(doc.Sheets), err)
	}
	return doc.Sheets
}

// laidOut fails the test where a word lies outside of the printable part of its
// sheet, or over another.
func laidOut(t *testing.T, file string) {
	t.Helper()
	const edge = 6 * 72 / 25.4 // what printers cannot reach, 6 mm
	for n, s := range wordsOfSheets(t, file) {
		for i, a := range s.Words {
			if a.XMin < edge || a.YMin < edge || a.XMax > s.Width-edge || a.YMax > s.Height-edge {
				t.Errorf("sheet %d: %q is off the paper", n+1, a.Text)
			}
			for _, b := range s.Words[i+1:] {
				wide, high := min(a.XMax, b.XMax)-max(a.XMin, b.XMin), min(a.YMax, b.YMax)-max(a.YMin, b.YMin)
				if wide > 1 && high > 0.4*min(a.YMax-a.YMin, b.YMax-b.YMin) {
					t.Errorf("sheet %d: %q lies over %q", n+1, a.Text, b.Text)
				}
			}
		}
	}
}

// The sheet that hangs on a part under way is one sheet with its code, what
// comes next, the cautions and lines for notes, on both papers.
func TestTravelerSheetToHangOnThePart(t *testing.T) {
	t.Parallel()
	outside.Program(t, "pdftotext", "poppler-utils")
	chromiumPath(t)
	b := staffed(t)
	b.opened("I-0031", "CR40")
	server := b.serve()
	w := newTab(t, chromium(t), server.URL)
	b.at(w, "900", "")
	code := b.codeOf("I-0031")
	sheet := b.get("900", "/inserts/I-0031?print=1").says(http.StatusOK)
	address := b.server.siteOf(httptest.NewRequest(http.MethodGet, "/", nil)) + "/t/" + code
	if !strings.Contains(sheet.raw, views.QROf(strings.ToUpper(address)).Path) {
		t.Errorf("the sheet has no QR code of %s", strings.ToUpper(address))
	}
	for _, paper := range upright {
		t.Run(paper.name, func(t *testing.T) {
			w := &tab{TB: t, ctx: w.ctx, at: w.at, complaints: w.complaints}
			w.open("/inserts/I-0031?print=1")
			file := pdfOf(t, w, paper.options)
			sheets := sheetsOf(t, file)
			text := onOneLine(sheets[0])
			for _, want := range []string{"I-0031", "CR40 core, revision B", shop.ScanCode(code).Grouped(), "Next: Print, dry, shape", "DR-02 A", "M301", "Take care now", "Dry paste dust can burn", "come first", "Notes by hand"} {
				if !strings.Contains(text, want) {
					t.Errorf("the first sheet does not say %q: %s", want, text)
				}
			}
			laidOut(t, file)
		})
	}
}

// headWord is the largest of the words on a file's sheets that say the same, as
// the title of a card is, and its sheet.
func headWord(sheets []sheetOfWords, text string) (sheet int, x, y float64) {
	high := 0.0
	for n, s := range sheets {
		for _, w := range s.Words {
			if w.Text == text && w.YMax-w.YMin > high {
				sheet, x, y, high = n, w.XMin, w.YMin, w.YMax-w.YMin
			}
		}
	}
	return sheet, x, y
}

// The action cards are printed two in a row, each whole with its code, and every
// code is read back from its sheet exactly once.
func TestCardsOnPaper(t *testing.T) {
	t.Parallel()
	outside.Program(t, "pdftotext", "poppler-utils")
	outside.Program(t, "pdftoppm", "poppler-utils")
	outside.Program(t, "zbarimg", "zbar-tools")
	outside.Program(t, "ZXingReader", "zxing-cpp-tools")
	chromiumPath(t)
	b := staffed(t)
	server := b.serve()
	w := newTab(t, chromium(t), server.URL)
	b.at(w, "204", "")
	for _, paper := range upright {
		t.Run(paper.name, func(t *testing.T) {
			w := &tab{TB: t, ctx: w.ctx, at: w.at, complaints: w.complaints}
			wanted := w.open("/cards").onPaper()
			file := pdfOf(t, w, paper.options)
			sheets, words := sheetsOf(t, file), wordsOfSheets(t, file)
			if len(sheets) != 1 {
				t.Errorf("%d sheets; want the cards and how a shift goes by them on one", len(sheets))
			}
			if missing := missingWords(wanted, sheets); missing != nil {
				t.Errorf("not on paper: %q", missing)
			}
			for _, screen := range []string{"Sign out", "Skip to", "Floor", "Holds", "Orders", "Dark", "Light"} {
				if strings.Contains(onOneLine(strings.Join(sheets, " ")), screen) {
					t.Errorf("on paper stands %q, which only a screen can do", screen)
				}
			}
			laidOut(t, file)
			read := make([][]string, len(sheets))
			for n, picture := range drawn(t, file) {
				out, err := exec.CommandContext(t.Context(), zxing[0], append(zxing[1:], picture)...).Output()
				if err != nil && n == 0 {
					t.Errorf("%s reads nothing on the first sheet: %v", zxing[0], err)
				}
				read[n] = textsOf(zxing[0], string(out))
				// zbarimg passes over a code now and then where many are on a sheet.
				if out, err = exec.CommandContext(t.Context(), "zbarimg", "--quiet", "--raw", picture).Output(); err != nil && n == 0 {
					t.Errorf("zbarimg reads nothing on the first sheet: %v", err)
				}
				for _, text := range strings.Fields(string(out)) {
					if !slices.Contains(read[n], text) {
						t.Errorf("zbarimg reads %q, %s does not", text, zxing[0])
					}
				}
			}
			if n := len(slices.Concat(read...)); n != len(shop.Cards) {
				t.Errorf("%d codes are read; want one for each of %d cards: %q", n, len(shop.Cards), read)
			}
			var left, top float64
			for i, c := range shop.Cards {
				n, x, y := headWord(words, c.Word)
				if address := strings.ToUpper(server.URL + "/t/" + string(c.Code)); !slices.Contains(read[n], address) {
					t.Errorf("%s is on sheet %d, which has no code of %s: %q", c.Word, n+1, address, read[n])
				}
				if !strings.Contains(sheets[n], c.Code.Grouped()) {
					t.Errorf("%s is on sheet %d, its number %s is not", c.Word, n+1, c.Code.Grouped())
				}
				if i%2 == 1 && (y != top || x < left+60*72/25.4) { // beside it, and not over it
					t.Errorf("%s stands at %.0f, %.0f points; want it right of %s at %.0f, %.0f", c.Word, x, y, shop.Cards[i-1].Word, left, top)
				}
				left, top = x, y
			}
		})
	}
}
