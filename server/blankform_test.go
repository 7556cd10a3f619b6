package server

import (
	"bytes"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// handOut hands out blank forms and says where they are printed.
func (b *bookTest) handOut(operation string, count int) string {
	b.Helper()
	form := b.get("204", "/paper/blank").says(http.StatusOK, "How many").mustForm("/paper/blank")
	p := b.post("204", form, url.Values{"operation": {operation}, "count": {fmt.Sprint(count)}})
	if p.status != http.StatusSeeOther {
		b.Fatalf("%s: status %d: %s", operation, p.status, p.text())
	}
	return p.to
}

func TestBlankFormsAreNumbered(t *testing.T) {
	b := staffed(t)
	b.get("900", "/paper/blank").says(http.StatusForbidden)
	form := b.get("204", "/paper/blank").says(http.StatusOK, "PF-0001").mustForm("/paper/blank")
	b.emptied("204", form).says(http.StatusUnprocessableEntity, "The operation that the forms are for is missing.", "The number of forms is missing.").linked()
	for count, why := range map[string]string{"0": "from 1 to 40", "41": "from 1 to 40", "two": `"two"`, "": "missing"} {
		b.post("204", form, url.Values{"operation": {shop.OpPrint}, "count": {count}}).says(http.StatusUnprocessableEntity, why)
	}
	b.post("204", form, url.Values{"operation": {shop.OpDeliver}, "count": {"1"}}).says(http.StatusUnprocessableEntity, "has no paper form")
	sent := url.Values{"operation": {shop.OpPrint}, "count": {"3"}}
	first := b.post("204", form, sent)
	if first.to != "/paper/blank/PF-0001?last=PF-0003" {
		t.Fatalf("status %d to %q: %s", first.status, first.to, first.text())
	}
	before := b.size()
	if again := b.post("204", form, sent); again.to != first.to || b.size() != before {
		t.Errorf("sent twice: to %q, %d entries more; want the same forms and no more", again.to, b.size()-before)
	}
	if to := b.handOut(shop.OpDry, 1); to != "/paper/blank/PF-0004?last=PF-0004" {
		t.Errorf("the next form: %s", to)
	}
	page := b.get("900", first.to).says(http.StatusOK, "PF-0001", "PF-0002", "PF-0003").silent("PF-0004")
	if n := len(elements(page.doc, "article")); n != 3 {
		t.Errorf("%d forms on the page; want 3", n)
	}
	b.get("900", "/paper/blank/PF-0099").says(http.StatusNotFound)
	b.get("900", "/paper").says(http.StatusOK, "Handed out, not typed in yet", "PF-0001 to PF-0003", "PF-0004").silent("Print blank forms", "Missing after the outage")
	b.get("204", "/paper/PF-0002").says(http.StatusOK, "handed out, not typed in yet", "Type it in").silent("Your PIN")
}

// screenForm is the form of an act as a screen has it at an operation.
func (b *bookTest) screenForm(operation string, a act) *html.Node {
	b.Helper()
	switch a.name {
	case views.ActCheck:
		return b.get("402", "/new/check").mustForm("/new/check")
	case views.ActOpen:
		return b.get("204", "/containers/L2509-A/02").mustForm("/containers/L2509-A/02")
	case views.ActLoadBegin:
		return b.get("311", "/new/load").mustForm("/new/load")
	case views.ActLoadPlace:
		return b.get("311", "/loads/F2-06").mustForm("/loads/F2-06/place")
	case views.ActLoadClose:
		return b.get("311", "/loads/F2-06").mustForm("/loads/F2-06/close")
	case views.ActLoadUnload:
		return b.get("311", "/loads/F2-07").mustForm("/loads/F2-07/unload")
	}
	r := httptest.NewRequest(http.MethodGet, "/", nil)
	t, err := b.server.travelerOf(r, "I-0029")
	if err != nil {
		b.Fatal(err)
	}
	f := blank("", "/act")
	f.Values.Set("characteristic", "1")
	f.Values.Set("operation", operation)
	w := views.Work{Traveler: t, Act: a.name, Operation: a.operation, Form: &f}
	if err := b.server.offered(r, &w); err != nil {
		b.Fatal(err)
	}
	var page bytes.Buffer
	if err := views.WorkPage(w).Render(b.Context(), &page); err != nil {
		b.Fatal(err)
	}
	doc, err := html.Parse(&page)
	if err != nil {
		b.Fatal(err)
	}
	return shownPage{TB: b.TB, doc: doc}.mustForm("/act")
}

// labelsOnScreen are the labels of what is typed about an act; when it happened
// and from which form stand on every form.
func labelsOnScreen(form *html.Node) []string {
	ticks := map[string]bool{}
	for _, n := range elements(form, "input") {
		if attrOf(n, "type") == "checkbox" {
			ticks[attrOf(n, "id")] = true
		}
	}
	var labels []string
	for _, n := range elements(form, "label") {
		label := strings.TrimSuffix(wordsIn(n), " (optional)")
		if !ticks[attrOf(n, "for")] && !slices.Contains([]string{"When it happened", "Number of the paper form", "Badge on the form"}, label) {
			labels = append(labels, label)
		}
	}
	return labels
}

// labelsOnPaper are the labels of the boxes of each act of a form, by the act's
// title, without those of the line itself.
func labelsOnPaper(article *html.Node) map[string][]string {
	all := map[string][]string{}
	for _, section := range elements(article, "section") {
		for _, line := range elements(section, "div") {
			if attrOf(line, "class") != "line" {
				continue
			}
			var labels []string
			for _, n := range elements(line, "span") {
				if attrOf(n, "class") == "asks" {
					labels = append(labels, wordsIn(n))
				}
			}
			all[wordsIn(elements(section, "h3")[0])] = labels[:len(labels)-2]
		}
	}
	return all
}

// Whatever a screen asks for stands on the paper form with the same label and
// unit, and the form asks for nothing else; nor does the page that types it in.
func TestFormsAskForWhatScreensAskFor(t *testing.T) {
	b := staffed(t)
	for _, insert := range []string{"I-0029", "I-0030", "I-0031"} {
		b.opened(insert, "CR40")
	}
	b.dried("I-0030", "PL-01")
	b.dried("I-0031", "PL-02")
	for load, insert := range map[string]string{"F2-06": "I-0030", "F2-07": "I-0031"} {
		b.put("311", shop.LoadOpened{Load: load, Furnace: "F2", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
		b.put("311", shop.LoadPlaced{Load: load, Insert: insert, Position: "T1"})
	}
	b.put("311", shop.LoadClosed{Load: "F2-07"})
	onPaper := map[string]bool{}
	for _, operation := range formOperations() {
		page := b.get("900", b.handOut(operation, 1)).says(http.StatusOK)
		article := elements(page.doc, "article")[0]
		paper := labelsOnPaper(article)
		form := attrOf(article, "aria-label")[len("Form "):]
		on := "I-0029"
		if views.OfLoad(operation) {
			on = "F2-06"
		}
		entry := b.get("204", views.EnterOf(form)+"?on="+on).says(http.StatusOK)
		for _, a := range formActs(operation) {
			onPaper[a.name] = true
			screen, title := labelsOnScreen(b.screenForm(operation, a)), views.ActTitle(a.name)
			// What the whole page is about on a screen is written on a form.
			switch a.name {
			case views.ActOpen:
				screen = append(screen, "Container")
			case views.ActResult:
				screen = append([]string{"Characteristic"}, screen...)
			case views.ActFit: // paper carries no photo: it is put on the insert afterwards
				screen = slices.DeleteFunc(screen, func(l string) bool { return l == "Photos of the fit" || l == "What the photos show" })
			case views.ActLoadBegin:
				screen = slices.DeleteFunc(screen, func(l string) bool { return l == "Load number" })
			}
			asked := screen
			if a.name == views.ActHold { // what is touched on a screen is written on paper
				asked = []string{"Reason for the hold"}
			}
			if got := paper[title]; !slices.Equal(got, asked) {
				t.Errorf("%s, %s: the form asks for %q; the screen for %q", operation, title, got, screen)
			}
			if len(screen) > 0 {
				typed := labelsOnScreen(fieldsetOf(entry, title))
				if got := typed[:len(typed)-2]; !slices.Equal(got, screen) {
					t.Errorf("%s, %s: the page that types it in asks for %q; the screen for %q", operation, title, got, screen)
				}
			}
		}
		if len(paper) != len(formActs(operation)) {
			t.Errorf("%s: the form has %d acts; want %d", operation, len(paper), len(formActs(operation)))
		}
	}
	for _, a := range acts {
		if a.name == views.ActPhoto { // it needs a camera, and paper carries none of what it took
			if onPaper[a.name] {
				t.Errorf("%s is on paper", a.name)
			}
			continue
		}
		if onPaper[a.name] == (a.meaning != "") {
			t.Errorf("%s: on paper %v, signed %v; want one of them", a.name, onPaper[a.name], a.meaning != "")
		}
	}
}

// fieldsetOf is the first line of an act on the page that types a form in.
func fieldsetOf(p shownPage, title string) *html.Node {
	p.Helper()
	for _, f := range elements(p.doc, "fieldset") {
		if legend := elements(f, "legend"); wordsIn(legend[0]) == title || wordsIn(legend[0]) == title+", line 1" {
			return f
		}
	}
	p.Fatalf("no line of %s can be typed in", title)
	return nil
}

// Every form of every operation is one sheet of A4 and of Letter, whole and
// with nothing over another.
func TestBlankFormsOnPaper(t *testing.T) {
	t.Parallel()
	outside.Program(t, "pdftotext", "poppler-utils")
	chromiumPath(t)
	b := staffed(t)
	server := b.serve()
	w := newTab(t, chromium(t), server.URL)
	b.at(w, "204", "")
	for _, operation := range formOperations() {
		to := b.handOut(operation, 2)
		for _, paper := range upright {
			t.Run(operation+" "+paper.name, func(t *testing.T) {
				w := &tab{TB: t, ctx: w.ctx, at: w.at, complaints: w.complaints}
				wanted := w.open(to).onPaper()
				file := pdfOf(t, w, paper.options)
				sheets := sheetsOf(t, file)
				if len(sheets) != 2 {
					t.Errorf("%d sheets for two forms", len(sheets))
				}
				if missing := missingWords(wanted, sheets); missing != nil {
					t.Errorf("not on paper: %q", missing)
				}
				text := onOneLine(strings.Join(sheets, " "))
				for _, screen := range []string{"Sign out", "Print this page", "All forms", "optional"} {
					if strings.Contains(text, screen) {
						t.Errorf("on paper stands %q, which only a screen can do", screen)
					}
				}
				laidOut(t, file)
			})
		}
	}
}

// After an outage the forms are named that nobody typed in or has seen blank.
func TestFormsMissingAfterAnOutage(t *testing.T) {
	b := staffed(t)
	b.opened("I-0031", "CR40")
	b.handOut(shop.OpPrint, 3)
	b.advance(5 * time.Hour)
	b.put("601", shop.OutageNoted{From: b.now().Add(-4 * time.Hour), Until: b.now().Add(-time.Hour), Note: "switch cabinet"})
	b.enter(shop.Entry{By: "204", At: b.now().Add(-2 * time.Hour), Paper: &shop.Paper{Form: "PF-0002", TypedBy: "402"}, Event: shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0031", Why: "stood open"}})
	b.get("900", "/paper").says(http.StatusOK, "Missing after the outage", "seen blank since: PF-0001 and PF-0003.").silent("I have counted")
	form := b.get("204", "/paper").mustForm("/paper")
	b.post("204", form, nil).says(http.StatusUnprocessableEntity, "No form is named: tick those that you have seen blank.")
	b.post("204", form, url.Values{"forms": {"PF-0002"}}).says(http.StatusConflict, "Form PF-0002 is not blank")
	if p := b.post("204", form, url.Values{"forms": {"PF-0003"}}); p.to != "/paper" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/paper").says(http.StatusOK, "seen blank since: PF-0001.")
	b.get("900", "/paper/PF-0003").says(http.StatusOK, "Seen still blank by 204")
	b.handOut(shop.OpPrint, 1)
	b.get("900", "/paper").says(http.StatusOK, "seen blank since: PF-0001.") // what was handed out since is not missing
}
