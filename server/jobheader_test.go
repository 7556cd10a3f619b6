package server

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// jobHeader is one of the fixture's release.
const jobHeader = "program = CR40.pgm\nprogram_sha256 = " + testProgram + "\nkx = 1.2019\nky = 1.2019\nkz = 1.2180\nlayers = 304\nunit = mm\n"

// sendJob sends a file as a job header.
func (b *bookTest) sendJob(badge, insert, text string) shownPage {
	b.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	part, err := w.CreateFormFile("job", "job.txt")
	if err == nil {
		_, err = part.Write([]byte(text))
	}
	if err != nil || w.WriteField("carrier", "PL-01") != nil || w.Close() != nil {
		b.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, "/station/"+insert+"/job", &body)
	r.Header.Set("Content-Type", w.FormDataContentType())
	return b.answer(badge, r)
}

// TestJobHeader fills in the print from a file and from a scan of the same
// text; the text stays with the entry.
func TestJobHeader(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	b.opened("I-0002", "CR40")
	b.get("204", "/station/I-0001").says(http.StatusOK, "Take it from a job header")
	b.get("204", "/station/I-0001/job").says(http.StatusOK, "program_sha256", "Fill in the form").mustForm("/station/I-0001/job")
	before := b.entries()
	p := b.sendJob("204", "I-0001", jobHeader)
	if p.status != http.StatusSeeOther || b.entries() != before {
		t.Fatalf("status %d, %d entries more: %s", p.status, b.entries()-before, p.text())
	}
	form := b.get("204", p.to).says(http.StatusOK).mustForm("/station/I-0001/print-start")
	for field, want := range map[string]string{"kx": "1.2019", "kz": "1.2180", "layers": "304", "program_sha256": testProgram, "carrier": "PL-01"} {
		if got := valueOf(namedField(t, form, field)); got != want {
			t.Errorf("%s is filled in as %q; want %q", field, got, want)
		}
	}
	p = b.scanned("204", "I-0002", strings.ReplaceAll(strings.TrimSpace(jobHeader), "\n", "; "))
	if got := valueOf(namedField(t, b.get("204", p.to).says(http.StatusOK).mustForm("/station/I-0002/print-start"), "kz")); got != "1.2180" {
		t.Errorf("a scanned job header fills in kz as %q", got)
	}
	if p := b.post("204", form, url.Values{"machine": {"P1"}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/history/insert/I-0001").says(http.StatusOK, "Scanned: job ", "kz = 1.2180")
}

// scanned sends the text of a scan for an insert on the bench.
func (b *bookTest) scanned(badge, insert, text string) shownPage {
	b.Helper()
	r := httptest.NewRequest(http.MethodPost, "/station/"+insert+"/scan", strings.NewReader(url.Values{"scan": {text}, "act": {"print-start"}}.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return b.answer(badge, r)
}

// TestBadJobHeader: a sentence with the line, and nothing is filled in or
// stored.
func TestBadJobHeader(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	before := b.entries()
	for text, says := range map[string]string{
		strings.Replace(jobHeader, "kx = 1.2019", "kx 1.2019", 1): "Line 3 of the job header was not understood.",
		strings.Replace(jobHeader, "1.2180", "17.90", 1):          "looks like the shrinkage in percent",
		strings.Replace(jobHeader, "= mm", "= in", 1):             "The unit of program CR40.pgm is in by the job header; that of the drawing of CR40 B is mm. Nothing was filled in",
		"":                        "It does not say program",
		strings.Repeat("#", 3000): "2000 are allowed",
	} {
		b.sendJob("204", "I-0001", text).says(http.StatusUnprocessableEntity, says, "Nothing was stored")
	}
	b.scanned("204", "I-0001", "program_sha256 = 12; kx = 1.2").says(http.StatusUnprocessableEntity, "The job header was not understood.")
	b.scanned("204", "I-0001", strings.ReplaceAll(strings.Replace(strings.TrimSpace(jobHeader), "= mm", "= in", 1), "\n", "; ")).says(http.StatusUnprocessableEntity, "that of the drawing of CR40 B is mm. Nothing was filled in")
	if b.entries() != before {
		t.Error("something was stored")
	}
}

// TestTypedBeforeJobHeader: what was typed in the form of the print goes along to
// the page of the job header, back from it, and through a file that was not
// understood.
func TestTypedBeforeJobHeader(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	form := b.get("204", "/station/I-0001").says(http.StatusOK, "Take it from a job header").mustForm("/station/I-0001/print-start")
	typed := url.Values{"carrier": {"PL-01"}, "plate": {"41.5"}, "room": {"21,9"}, "kx": {"1.2"}}
	open := b.postTo("204", "/station/I-0001/job", form, typed)
	if open.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", open.status, open.text())
	}
	p := b.get("204", open.to).says(http.StatusOK, "Fill in the form")
	keeps := func(what string, form *html.Node, fields url.Values) {
		t.Helper()
		for field, want := range fields {
			if got := valueOf(namedField(t, form, field)); got != want[0] {
				t.Errorf("%s: %s is %q; want %q", what, field, got, want[0])
			}
		}
	}
	keeps("on the page of the job header", p.mustForm("/station/I-0001/job"), typed)
	back := ""
	for _, to := range p.links() {
		if strings.HasPrefix(to, "/station/I-0001?") {
			back = to
		}
	}
	keeps("back from it", b.get("204", back).says(http.StatusOK).mustForm("/station/I-0001/print-start"), typed)
	bad := b.sendFile("204", p.mustForm("/station/I-0001/job"), "kx 1.2019").says(http.StatusUnprocessableEntity, "Line 1 of the job header was not understood.")
	keeps("after a file that was not understood", bad.mustForm("/station/I-0001/job"), typed)
	good := b.sendFile("204", bad.mustForm("/station/I-0001/job"), "\uFEFF"+strings.ReplaceAll(jobHeader, "\n", "\r\n"))
	filled := b.get("204", good.to).says(http.StatusOK).mustForm("/station/I-0001/print-start")
	keeps("filled in", filled, url.Values{"carrier": {"PL-01"}, "plate": {"41.5"}, "room": {"21,9"}, "kx": {"1.2019"}, "kz": {"1.2180"}})
	if was, is := valueOf(namedField(t, form, "command")), valueOf(namedField(t, filled, "command")); was != is {
		t.Errorf("the act has the id %s, and had %s", is, was)
	}
	b.postTo("204", "/station/I-0001/job", form, url.Values{"carrier": {"PL-01"}, "remark": {strings.Repeat("x", addressLimit)}}).says(http.StatusUnprocessableEntity, "too long to go along to the job header")
}

// TestJobHeaderBeforeTraveler: a job header that is scanned first is compared with
// the insert that comes onto the bench, and once more when the print is recorded.
func TestJobHeaderBeforeTraveler(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40") // drawn in mm
	b.opened("I-0002", "CV16") // in inches
	before := b.entries()
	inches := strings.Replace(jobHeader, "unit = mm", "unit = in", 1)
	scan := func(q url.Values) shownPage {
		t.Helper()
		r := httptest.NewRequest(http.MethodPost, "/station/scan", strings.NewReader(q.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		return b.answer("204", r)
	}
	known := scan(url.Values{"scan": {inches}})
	to, err := url.Parse(known.to)
	if err != nil || known.status != http.StatusSeeOther || to.Query().Get("kz") != "1.2180" {
		t.Fatalf("status %d to %q: %s", known.status, known.to, known.text())
	}
	traveler := func(insert string) shownPage {
		t.Helper()
		i, err := b.store.Insert(t.Context(), insert)
		if err != nil {
			t.Fatal(err)
		}
		q := to.Query()
		q.Set("scan", string(i.Code))
		return scan(q)
	}
	traveler("I-0001").says(http.StatusUnprocessableEntity, "The unit of program CR40.pgm is in by the job header; that of the drawing of CR40 B is mm.", "I-0001 was not put on the bench", "CLEAR")
	if p := traveler("I-0002"); p.status != http.StatusSeeOther || !strings.HasPrefix(p.to, "/station/I-0002?") {
		t.Errorf("an insert drawn in inches: status %d to %q: %s", p.status, p.to, p.text())
	}
	form := b.get("204", "/station/I-0001?"+to.RawQuery).says(http.StatusOK).mustForm("/station/I-0001/print-start")
	p := b.post("204", form, url.Values{"machine": {"P1"}, "carrier": {"PL-01"}}).says(http.StatusUnprocessableEntity, "that of the drawing of CR40 B is mm", "Nothing was")
	p.stands("/station/I-0001/print-start", url.Values{"carrier": {"PL-01"}, "kz": {"1.2180"}})
	if b.entries() != before {
		t.Error("something was stored")
	}
}

// TestBadJobScanKeepsTyped: a job header that is scanned onto a form and does not
// belong leaves what was typed in it.
func TestBadJobScanKeepsTyped(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	form := b.get("204", "/station/I-0001").mustForm("/station/I-0001/print-start")
	for _, text := range []string{strings.Replace(jobHeader, "unit = mm", "unit = in", 1), strings.Replace(jobHeader, "kx = ", "kx ", 1)} {
		p := b.postTo("204", "/station/I-0001/scan", form, url.Values{"scan": {text}, "carrier": {"PL-01"}, "plate": {"41.5"}}).says(http.StatusUnprocessableEntity, "job header")
		p.stands("/station/I-0001/print-start", url.Values{"carrier": {"PL-01"}, "plate": {"41.5"}, "kx": {""}})
	}
}

// sendFile sends a form with a file in it, as the page has it.
func (b *bookTest) sendFile(badge string, form *html.Node, text string) shownPage {
	b.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for _, n := range elements(form, "input", "textarea", "select") {
		if sentWith(n) && attrOf(n, "type") != "file" {
			if err := w.WriteField(attrOf(n, "name"), valueOf(n)); err != nil {
				b.Fatal(err)
			}
		}
	}
	part, err := w.CreateFormFile("job", "job.txt")
	if err == nil {
		_, err = part.Write([]byte(text))
	}
	if err != nil || w.Close() != nil {
		b.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, attrOf(form, "action"), &body)
	r.Header.Set("Content-Type", w.FormDataContentType())
	return b.answer(badge, r)
}
