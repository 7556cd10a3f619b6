package server

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"sinterbook/static"
	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

func TestHistorySaysWhoWhatWhenAndWhy(t *testing.T) {
	b := inspected(t)
	b.advance(4 * time.Hour)
	b.enter(shop.Entry{By: "402", At: b.now().Add(-3 * time.Hour).UTC(), Event: shop.ResultRecorded{Insert: "I-0029", Characteristic: "2", Value: readingOf("29,9780", "mm"), Gauge: "M-12", Purpose: "inspection"}})
	b.refuse("402", shop.InspectionFinished{Insert: "I-0029"})
	p := b.get("900", "/history/insert/I-0029").says(http.StatusOK, "End of the history: 22 entries.")
	rows := p.entries()
	for i, row := range rows {
		if row[0] != strconv.Itoa(i+1) {
			t.Errorf("line %d is numbered %s", i+1, row[0])
		}
		if hash := strings.Fields(row[4]); len(hash) != 2 || len(hash[1]) != 12 {
			t.Errorf("line %d has %q; want its number in the log and its hash", i+1, row[4])
		}
	}
	for _, want := range []struct {
		line int
		cell int
		says []string
	}{
		{4, 3, []string{"208.5 g of paste was drawn", "Replaced by entry", "digits swapped."}},
		{5, 3, []string{"280.5 g of paste was drawn", "Corrects entry", "digits swapped.", "Also about container L2509-A/01"}},
		{18, 2, []string{"402 office inspector"}},
		{21, 1, []string{"2025-10-23 04:00:00 CEST", "happened 2025-10-23 01:00:00 CEST"}},
		{21, 3, []string{"29,9780 mm with M-12"}},
		{22, 3, []string{"Refused: to finish the inspection.", "Gate “records complete”", "Nothing else changed."}},
	} {
		for _, w := range want.says {
			if cell := rows[want.line-1][want.cell]; !strings.Contains(cell, w) {
				t.Errorf("line %d says %q; want %q in it", want.line, cell, w)
			}
		}
	}
}

// entries are the lines of a history.
func (p shownPage) entries() [][]string {
	p.Helper()
	return slices.DeleteFunc(p.rows("Recorded"), func(row []string) bool { return len(row) != 5 })
}

// A correction and what it replaced lead to each other.
func TestHistoryLinksCorrections(t *testing.T) {
	b := inspected(t)
	p := b.get("900", "/history/insert/I-0029")
	ids := map[string]bool{}
	for _, tr := range elements(p.doc, "tr") {
		ids["#"+attrOf(tr, "id")] = true
	}
	var to int
	for _, link := range p.links() {
		if strings.HasPrefix(link, "#entry-") {
			to++
			if !ids[link] {
				t.Errorf("%s leads nowhere", link)
			}
		}
	}
	if to != 4 {
		t.Errorf("%d links between entries; want 4: two corrections, both ways", to)
	}
}

