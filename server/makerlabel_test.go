package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"sinterbook/store/shop"
)

// readLabel presses a button of the label's box.
func (b *bookTest) readLabel(badge, path, button string, fields url.Values) shownPage {
	b.Helper()
	fields.Set("more", button)
	return b.post(badge, b.get(badge, path).mustForm(path), fields)
}

// The scan of a supplier's label fills in the form of a lot and is kept with
// it, to the byte.
func TestLabelOfALot(t *testing.T) {
	b := staffed(t)
	const raw = "]d2010952123456789910A20\x1d1126093017270331\r"
	before := b.entries()
	p := b.readLabel("101", "/new/lot", "label", url.Values{"scan": {raw}, "material": {"HT44 paste"}}).says(http.StatusOK, "Last day of use (17)", "2027-03-31", `]d2010952123456789910A20\x1d1126093017270331\x0d`)
	if after := b.entries(); after != before {
		t.Errorf("reading a label brought the log from %d to %d", before, after)
	}
	form := p.mustForm("/new/lot")
	for field, want := range map[string]string{"lot": "A20", "material": "HT44 paste", "made_on": "2026-09-30", "expires_on": "2027-03-31", "article": "09521234567899", "scan": "", "label": shop.Visible(raw)} {
		if got := valueOf(namedField(t, form, field)); got != want {
			t.Errorf("%s is %q; want %q", field, got, want)
		}
	}
	b.post("101", form, url.Values{"lot": {"A21"}, "open_life_days": {"30"}}).says(http.StatusUnprocessableEntity, "The supplier's label says lot A20; here stands A21.")
	b.post("101", form, url.Values{"scan": {"A21"}, "open_life_days": {"30"}}).says(http.StatusUnprocessableEntity, "was not read yet").linked()
	if p := b.post("101", form, url.Values{"open_life_days": {"30"}}); p.to != "/lots/A20" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/lots/A20").says(http.StatusOK, "09521234567899", `]d2010952123456789910A20\x1d1126093017270331\x0d`)
	b.get("900", "/history/lot/A20").says(http.StatusOK, `the supplier's label was scanned as ]d2010952123456789910A20\x1d1126093017270331\x0d`)
	l, err := b.store.Lot(t.Context(), "A20")
	if back, ok := shop.AsScanned(l.Label); err != nil || !ok || back != raw {
		t.Errorf("%q comes back as %q, %v, %v", l.Label, back, ok, err)
	}
}

// What cannot be read is said with the text as it came; what was typed stays,
// and nothing is filled in. A likely reading waits for a person.
func TestLabelThatIsNotRead(t *testing.T) {
	b := staffed(t)
	for name, tt := range map[string]struct{ scan, says string }{
		"another keyboard":      {`GQ"&è)_` + "\r", "Scanner and computer use different keyboards"},
		"no end":                {`GQ"&è)_`, `It came as GQ"&è)_.`},
		"a wrong check digit":   {"]d20109521234567898", "is 8 and should be 9"},
		"nothing":               {"", "Nothing was scanned."},
		"a label of a link":     {"https://label.example/lots/A20", "It is not opened"},
		"a lot that is another": {"]d210A20", "The label is of lot A20, and the form of L2510-X: nothing was taken from it."},
	} {
		t.Run(name, func(t *testing.T) {
			b.TB = t
			p := b.readLabel("101", "/new/lot", "label", url.Values{"scan": {tt.scan}, "lot": {"L2510-X"}}).says(http.StatusUnprocessableEntity, "Nothing was stored", tt.says).linked()
			form := p.mustForm("/new/lot")
			if lot := valueOf(namedField(t, form, "lot")); lot != "L2510-X" || strings.Contains(p.raw, `name="label"`) {
				t.Errorf("the lot is %q now", lot)
			}
		})
	}
	b.TB = t
	b.readLabel("101", "/new/lot", "label", url.Values{"scan": {"]d217270331"}, "expires_on": {"2027-04-30"}}).says(http.StatusUnprocessableEntity, "The label says 2027-03-31, and here stands 2027-04-30")

	lost := b.readLabel("101", "/new/lot", "label", url.Values{"scan": {"]d2010952123456789910A2017270331\r"}}).says(http.StatusUnprocessableEntity,
		"The separator after field 10 is missing", `]d2010952123456789910A2017270331\x0d`, "Perhaps it says", "2027-03-31").mustForm("/new/lot")
	if lot := valueOf(namedField(t, lost, "lot")); lot != "" {
		t.Errorf("the lot %q was filled in before anybody compared it", lot)
	}
	taken := b.post("101", lost, url.Values{"more": {"likely"}}).says(http.StatusOK, "The label says").mustForm("/new/lot")
	if lot, until := valueOf(namedField(t, taken, "lot")), valueOf(namedField(t, taken, "expires_on")); lot != "A20" || until != "2027-03-31" {
		t.Errorf("taken as lot %q until %q", lot, until)
	}
	left := b.post("101", taken, url.Values{"more": {"none"}, "expires_on": {"2027-04-01"}}).says(http.StatusOK).silent("The label says").mustForm("/new/lot")
	if lot, until := valueOf(namedField(t, left, "lot")), valueOf(namedField(t, left, "expires_on")); lot != "" || until != "2027-04-01" {
		t.Errorf("without the label the lot is %q, and what was typed over it %q", lot, until)
	}
	if p := b.post("101", taken, url.Values{"material": {"HT44 paste"}, "made_on": {"2026-09-30"}, "open_life_days": {"30"}}); p.to != "/lots/A20" {
		t.Errorf("status %d: %s", p.status, p.text())
	}
}

