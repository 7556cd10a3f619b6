package server

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"

	"sinterbook/store/shop"
)

// aPDF begins as ISO 32000-1 (7.5.2) has it; the words make it another one.
func aPDF(words string) []byte {
	return []byte("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n" + words + "\n%%EOF\n")
}

// onTest adds a lot that is not released.
func (b *bookTest) onTest(lot, certificate string) {
	b.Helper()
	b.put("101", shop.LotReceived{Lot: lot, Material: "HT44 paste", MadeOn: "2025-10-01", ExpiresOn: "2026-02-01", OpenLifeDays: 30, Certificate: certificate, Code: shop.NewScanCode()})
}

// filedOn is a document that is filed with a thing; the number makes it another
// one.
func filedOn(kind, code, what, number string) shop.DocumentFiled {
	file := aPDF(what + number)
	return shop.DocumentFiled{OnKind: kind, OnCode: code, Type: what, Number: number, IssuedOn: "2025-09-20", IssuedBy: "Maker One, works 2", Note: "two pages, in German",
		Document: shop.DocumentNamed(file), MediaType: "application/pdf", Size: int64(len(file)), Name: "Certificate " + number + ".pdf", Bytes: file}
}

func (b *bookTest) newFiling(badge, lot string) *html.Node {
	b.Helper()
	return b.get(badge, "/new/filing?on_kind=lot&on_code="+lot).says(http.StatusOK, "It will be filed with lot "+lot).mustForm("/new/filing")
}

// A certificate is filed with its lot, seen there and in the history, and comes
// back to the last byte; the qualification leads to it.
func TestCertificateOfALot(t *testing.T) {
	b := staffed(t)
	b.onTest("L2510-B", "C-120")
	b.get("900", "/lots/L2510-B").says(http.StatusOK, "No document is filed with this lot yet", "copy it line by line; the document itself is not filed").silent("File a document")
	b.get("501", "/new/filing?on_kind=lot&on_code=L2510-B").says(http.StatusForbidden, "Badge 501 may not do this")
	form := b.newFiling("101", "L2510-B")
	if got := valueOf(namedField(t, form, "number")); got != "C-120" {
		t.Errorf("the number is proposed as %q; want that of the maker's certificate", got)
	}
	file := aPDF("carbon 0.41")
	typed := url.Values{"type": {"inspection certificate 3.1"}, "issued_on": {"2025-10-02"}, "issued_by": {"Maker One, works 2"}, "note": {"two pages"}}
	if p := b.attach("101", form, typed, part{"C-120 für uns.pdf", file}); p.status != http.StatusSeeOther || p.to != "/lots/L2510-B" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	page := b.get("900", "/lots/L2510-B").says(http.StatusOK, "copy it line by line; inspection certificate 3.1 C-120", "Save C-120 für uns.pdf", shop.DocumentNamed(file)[:16]).silent("To put right")
	row := page.rows("Issued by, dated")
	if want := []string{"inspection certificate 3.1 C-120", "Maker One, works 2 2025-10-02 two pages", "Save C-120 für uns.pdf " + fmt.Sprint(len(file)) + " bytes, SHA-256 " + shop.DocumentNamed(file)[:16] + "…", "101 2025-10-20 08:00"}; len(row) != 1 || !slices.Equal(row[0], want) {
		t.Errorf("the row is %q; want %q", row, want)
	}
	all, err := b.store.FilingsOn(t.Context(), "lot", "L2510-B")
	if err != nil || len(all) != 1 {
		t.Fatalf("%d are filed, %v", len(all), err)
	}
	src := fmt.Sprintf("/documents/%s?entry=%d", shop.DocumentNamed(file), all[0].Seq)
	n := 0
	for _, to := range page.links() {
		if to == src {
			n++
		}
	}
	if n != 2 {
		t.Errorf("%d links lead to %s; want one of the list and one of the qualification", n, src)
	}
	got := b.asked("900", src)
	if back, err := io.ReadAll(got.Body); err != nil || !bytes.Equal(back, file) || got.Header.Get("Content-Type") != "application/pdf" || got.Header.Get("Content-Security-Policy") != documentPolicy {
		t.Errorf("%d bytes of %d come back as %s, %v", len(back), len(file), got.Header.Get("Content-Type"), err)
	}
	for _, address := range []string{"/history/lot/L2510-B", "/history/lot/L2510-B?print=1"} {
		history := b.get("900", address).says(http.StatusOK, "The inspection certificate 3.1 C-120 of 2025-10-02, issued by Maker One, works 2, was filed with lot L2510-B as “C-120 für uns.pdf” (application/pdf,", shop.DocumentNamed(file), "Note: two pages.", "Open the paper")
		if !slices.Contains(history.links(), src) {
			t.Errorf("the history leads to %q; want %s", history.links(), src)
		}
	}
	b.attach("101", b.newFiling("101", "L2510-B"), typed, part{"other name.pdf", file}).says(http.StatusConflict, "The very same file is filed with lot L2510-B already: inspection certificate 3.1 C-120, as C-120 für uns.pdf, in entry", "Not stored yet: choose the file again.")
	if p := b.attach("101", b.newFiling("101", "L2509-A"), typed, part{"C-120.pdf", file}); p.status != http.StatusSeeOther {
		t.Errorf("the same file with another lot: %d %s", p.status, p.text())
	}
	b.get("101", "/new/filing").says(http.StatusUnprocessableEntity, "It is not said what the document is to be filed with")
	b.get("101", "/new/filing?on_kind=insert&on_code=I-0001").says(http.StatusUnprocessableEntity, "It is not said")
}