// Signatures and answers to gates stand with their meaning and reason.
func TestHistoryShowsSignaturesAndAnswers(t *testing.T) {
	b := staffed(t)
	b.get("900", "/history/release/DR-02%20A").says(http.StatusOK, "Signed by 101: checked.", "Signed by 601: checked.")
	b.opened("I-0031", "CR40")
	b.put("601", shop.PolicySet{Gate: shop.CompensationOfLot.Name, Op: shop.OpPrint, From: morning, Mode: shop.Silent})
	b.put("601", shop.PolicySet{Gate: "oversize equals release", Op: shop.OpPrint, From: morning, Mode: shop.Warn})
	b.enter(shop.Entry{By: "204", Answers: map[string]string{"oversize equals release": "trial of one step"}, Event: shop.PrintStarted{Insert: "I-0031", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram,
		Carrier: "PL-01", KX: readingOf("1.2020", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304}})
	b.get("900", "/history/insert/I-0031").says(http.StatusOK, "Gate “oversize equals release” asked for a reason: trial of one step.")
}

func TestHistoryOfEveryKind(t *testing.T) {
	b := inspected(t)
	b.put("601", shop.HoldSet{Hold: "H-001", OnKind: "mould", OnCode: "M301", Why: "sprue is bent"})
	b.put("601", shop.PolicySet{Gate: "not held", Op: shop.OpPrint, From: b.now(), Mode: shop.Stop})
	b.put("601", shop.StationAdded{Station: "PR1", Name: "Printing", Operation: "print", Code: shop.NewScanCode()})
	for _, path := range []string{"insert/I-0029", "lot/L2509-A", "container/L2509-A/01", "load/F2-05", "gauge/M-12", "person/204", "machine/P1", "furnace/F2", "mould/M301",
		"order/O-1", "release/DR-02%20A", "design/CR40", "station/PR1", "route/RT-1", "gate/not%20held", "hold/H-001", "book/1"} {
		b.get("900", "/history/"+path).says(http.StatusOK, "End of the history:")
	}
	b.get("900", "/history/insert/I-9999").says(http.StatusNotFound, "There is no insert I-9999 in this book.")
	b.get("900", "/history/secret/1").says(http.StatusNotFound)
}

// recorded137 is a book with an insert of 137 entries, each with its number in
// a remark; some remarks take many lines.
func recorded137(t *testing.T) *bookTest {
	t.Helper()
	b := staffed(t)
	b.opened("I-0031", "CR40")
	b.put("204", shop.PrintStarted{Insert: "I-0031", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: "PL-01",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304})
	for n := 4; n <= 137; n++ {
		remark := fmt.Sprintf("Entry %03d of many.", n)
		if n%7 == 0 {
			remark += " This remark is long, so that its row is higher than the others and meets the end of a sheet."
		}
		if n%23 == 0 {
			remark += strings.Repeat(" And it goes on, so that the row has many lines and must not be cut in two.", 6)
		}
		b.put("204", shop.LayersMade{Insert: "I-0031", FromLayer: n, ToLayer: n, Remark: remark})
	}
	return b
}

func TestHistoryPages(t *testing.T) {
	b := recorded137(t)
	for n := 138; n <= 260; n++ {
		b.put("204", shop.LayersMade{Insert: "I-0031", FromLayer: n, ToLayer: n})
	}
	first := b.get("900", "/history/insert/I-0031").says(http.StatusOK, "1–200 of 260 entries").silent("End of the history", "and what it does not")
	second := b.get("900", pagerLink(first, "next")).says(http.StatusOK, "201–260 of 260 entries", "End of the history: 260 entries.")
	if rows := second.entries(); rows[0][0] != "201" {
		t.Errorf("the second page begins with %s; want 201", rows[0][0])
	}
	if rows := b.get("900", "/history/insert/I-0031?print=1").entries(); len(rows) != 260 {
		t.Errorf("%d lines are printed; want 260", len(rows))
	}
}

// papers are the two sizes of paper that shops have, A4 upright and Letter
// across.
var papers = []struct {
	name    string
	options []chromedp.PDFOption
}{
	{"A4", []chromedp.PDFOption{chromedp.PDFPaper(chromedp.PaperA4)}},
	{"Letter across", []chromedp.PDFOption{chromedp.PDFPaper(chromedp.PaperLetter), chromedp.PDFLandscape()}},
}

func TestHistoryOnPaper(t *testing.T) {
	b := recorded137(t)
	for _, paper := range papers {
		t.Run(paper.name, func(t *testing.T) {
			sheets := b.printed(t, "/history/insert/I-0031?print=1", paper.options)
			if len(sheets) < 5 {
				t.Fatalf("%d sheets; 137 entries do not fit", len(sheets))
			}
			var seen []int
			for i, sheet := range sheets {
				for _, want := range []string{"I-0031", fmt.Sprintf("page %d of %d", i+1, len(sheets))} {
					if !strings.Contains(sheet, want) {
						t.Errorf("sheet %d does not say %q", i+1, want)
					}
				}
				entries := regexp.MustCompile(`Entry (\d{3}) of many`).FindAllStringSubmatch(sheet, -1)
				for _, e := range entries {
					n, err := strconv.Atoi(e[1])
					if err != nil {
						t.Fatal(err)
					}
					seen = append(seen, n)
				}
				if len(entries) > 0 && !(strings.Contains(sheet, "Recorded") && strings.Contains(sheet, "In the log") && strings.Contains(sheet, "History of insert I-0031, 137 entries")) {
					t.Errorf("sheet %d has entries and no heading", i+1)
				}
				for _, not := range []string{"Sign out", "Print all of it"} {
					if strings.Contains(sheet, not) {
						t.Errorf("sheet %d has %q on it", i+1, not)
					}
				}
			}
			var want []int
			for n := 4; n <= 137; n++ {
				want = append(want, n)
			}
			if !slices.Equal(seen, want) {
				t.Errorf("printed: %v; want 4 to 137, each once and in order", seen)
			}
			whole := strings.Join(sheets, "\n")
			for n := 1; n <= 3; n++ {
				if !strings.Contains(whole, []string{"The traveler of I-0031 was opened", "is to be printed by release DR-02 A", "The print of I-0031 was started"}[n-1]) {
					t.Errorf("entry %d is not on paper", n)
				}
			}
			if !strings.Contains(whole, "End of the history: 137 entries.") || !strings.Contains(onOneLine(sheets[len(sheets)-1]), "The 137 entries about this insert") {
				t.Error("the end does not say how many entries there are")
			}
			// A row that is cut in two would begin on one sheet and end on the next.
			for n := 23; n <= 137; n += 23 {
				for i, sheet := range sheets {
					if strings.Contains(sheet, fmt.Sprintf("Entry %03d of many", n)) && strings.Count(onOneLine(sheet), "must not be cut in two") < 6 {
						t.Errorf("entry %d is cut at the end of sheet %d", n, i+1)
					}
				}
			}
		})
	}
}

func onOneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// printed prints a page as a browser does and reads the text of each sheet.
func (b *bookTest) printed(t *testing.T, path string, options []chromedp.PDFOption) []string {
	t.Helper()
	outside.Program(t, "chromium", "chromium")
	outside.Program(t, "pdftotext", "poppler-utils")
	mux := http.NewServeMux()
	mux.Handle(static.Prefix, static.Handler())
	mux.Handle("/", b.pages("900"))
	s := httptest.NewServer(mux)
	t.Cleanup(s.Close)
	ctx, cancel := chromedp.NewExecAllocator(t.Context(), chromedp.NoSandbox, chromedp.Headless)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx, chromedp.Navigate(s.URL+path)); err != nil {
		t.Fatal(err)
	}
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(options...))
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "page.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.CommandContext(t.Context(), "pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
}