// A container's label must be of a lot that is here; the same one is booked in
// once.
func TestLabelOfAContainer(t *testing.T) {
	b := staffed(t)
	b.readLabel("204", "/new/container", "label", url.Values{"scan": {"]d210A20"}}).says(http.StatusUnprocessableEntity, "lot A20, which is not in this book: receive the lot first")
	b.readLabel("204", "/new/container", "label", url.Values{"scan": {"]d210A20"}, "lot": {"L2509-A"}}).says(http.StatusUnprocessableEntity, "The label is of lot A20, and the form of L2509-A")
	const scan = "[)>\x1e06\x1d1TL2509-A\x1d1PPX-7\x1dSJ-0031\x1d7Q2500GR\x1d14D20260111\x1e\x04\r"
	form := b.readLabel("204", "/new/container", "label", url.Values{"scan": {scan}}).says(http.StatusOK, "the book says 2026-01-10 of lot L2509-A").mustForm("/new/container")
	for field, want := range map[string]string{"lot": "L2509-A", "container": "L2509-A/03", "mass": "2500", "mass_unit": "g", "article": "PX-7", "serial": "J-0031"} {
		if got := valueOf(namedField(t, form, field)); got != want {
			t.Errorf("%s is %q; want %q", field, got, want)
		}
	}
	if p := b.post("204", form, url.Values{"mass": {"2499.2"}}); p.to != "/containers/L2509-A/03" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/containers/L2509-A/03").says(http.StatusOK, "PX-7", "J-0031", `[)>\x1e06\x1d1TL2509-A\x1d1PPX-7`)
	b.get("900", "/history/container/L2509-A/03").says(http.StatusOK, "serial number J-0031", `SJ-0031\x1d7Q2500GR`)
	again := b.readLabel("204", "/new/container", "label", url.Values{"scan": {scan}}).mustForm("/new/container")
	before := b.entries()
	b.post("204", again, nil).says(http.StatusConflict, "The container with the maker's serial number J-0031 was booked in already: it is L2509-A/03.")
	b.post("204", again, url.Values{"serial": {"J-0032"}}).says(http.StatusUnprocessableEntity, "The supplier's label says serial number J-0031; here stands J-0032.")
	if after := b.entries(); after != before {
		t.Errorf("the log grew from %d to %d", before, after)
	}
}

// A scanner types fast and ends with Enter or Tab: the label is read, and the
// form that is half filled in is not recorded, with script and without.
func TestLabelIsScanned(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	b := staffed(t)
	w := newTab(t, chromium(t), b.serve().URL)
	b.at(w, "101", "")
	before := b.entries()
	w.open("/new/lot").fields("Material", "HT44 paste", "Day it was mixed", "2026-09-30", "Open life, days", "30")
	step(w, "leaving the field", chromedp.Evaluate[chromedp.Void]("document.activeElement.blur()"))
	w.scan("[)>{RS}06{GS}1TA20{GS}14D20270331{RS}{EOT}").reads("The label says", "Last day of use (14D)", `[)>{RS}06{GS}1TA20`)
	for label, want := range map[string]string{"Lot number": "A20", "Last day of use": "2027-03-31", "Material": "HT44 paste", "Scan the supplier's label": ""} {
		if got := w.value(label); got != want {
			t.Errorf("%s is %q; want %q", label, got, want)
		}
	}
	w.examine("a label that was read")
	w.scan("]d210A21").reads("The label is of lot A21, and the form of A20")
	w.picture("label of another lot")
	for _, off := range []bool{false, true} {
		w.withoutScript(off)
		w.open("/new/lot").fields("Lot number", "A22", "Material", "HT44 paste", "Day it was mixed", "2026-09-30", "Last day of use", "2027-03-31", "Open life, days", "30", "Scan the supplier's label", "]d210A2017270331")
		w.loaded("Enter", chromedp.KeyEvent("\r"))
		w.reads("The separator after field 10 is missing")
		if !off {
			w.examine("a label in doubt")
		}
		w.press("It is right: take it").reads("The label is of lot A20, and the form of A22")
		w.fill("Scan the supplier's label", "")
		w.loaded("Enter", chromedp.KeyEvent("\r"))
		w.reads("Nothing was scanned")
	}
	w.withoutScript(false)
	if after := b.entries(); after != before {
		t.Errorf("scans brought the log from %d to %d", before, after)
	}
	w.quiet("the labels' tab")
}
