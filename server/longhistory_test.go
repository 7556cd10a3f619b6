package server

import (
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

// longLot is a lot whose number begins with zeros, with 137 entries: each says
// its number, every seventh is long, and some are higher than a third of a
// sheet is wide.
const longLot = "0004720"

const longRemark = " Long remark that takes several lines on paper, so that this row is much higher than the others and meets the end of a page."

func longText(n int) string {
	text := fmt.Sprintf("Entry %03d.", n)
	switch {
	case n%23 == 0:
		text += strings.Repeat(longRemark, 6)
	case n%7 == 0:
		text += longRemark
	}
	return strings.TrimSuffix(text, ".")
}

func (b *bookTest) longHistory() {
	b.Helper()
	b.put("101", shop.LotReceived{Lot: longLot, Material: "HT44 paste", MadeOn: "2025-09-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Certificate: longText(1), Code: shop.NewScanCode()})
	b.put("601", shop.LotReleased{Lot: longLot, Evidence: longText(2)})
	for n := 3; n <= 137; n++ {
		hold := fmt.Sprintf("H-%03d", (n-1)/2)
		if n%2 == 1 {
			b.put("402", shop.HoldSet{Hold: hold, OnKind: "lot", OnCode: longLot, Why: longText(n)})
		} else {
			b.sign("601", shop.HoldLifted{Hold: hold, OnKind: "lot", OnCode: longLot, Why: longText(n)})
		}
	}
}

// TestLongHistoryOnPaper prints 137 entries on both papers: each is there once
// and in order, whole, under the heading of its table, on numbered pages.
func TestLongHistoryOnPaper(t *testing.T) {
	t.Parallel()
	outside.Program(t, "pdftotext", "poppler-utils")
	chromiumPath(t)
	b := staffed(t)
	b.longHistory()
	server := b.serve()
	w := newTab(t, chromium(t), server.URL)
	b.at(w, "900", "")
	for _, paper := range []struct {
		name    string
		options []chromedp.PDFOption
	}{
		{"A4 upright", []chromedp.PDFOption{chromedp.PDFPaper(chromedp.PaperA4)}},
		{"Letter across", []chromedp.PDFOption{chromedp.PDFPaper(chromedp.PaperLetter), chromedp.PDFLandscape()}},
	} {
		t.Run(paper.name, func(t *testing.T) {
			w := &tab{TB: t, ctx: w.ctx, at: w.at, complaints: w.complaints}
			w.open("/history/lot/" + url.PathEscape(longLot) + "?print=1")
			file := pdfOf(t, w, paper.options)
			sheets := sheetsOf(t, file)
			if len(sheets) < 4 {
				t.Fatalf("%d sheets; 137 entries do not fit", len(sheets))
			}
			var seen []string
			for i, sheet := range sheets {
				for _, want := range []string{longLot, "Recorded", "In the log", fmt.Sprintf("page %d of %d", i+1, len(sheets))} {
					if !strings.Contains(sheet, want) {
						t.Errorf("sheet %d does not say %q", i+1, want)
					}
				}
				entries := entryText.FindAllStringSubmatch(sheet, -1)
				if proof := strings.Contains(sheet, "What the history of lot "+longLot+" proves"); len(entries) == 0 && !proof {
					t.Errorf("sheet %d has a heading and nothing under it", i+1)
				}
				for _, e := range entries {
					seen = append(seen, e[1])
				}
				for _, screen := range []string{"Sign out", "Print all of it", "Skip to", "Floor", "Further", "Earlier", "Check it"} {
					if strings.Contains(onOneLine(sheet), screen) {
						t.Errorf("sheet %d has %q on it, which only a screen can do", i+1, screen)
					}
				}
				text := onOneLine(sheet)
				for n := 23; n <= 137; n += 23 {
					if at := strings.Index(text, fmt.Sprintf("Entry %03d.", n)); at >= 0 && strings.Count(text[at:], "Long remark that takes") < 6 {
						t.Errorf("entry %d is cut at the foot of sheet %d", n, i+1)
					}
				}
				if foot := lastLine(sheet); headingAlone.MatchString(foot) {
					t.Errorf("at the foot of sheet %d a heading stands alone: %q", i+1, foot)
				}
			}
			var want []string
			for n := 1; n <= 137; n++ {
				want = append(want, fmt.Sprintf("%03d", n))
			}
			if !slices.Equal(seen, want) {
				t.Errorf("printed: %v; want 001 to 137, each once and in order", seen)
			}
			if last := onOneLine(sheets[len(sheets)-1]); !strings.Contains(last, "137 entries") {
				t.Errorf("the last sheet does not say how many entries there are: %s", last)
			}
			laidOut(t, file)
		})
	}
}

var (
	entryText    = regexp.MustCompile(`Entry (\d{3})[.:]?`)
	headingAlone = regexp.MustCompile(`^(Recorded|In the log|What the history|No\.|History of lot)\b`)
)

// lastLine is the last line of a sheet above its page number.
func lastLine(sheet string) string {
	last := ""
	for line := range strings.Lines(sheet) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "page ") {
			last = line
		}
	}
	return last
}