// A document that was filed wrongly is corrected, and one that belongs elsewhere
// is withdrawn; both stay to be seen with the reason.
func TestFilingPutRight(t *testing.T) {
	b := staffed(t)
	b.onTest("L2510-B", "C-120")
	first := aPDF("first")
	typed := url.Values{"type": {"certificate of analysis"}, "number": {"C-102"}, "issued_by": {"Maker One"}}
	b.attach("204", b.newFiling("204", "L2510-B"), typed, part{"a.pdf", first})
	seq := func(n int) int64 {
		t.Helper()
		all, err := b.store.FilingsOn(t.Context(), "lot", "L2510-B")
		if err != nil || len(all) <= n {
			t.Fatalf("%d are filed, %v", len(all), err)
		}
		return all[n].Seq
	}
	to := fmt.Sprintf("/new/filing?corrects=%d", seq(0))
	if links := b.get("204", "/lots/L2510-B").says(http.StatusOK, "To put right").silent("Withdraw").links(); !slices.Contains(links, to) {
		t.Errorf("no link leads to %s", to)
	}
	form := b.get("204", to).says(http.StatusOK, fmt.Sprintf("It takes the place of entry %d (certificate of analysis C-102) with lot L2510-B.", seq(0)), "Leave it empty to keep a.pdf.").mustForm("/new/filing")
	p := b.attach("204", form, url.Values{"number": {"C-120"}, "type": {"certificate of conformity"}}).says(http.StatusUnprocessableEntity, "reason").linked()
	if got := valueOf(namedField(t, p.mustForm("/new/filing"), "number")); got != "C-120" {
		t.Errorf("the number is now %q", got)
	}
	if p := b.attach("204", p.mustForm("/new/filing"), url.Values{"reason": {"digits swapped"}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	page := b.get("900", "/lots/L2510-B").says(http.StatusOK, fmt.Sprintf("replaced by entry %d: digits swapped.", seq(1)), "certificate of conformity C-120")
	if struck := elements(page.doc, "s"); len(struck) != 1 || wordsIn(struck[0]) != "certificate of analysis C-102" {
		t.Errorf("%d are struck through", len(struck))
	}
	b.get("900", "/history/lot/L2510-B").says(http.StatusOK, "Replaced by", "digits swapped", "Corrects")
	b.attach("204", b.get("204", to).mustForm("/new/filing"), url.Values{"reason": {"again"}, "number": {"C-121"}}).says(http.StatusConflict, "was corrected already") // from the page that is out of date
	form = b.get("101", fmt.Sprintf("/new/filing?corrects=%d", seq(1))).mustForm("/new/filing")
	if p := b.attach("101", form, url.Values{"reason": {"page 2 was missing"}}, part{"b.pdf", aPDF("both pages")}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/lots/L2510-B").says(http.StatusOK, "Save b.pdf", "page 2 was missing")
	b.get("204", "/lots/L2510-B").silent("To put right") // what 101 filed is not an operator's to replace
	away := fmt.Sprintf("/new/filing-withdrawal?filing=%d", seq(2))
	if links := b.get("101", "/lots/L2510-B").links(); !slices.Contains(links, away) {
		t.Errorf("no link leads to %s", away)
	}
	form = b.get("101", away).says(http.StatusOK, "The certificate of conformity C-120 issued by Maker One is taken off lot L2510-B").mustForm("/new/filing-withdrawal")
	b.emptied("101", form).says(http.StatusUnprocessableEntity, "Why it is withdrawn is missing.").linked()
	if p := b.post("101", form, url.Values{"why": {"it is that of L2510-C"}}); p.to != "/lots/L2510-B" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/lots/L2510-B").says(http.StatusOK, "withdrawn by entry", "it is that of L2510-C.", "the document itself is not filed")
	b.get("900", "/history/lot/L2510-B").says(http.StatusOK, fmt.Sprintf("The document of entry %d was taken off lot L2510-B: it is that of L2510-C.", seq(2)))
	b.post("101", b.get("101", away).mustForm("/new/filing-withdrawal"), url.Values{"why": {"twice"}}).says(http.StatusConflict, "already")
	b.get("101", "/new/filing-withdrawal").says(http.StatusUnprocessableEntity, "It is not said which document is to be withdrawn")
	b.get("101", "/new/filing-withdrawal?filing=x").says(http.StatusUnprocessableEntity, "is not the number of an entry")
	b.get("101", "/new/filing-withdrawal?filing=1").says(http.StatusNotFound)
	b.get("204", away).says(http.StatusForbidden)
}

// The certificate of a calibration is filed with its gauge the same way.
func TestCertificateOfAGauge(t *testing.T) {
	b := staffed(t)
	b.get("402", "/gauges/M-12").says(http.StatusOK, "No document is filed with this gauge yet")
	form := b.get("402", "/new/filing?on_kind=gauge&on_code=M-12").says(http.StatusOK, "It will be filed with gauge M-12").mustForm("/new/filing")
	fields := url.Values{"type": {"calibration certificate"}, "number": {"CAL-25-031"}, "issued_by": {"Calibration laboratory 4"}}
	if p := b.attach("402", form, fields, part{"CAL-25-031.pdf", aPDF("calibrated")}); p.to != "/gauges/M-12" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("900", "/gauges/M-12").says(http.StatusOK, "calibration certificate CAL-25-031", "Save CAL-25-031.pdf", "Calibration laboratory 4")
	fields.Set("type", "safety data sheet")
	b.attach("402", form, fields, part{"b.pdf", aPDF("other")}).says(http.StatusUnprocessableEntity, "A gauge has no", "expected is one of calibration certificate and other document.")
}

// What is wrong with the file or what is said of it is said; nothing is stored,
// and what was typed stands.
func TestFilingsThatAreNotTaken(t *testing.T) {
	b := staffed(t)
	b.onTest("L2510-B", "C-120")
	good := url.Values{"type": {"certificate of analysis"}, "number": {"C-120"}, "issued_on": {"2025-10-02"}, "issued_by": {"Maker One"}, "note": {"x"}}
	before := b.entries()
	for _, tt := range []struct {
		name   string
		change map[string]string
		files  []part
		status int
		want   string
	}{
		{"no file", nil, nil, 422, "The document itself is missing: choose a file."},
		{"a browser's empty field", nil, []part{{"", nil}}, 422, "The document itself is missing: choose a file."},
		{"an empty file", nil, []part{{"a.pdf", nil}}, 422, "The file a.pdf is empty."},
		{"a program called a paper", nil, []part{{"a.pdf", []byte("MZ\x90\x00\x03")}}, 422, "The file a.pdf is not of a kind that every browser shows"},
		{"a page called a paper", nil, []part{{"a.pdf", []byte("<html><script>alert(1)</script>")}}, 422, "by its bytes it is text/html."},
		{"too large", nil, []part{{"a.pdf", slices.Concat(aPDF("x"), make([]byte, shop.DocumentLimit))}}, 422, "The file a.pdf is larger than 12 MiB."},
		{"two", nil, []part{{"a.pdf", aPDF("1")}, {"b.pdf", aPDF("2")}}, 422, "These are 2 files: file one at a time"},
		{"nobody issued it", map[string]string{"issued_by": " "}, []part{{"a.pdf", aPDF("1")}}, 422, "Who issued it is missing."},
		{"what it is", map[string]string{"type": ""}, []part{{"a.pdf", aPDF("1")}}, 422, "The type of the document is missing."},
		{"of another kind of thing", map[string]string{"type": "calibration certificate"}, []part{{"a.pdf", aPDF("1")}}, 422, "A lot has no"},
		{"a day that is none", map[string]string{"issued_on": "02.10.2025"}, []part{{"a.pdf", aPDF("1")}}, 422, "The date of the document is not a day"},
		{"a day to come", map[string]string{"issued_on": "2026-10-02"}, []part{{"a.pdf", aPDF("1")}}, 422, "2026-10-02, which is still to come: today is 2025-10-20."},
		{"a lot that is not there", map[string]string{"on_code": "L9999"}, []part{{"a.pdf", aPDF("1")}}, 409, "There is no lot L9999 in this book."},
	} {
		t.Run(tt.name, func(t *testing.T) {
			fields := url.Values{}
			for field, v := range good {
				fields[field] = v
			}
			for field, v := range tt.change {
				fields.Set(field, v)
			}
			p := b.attach("101", b.newFiling("101", "L2510-B"), fields, tt.files...).says(tt.status, tt.want).linked()
			for _, field := range []string{"number", "note"} {
				if got := strings.TrimSpace(valueOf(namedField(t, p.mustForm("/new/filing"), field))); got != strings.TrimSpace(fields.Get(field)) {
					t.Errorf("%s is now %q; want %q", field, got, fields.Get(field))
				}
			}
			if len(tt.files) > 0 && tt.files[0].name != "" {
				p.says(tt.status, "Not stored yet: choose the")
			}
		})
	}
	if after := b.entries(); after != before {
		t.Errorf("the log grew from %d to %d", before, after)
	}
	for sent, listed := range map[string]string{"../../outside.txt": "outside.txt", `C:\papers\C-120.pdf`: "C-120.pdf", "..": "paper.pdf"} { // case 24
		if p := b.attach("101", b.newFiling("101", "L2510-B"), good, part{sent, aPDF(sent)}); p.status != http.StatusSeeOther {
			t.Errorf("%q: %d %s", sent, p.status, p.text())
		}
		b.get("101", "/lots/L2510-B").says(http.StatusOK, "Save "+listed)
	}
}

// The document goes with the lines that were copied from it, or neither is
// recorded.
func TestCertificateWithItsDocument(t *testing.T) {
	b := staffed(t)
	b.onTest("L2510-B", "C-120")
	form := b.get("101", "/new/certificate?lot=L2510-B").says(http.StatusOK, "A browser gives no file a second time by itself").mustForm("/new/certificate")
	lines := url.Values{"lines.1": {"carbon"}, "lines.1.value": {"0.41"}, "lines.1.unit": {"wt%"}}
	with := func(more ...string) url.Values {
		all := url.Values{}
		for field, v := range lines {
			all[field] = v
		}
		for i := 0; i+1 < len(more); i += 2 {
			all.Set(more[i], more[i+1])
		}
		return all
	}
	before := b.entries()
	b.attach("101", form, with("lines.1.value", "low", "type", "certificate of analysis", "issued_by", "Maker One"), part{"a.pdf", aPDF("1")}).says(http.StatusUnprocessableEntity, `The value of carbon is "low"`, "Not stored yet: choose the file again.").linked()
	b.attach("101", form, with("issued_by", "Maker One")).says(http.StatusUnprocessableEntity, "The type of the document is missing.", "The document itself is missing: choose a file.").linked()
	b.attach("101", form, with("type", "certificate of analysis"), part{"a.pdf", []byte("hello")}).says(http.StatusUnprocessableEntity, "by its bytes it is text/plain", "Who issued it is missing.").linked()
	b.attach("101", form, with("lot", "", "type", "certificate of analysis", "issued_by", "Maker One"), part{"a.pdf", aPDF("1")}).says(http.StatusUnprocessableEntity, "The lot is missing.").silent("What it is filed with").linked()
	b.attach("101", form, with("more", "lines", "type", "certificate of analysis"), part{"a.pdf", aPDF("1")}).says(http.StatusOK, "Not stored yet: choose the file again.")
	if after := b.entries(); after != before {
		t.Errorf("the log grew from %d to %d", before, after)
	}
	if p := b.attach("101", form, with("type", "certificate of analysis", "number", "C-120", "issued_by", "Maker One"), part{"a.pdf", aPDF("1")}); p.to != "/lots/L2510-B" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	if after := b.entries(); after != before+2 {
		t.Errorf("the log grew from %d to %d; want the lines and the document", before, after)
	}
	b.get("900", "/lots/L2510-B").says(http.StatusOK, "1 line; certificate of analysis C-120", "Save a.pdf")
	form = b.get("101", "/new/certificate?lot=L2510-B").mustForm("/new/certificate")
	b.attach("101", form, with("type", "certificate of analysis", "number", "C-120", "issued_by", "Maker One"), part{"a.pdf", aPDF("1")}).says(http.StatusConflict, "The very same file is filed with lot L2510-B already")
	if after := b.entries(); after != before+2 {
		t.Errorf("the log grew to %d: the lines were recorded without their document", after)
	}
	if p := b.attach("101", form, lines); p.to != "/lots/L2510-B" {
		t.Errorf("without a document: %d %s", p.status, p.text())
	}
}

// As a process engineer does it: the certificate is filed from the lot's page,
// seen there, corrected and withdrawn, with a picture that opens.
func TestFilingInTheBrowser(t *testing.T) {
	chromiumPath(t)
	b := staffed(t)
	b.onTest("L2510-B", "C-120")
	folder := t.TempDir()
	paper, scan := filepath.Join(folder, "C-120.pdf"), filepath.Join(folder, "page 1.jpg")
	for path, file := range map[string][]byte{paper: aPDF("x"), scan: asJPEG(t, 3)} {
		if err := os.WriteFile(path, file, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	w := newTab(t, chromium(t), b.serve().URL)
	b.at(w, "101", "")
	w.open("/lots/L2510-B").reads("No document is filed with this lot yet").press("File a document")
	w.fields("What it is", "inspection certificate 3.1 (EN 10204, ISO 10474)", "Date on it", "2025-10-02", "Issued by", "Maker One")
	step(w, "choosing a file", chromedp.SetUploadFiles("#f-photo", []string{paper}))
	w.press("File it").reads("The inspection certificate 3.1 C-120 is filed with lot L2510-B.", "Save C-120.pdf", "Maker One", "2025-10-02")
	w.picture("lot with a filed certificate")
	w.press("Correct inspection certificate 3.1 C-120").fields("Note", "first page", "Reason for the correction", "a scan that can be read")
	step(w, "choosing another file", chromedp.SetUploadFiles("#f-photo", []string{scan}))
	w.press("Record the correction").reads("Open page 1.jpg", "a scan that can be read")
	w.press("Open page 1.jpg")
	if script := step(w, "the picture", chromedp.Evaluate[float64]("document.images[0].naturalWidth")); script != 640 {
		t.Errorf("the picture is %v wide; want 640", script)
	}
	w.back().reads("Open page 1.jpg").press("Withdraw inspection certificate 3.1 C-120").fields("Why it is withdrawn", "it is that of another lot").press("Withdraw it").
		reads("The document was taken off lot L2510-B.", "it is that of another lot", "the document itself is not filed")
	w.quiet("filing")
}
