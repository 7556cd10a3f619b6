package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// after is a time of the outage, hours before now, as a form has it.
func (b *bookTest) hoursAgo(t *testing.T, hours int) string {
	t.Helper()
	return b.now().Add(-time.Duration(hours) * time.Hour).In(viennaOf(t)).Format("2006-01-02T15:04")
}

// entryPage opens a form's page about an insert or a load.
func (b *bookTest) entryPage(badge, form, on string) (shownPage, *html.Node) {
	b.Helper()
	p := b.get(badge, views.EnterOf(form)+"?on="+url.QueryEscape(on)).says(http.StatusOK)
	return p, p.mustForm(views.EnterOf(form))
}

// line names the fields of a line of a form.
func line(act, n string, fields url.Values) url.Values {
	named := url.Values{}
	for field, v := range fields {
		named[act+"-"+n+"."+field] = v
	}
	return named
}

func together(all ...url.Values) url.Values {
	v := url.Values{}
	for _, one := range all {
		for field, values := range one {
			v[field] = values
		}
	}
	return v
}

// A print that was kept on a form during an outage is copied line by line: what
// is right is recorded once, what is wrong says why where it stands, and a
// second person compares it.
func TestFormIsTypedInLineByLine(t *testing.T) {
	b := staffed(t)
	b.keyed("601")
	b.opened("I-0031", "CR40")
	b.handOut(shop.OpPrint, 2)
	b.advance(12 * time.Hour)
	b.get("900", "/paper/PF-0001/enter").says(http.StatusForbidden)
	head := b.get("402", "/paper/PF-0001/enter").says(http.StatusOK, "Type a paper form in", "A form for print", "Insert number").silent("Draw paste")
	if namedField(t, head.mustForm("/paper/PF-0001/enter"), "on") == nil {
		t.Fatal("nothing asks what the form is about")
	}
	b.get("402", "/paper/PF-0001/enter?on=").says(http.StatusUnprocessableEntity, "Insert number is missing")
	b.get("402", "/paper/PF-0001/enter?on=I-9999").says(http.StatusUnprocessableEntity, "I-9999").silent("Draw paste")
	b.get("402", "/paper/PF-0001/enter?on=L2509-A").says(http.StatusUnprocessableEntity, "L2509-A is a lot: this form is about an insert.")
	page, form := b.entryPage("402", "PF-0001", "I-0031")
	page.says(http.StatusOK, "Start the print", "Draw paste, line 4", "Layers made, line 3", "Finish the print", "Hold this insert")
	before := b.size()
	b.post("402", form, nil).says(http.StatusUnprocessableEntity, "The badge of who did it is missing", "The date and time of the form is missing")
	sentHead := url.Values{"by": {"204"}, "at": {b.hoursAgo(t, 10)}}
	b.post("402", form, sentHead).says(http.StatusUnprocessableEntity, "No line was filled in")

	start := line("print-start", "1", url.Values{"machine": {"P1"}, "carrier": {"PL-01"}, "program_sha256": {testProgram}, "kx": {"1.2019"}, "ky": {"1.2019"}, "kz": {"1.21.80"}, "layers": {"304"}})
	draws := together(
		line("paste", "1", url.Values{"container": {"L2509-A/01"}, "from_layer": {"1"}, "to_layer": {"150"}, "drawn": {"140.2"}, "at": {b.hoursAgo(t, 9)}}),
		line("paste", "2", url.Values{"container": {"L2509-A/01"}, "from_layer": {"151"}, "to_layer": {"304"}, "drawn": {"lots"}, "at": {b.hoursAgo(t, 6)}}))
	// The start is mistyped: nothing of it is stored, nor of what comes behind it.
	p := b.post("402", form, together(sentHead, start, draws)).says(http.StatusUnprocessableEntity, `1.21.80`, `lots`, "Not recorded yet")
	if b.size() != before {
		t.Fatalf("%d entries of a form with a mistake in what comes first", b.size()-before)
	}
	form = p.mustForm("/paper/PF-0001/enter")
	for field, typed := range map[string]string{"print-start-1.kz": "1.21.80", "print-start-1.program_sha256": testProgram, "paste-1.drawn": "140.2", "paste-2.drawn": "lots", "by": "204", "at": sentHead.Get("at")} {
		if got := valueOf(namedField(t, form, field)); got != typed {
			t.Errorf("%s is %q when the form comes back; want %q", field, got, typed)
		}
	}
	// Now the start is right, and one of the draws.
	fixed := url.Values{"print-start-1.kz": {"1.2180"}}
	p = b.post("402", form, fixed).says(http.StatusUnprocessableEntity, "lots", "The print of I-0031 was started", "140.2 g of paste was drawn").silent("1.21.80")
	if n := b.size() - before; n != 2 {
		t.Fatalf("%d entries; want the start and the draw that is right", n)
	}
	// What was sent is sent once more, from the page before: nothing doubles.
	again := b.post("402", form, fixed)
	if n := b.size() - before; n != 2 {
		t.Errorf("sent twice: %d entries; want 2 (%s)", n, again.text())
	}
	form = p.mustForm("/paper/PF-0001/enter")
	layers := line("layers", "1", url.Values{"from_layer": {"1"}, "to_layer": {"304"}, "dried": {"6"}, "cutter": {"CU-11"}, "remark": {"clean"}, "at": {b.hoursAgo(t, 2)}, "by": {"207"}})
	rest := together(
		line("pause", "1", url.Values{"layer": {"150"}, "why": {"end of the shift"}, "at": {b.hoursAgo(t, 8)}}),
		line("go-on", "1", url.Values{"note": {"cutter changed"}, "at": {b.hoursAgo(t, 7)}}))
	end := line("print-finish", "1", url.Values{"layers_done": {"304"}, "printed": {"254.3"}, "at": {b.hoursAgo(t, 1)}})
	p = b.post("402", form, together(url.Values{"paste-2.drawn": {"141.0"}}, layers, rest, end)).says(http.StatusUnprocessableEntity, "There is no badge 207 in this book.", "Not recorded yet")
	p.linked()
	form = p.mustForm("/paper/PF-0001/enter")
	if p = b.post("402", form, url.Values{"layers-1.by": {""}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	if n := b.size() - before; n != 7 {
		t.Errorf("%d entries; want the start, two draws, the layers, the pause, its end and that of the print", n)
	}
	b.get("402", p.to).says(http.StatusOK, "141.0 g of paste was drawn", "The print of I-0031 was finished", "Draw paste, line 3").silent("Start the print, line 2", "Finish the print, line 2")
	b.get("900", "/history/insert/I-0031").says(http.StatusOK, "From paper form PF-0001, typed in by 402.", "204", "is paused after layer 150: end of the shift.", "cutter changed")
	b.get("900", "/paper").says(http.StatusOK, "PF-0001", "waits for its check", "PF-0002")
	b.get("402", "/paper/PF-0001").says(http.StatusOK, "Another person than the one who typed it in")
	check := b.get("601", "/paper/PF-0001").says(http.StatusOK, "Done by 204").mustForm("/paper/PF-0001")
	if p := b.post("601", check, url.Values{"pin": {rightPIN}}); p.to != "/paper" {
		t.Fatalf("the check: status %d: %s", p.status, p.text())
	}
	b.get("402", "/paper/PF-0001/enter").says(http.StatusConflict, "nothing more can be typed in from it")
}

// A load that was built and closed during an outage begins on its form.
func TestLoadIsTypedInFromItsForm(t *testing.T) {
	b := staffed(t)
	for i, insert := range []string{"I-0029", "I-0030"} {
		b.opened(insert, "CR40")
		b.dried(insert, []string{"PL-01", "PL-02"}[i])
	}
	b.handOut(shop.OpSinter, 1)
	b.advance(12 * time.Hour)
	page, form := b.entryPage("402", "PF-0001", "F2-09")
	page.says(http.StatusOK, "There is no such load yet", "Lay an insert in, line 7")
	before := b.size()
	code := b.codeOf("I-0030")
	p := b.post("402", form, together(url.Values{"by": {"311"}, "at": {b.hoursAgo(t, 9)}},
		line("load-begin", "1", url.Values{"furnace": {"F2"}, "recipe": {"SR-1340 C"}}),
		line("load-place", "1", url.Values{"insert": {"I-0029"}, "position": {"T1"}, "setter": {"ST-17"}}),
		line("load-place", "2", url.Values{"insert": {code}, "position": {"Z9"}}),
		line("load-place", "3", url.Values{"insert": {"L2509-A"}, "position": {"T2"}}),
		line("load-close", "1", url.Values{"at": {b.hoursAgo(t, 8)}})))
	p.says(http.StatusUnprocessableEntity, "Furnace F2 has no place Z9", "L2509-A is a lot, not an insert.", "Not recorded yet", "I-0029 was laid")
	if n := b.size() - before; n != 2 {
		t.Fatalf("%d entries; want the load and one insert: %s", n, p.text())
	}
	form = p.mustForm("/paper/PF-0001/enter")
	if got := valueOf(namedField(t, form, "load-place-2.insert")); got != code {
		t.Errorf("the insert of line 2 comes back as %q; want what was typed", got)
	}
	p = b.post("402", form, together(line("load-place", "2", url.Values{"position": {"T2"}}), line("load-place", "3", url.Values{"insert": {""}, "position": {""}})))
	if p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	load, err := b.store.Load(t.Context(), "F2-09")
	if err != nil || load.At("T2") != "I-0030" || load.Closed.IsZero() || load.ClosedBy != "311" {
		t.Errorf("the load is %+v, %v; want two inserts behind a closed door", load, err)
	}
}

// A form that the book did not hand out says first what it is for.
func TestFormOfNoKnownOperation(t *testing.T) {
	b := staffed(t)
	b.opened("I-0031", "CR40")
	b.get("402", "/paper/PF-0050/enter").says(http.StatusOK, "The book did not hand this form out", "Operation")
	b.get("402", "/paper/PF-0050/enter?on=I-0031&operation=print").says(http.StatusOK, "Draw paste")
	b.get("402", "/paper/PF-0050/enter?on=I-0031&operation=delivered").says(http.StatusUnprocessableEntity, "has no paper form")
}

// The number of a form leads to it, typed at a station or scanned.
func TestFormIsFoundByItsNumber(t *testing.T) {
	b := staffed(t)
	b.handOut(shop.OpPrint, 1)
	scan := b.get("204", "/station").mustForm("/station/scan")
	for _, text := range []string{"PF-0001", "pf-0001", "http://example.com/paper/PF-0001/enter"} {
		if p := b.post("204", scan, url.Values{"scan": {text}}); !strings.HasPrefix(p.to, "/paper/PF-0001") {
			t.Errorf("%s leads to %q: %s", text, p.to, p.text())
		}
	}
	b.post("204", scan, url.Values{"scan": {"PF-0099"}}).says(http.StatusUnprocessableEntity, "PF-0099")
}
