package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"sinterbook/store/shop"
)

// lotA20 takes the lot A20 in, by hand.
func (b *bookTest) lotA20() {
	b.Helper()
	b.put("101", shop.LotReceived{Lot: "A20", Material: "HT44 paste", MadeOn: "2025-09-30", ExpiresOn: "2027-03-31", OpenLifeDays: 30, Code: shop.NewScanCode()})
}

// values are what stands in fields of the form that a page shows.
func (p shownPage) values(action string, want map[string]string) {
	p.Helper()
	form := p.mustForm(action)
	for field, w := range want {
		if got := valueOf(namedField(p.TB, form, field)); got != w {
			p.Errorf("%s is %q; want %q", field, got, w)
		}
	}
}

// A tub has several labels with one field each: every scan fills in its part,
// and all of them are kept, to the byte.
func TestSeveralLabelsOfADelivery(t *testing.T) {
	b := staffed(t)
	p := b.readLabel("101", "/new/lot", "label", url.Values{"scan": {"[)>\x1e06\x1d1TA20\x1d1VK77\x1d16D20250930\x1e\x04\r"}}).says(http.StatusOK, "Supplier (1V) K77")
	p = b.send("101", p, "/new/lot", url.Values{"scan": {"]d217270331\r"}, "more": {"label"}}).says(http.StatusOK, "Last day of use (17)", "Leave all 2 labels out")
	p = b.send("101", p, "/new/lot", url.Values{"scan": {"]d217270331\r"}, "more": {"label"}}).says(http.StatusOK, "Leave all 2 labels out") // read twice, it is one
	p.values("/new/lot", map[string]string{"lot": "A20", "supplier": "K77", "made_on": "2025-09-30", "expires_on": "2027-03-31"})
	other := b.send("101", p, "/new/lot", url.Values{"scan": {"]d210A21\r"}, "more": {"label"}}).says(http.StatusUnprocessableEntity, "The label is of lot A21, and the form of A20: nothing was taken from it.")
	other.values("/new/lot", map[string]string{"lot": "A20"})
	if p := b.send("101", p, "/new/lot", url.Values{"material": {"HT44 paste"}, "open_life_days": {"30"}}); p.to != "/lots/A20" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	l, err := b.store.Lot(t.Context(), "A20")
	if want := `[)>\x1e06\x1d1TA20\x1d1VK77\x1d16D20250930\x1e\x04\x0d` + "\n" + `]d217270331\x0d`; err != nil || l.Label != want || l.Supplier != "K77" {
		t.Errorf("kept is %q of %q, %v; want %q", l.Label, l.Supplier, err, want)
	}
	b.get("900", "/lots/A20").says(http.StatusOK, "K77", `]d217270331\x0d`, `\x1d1VK77`)
	b.get("900", "/history/lot/A20").says(http.StatusOK, "supplied by K77", `\x1e\x04\x0d, and another as ]d217270331\x0d`)
	form := b.newFiling("101", "A20")
	if got := valueOf(namedField(t, form, "issued_by")); got != "K77" {
		t.Errorf("the issuer of its certificate is proposed as %q; want the supplier", got)
	}

	p = b.readLabel("204", "/new/container", "label", url.Values{"scan": {"1TA20\r"}}).says(http.StatusUnprocessableEntity, "It may be the lot")
	p = b.send("204", p, "/new/container", url.Values{"more": {"likely"}})
	p = b.send("204", p, "/new/container", url.Values{"scan": {"[)>\x1e06\x1dSJ-0031\x1d7Q2500GR\x1e\x04"}, "more": {"label"}}).says(http.StatusOK)
	p.values("/new/container", map[string]string{"lot": "A20", "serial": "J-0031", "mass": "2500", "mass_unit": "g", "container": "A20/01"})
	b.send("204", p, "/new/container", url.Values{"scan": {"[)>\x1e06\x1dSJ-0032\x1e\x04"}, "more": {"label"}}).says(http.StatusUnprocessableEntity, "The label is of serial number J-0032, and the form of J-0031: nothing was taken from it.")
	if p := b.send("204", p, "/new/container", nil); p.to != "/containers/A20/01" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	c, err := b.store.Container(t.Context(), "A20/01")
	if want := `1TA20\x0d` + "\n" + `[)>\x1e06\x1dSJ-0031\x1d7Q2500GR\x1e\x04`; err != nil || c.Label != want {
		t.Errorf("kept is %q, %v; want %q", c.Label, err, want)
	}
}

// send sends the form that a page shows, with every label that was read.
func (b *bookTest) send(badge string, p shownPage, action string, fields url.Values) shownPage {
	b.Helper()
	values := url.Values{}
	for _, n := range elements(p.mustForm(action), "input", "textarea", "select") {
		if sentWith(n) {
			values.Add(attrOf(n, "name"), valueOf(n))
		}
	}
	for field, v := range fields {
		values[field] = v
	}
	r, err := http.NewRequestWithContext(b.Context(), http.MethodPost, action, strings.NewReader(values.Encode()))
	if err != nil {
		b.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return b.answer(badge, r)
}

// What a label says in another unit, or of days that cannot be right, is said
// beside it; no number is filled in by guessing.
func TestOddLabels(t *testing.T) {
	b := staffed(t)
	b.lotA20()
	for _, tt := range []struct{ name, scan, says, mass, unit string }{
		{"grams", "[)>\x1e06\x1d1TA20\x1d7Q2500GR\x1e\x04", "The label says", "2500", "g"},
		{"kilograms", "]d2310300250010A20", "The label says", "2.500", "kg"},
		{"pounds", "]d2320200055010A20", "The label gives the mass as 5.50 lb, which is 2494.8 g. Weigh the container, and type its mass in g or kg.", "", ""},
		{"ounces", "[)>\x1e06\x1d1TA20\x1d7Q88OZ\x1e\x04", "The label gives the mass as 88 oz, which is 2494.8 g.", "", ""},
		{"no unit", "[)>\x1e06\x1d1TA20\x1dQ2500\x1e\x04", "The label gives the quantity 2500 and no unit", "", ""},
		{"pieces", "]d2304\x1d10A20", "The label gives the quantity as 4 pieces, which is no mass", "", ""},
		{"another expiry than the lot's", "]d21727043010A20", "the book says 2027-03-31 of lot A20", "", ""},
		{"expired", "]d21725013110A20", "The last day of use on the label, 2025-01-31, has passed", "", ""},
		{"made tomorrow", "]d21125102110A20", "The day it was made on the label, 2025-10-21, is still to come", "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b.TB = t
			b.readLabel("204", "/new/container", "label", url.Values{"scan": {tt.scan}}).says(http.StatusOK, tt.says).
				values("/new/container", map[string]string{"lot": "A20", "mass": tt.mass, "mass_unit": tt.unit})
		})
	}
	b.TB = t
	b.readLabel("204", "/new/container", "label", url.Values{"scan": {"]d2310300250010A20"}, "mass": {"2500"}, "mass_unit": {"kg"}}).
		says(http.StatusOK, "The label says 2.500 kg, and here stands 2500 kg").values("/new/container", map[string]string{"mass": "2500", "mass_unit": "kg"})
	b.readLabel("101", "/new/lot", "label", url.Values{"scan": {"[)>\x1e06\x1d1TA22\x1d14D31032027\x1e\x04"}}).
		says(http.StatusUnprocessableEntity, "Read with the day first it would be 2027-03-31: look at the label, and type the day.").values("/new/lot", map[string]string{"expires_on": "", "lot": ""})
}

// Case 10: what a scanner puts before and after is no part of the number; two
// scans that came as one open nothing, and an empty one does nothing.
func TestCase10PrefixAndSuffix(t *testing.T) {
	t.Parallel()
	s := scans(t)
	for _, lot := range []string{"0004711", "0004712"} {
		s.put("101", shop.LotReceived{Lot: lot, Material: "HT44", MadeOn: "2025-10-01", ExpiresOn: "2026-12-01", OpenLifeDays: 10, Code: shop.NewScanCode()})
	}
	before := s.entries()
	for _, raw := range []string{"0004711\r", "*0004711*\r", "\x020004711\x03\r\n", "]C00004711\t", "  0004711 \r", "0004711\r\n"} {
		if s.open("/station").scan(raw); s.path != "/lots/0004711" {
			t.Errorf("%q leads to %s: %.300s", raw, s.path, s.page.text())
		}
	}
	if s.open("/station").scan("0004711\r0004712\r"); s.page.status != http.StatusUnprocessableEntity || strings.HasPrefix(s.path, "/lots/") {
		t.Errorf("two scans in one lead to %s with %d: %.300s", s.path, s.page.status, s.page.text())
	}
	s.open("/station").scan("\r").reads("Nothing was scanned, and nothing was recorded")
	if got := s.entries() - before; got != 0 {
		t.Errorf("scans made %d entries", got)
	}
}

// Case 11: what a keyboard of another country makes of a label opens no lot that
// is left when its odd characters are taken off, and makes none.
func TestCase11AzertyDigits(t *testing.T) {
	t.Parallel()
	s := scans(t)
	for _, lot := range []string{"GA317-8", "GQ"} {
		s.put("101", shop.LotReceived{Lot: lot, Material: "HT44", MadeOn: "2025-10-01", ExpiresOn: "2026-12-01", OpenLifeDays: 10, Code: shop.NewScanCode()})
	}
	before := s.entries()
	for _, raw := range []string{"GQ\"&è)_\r", "GQ\"&è)_"} {
		s.open("/station").scan(raw).reads("Scanner and computer use different keyboards", `GQ\"&è)_`)
		if strings.HasPrefix(s.path, "/lots/") {
			t.Errorf("%q opens %s", raw, s.path)
		}
		s.readLabel("101", "/new/lot", "label", url.Values{"scan": {raw}}).says(http.StatusUnprocessableEntity, "Scanner and computer use different keyboards", `GQ"&è)_`, "GA317-8").values("/new/lot", map[string]string{"lot": ""})
		s.readLabel("204", "/new/container", "label", url.Values{"scan": {raw}}).says(http.StatusUnprocessableEntity, "different keyboards").values("/new/container", map[string]string{"lot": ""})
	}
	if got := s.entries() - before; got != 0 {
		t.Errorf("scans made %d entries", got)
	}
}

// Case 12: with its separator, or with the lot last, a label is read; without it
// nothing is taken before a person compared it.
func TestCase12SeparatorLost(t *testing.T) {
	b := staffed(t)
	b.lotA20()
	for _, raw := range []string{"]d2010952123456789910A20\x1d17270331\r", "]d201095212345678991727033110A20\r"} {
		b.readLabel("204", "/new/container", "label", url.Values{"scan": {raw}}).says(http.StatusOK, "Last day of use (17) 2027-03-31").
			values("/new/container", map[string]string{"lot": "A20", "article": "09521234567899"})
	}
	before := b.entries()
	p := b.readLabel("204", "/new/container", "label", url.Values{"scan": {"]d2010952123456789910A2017270331\r"}}).
		says(http.StatusUnprocessableEntity, "The separator after field 10 is missing", `]d2010952123456789910A2017270331\x0d`, "Perhaps it says", "2027-03-31")
	p.values("/new/container", map[string]string{"lot": "", "article": ""})
	b.post("204", p.mustForm("/new/container"), url.Values{"more": {"likely"}}).says(http.StatusOK).values("/new/container", map[string]string{"lot": "A20", "article": "09521234567899"})
	if after := b.entries(); after != before {
		t.Errorf("the log grew from %d to %d", before, after)
	}
}

// wedge scans as a scanner does that is a keyboard: it presses Ctrl with a key
// for what cannot be typed, and Enter.
func (w *tab) wedge(label string) *tab {
	w.Helper()
	w.settle()
	w.forget()
	at := time.Now()
	keys := func(text string, held int64) chromedp.Action[chromedp.Void] {
		return chromedp.KeyEvent(text, func(p *input.DispatchKeyEventParams) {
			at = at.Add(2500 * time.Microsecond)
			p.Timestamp, p.Modifiers = input.TimeSinceEpoch(float64(at.UnixMicro())/1e6), p.Modifiers|held
		})
	}
	const ctrl = 2 // as the protocol has it
	control := map[rune]string{'\x1d': "]", '\x1e': "6", '\x04': "d"}
	for _, r := range label {
		if key, ok := control[r]; ok {
			step(w, "a control character", keys(key, ctrl))
		} else {
			step(w, "a key", keys(string(r), 0))
		}
	}
	w.loaded("Enter", keys("\r", 0))
	return w
}

// As at the goods-in: a keyboard scanner reads the labels of a tub with their
// control characters, lot and container are filled in and recorded, and the
// bytes are kept. Where the scanner swallows the separators, or puts another
// sign in their place, the page says so or reads them all the same.
func TestReceivingWithAScanner(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	b := staffed(t)
	w := newTab(t, chromium(t), b.serve().URL)
	b.at(w, "101", "")
	const lot = "[)>\x1e06\x1d1TA20\x1d1VK77\x1d14D20270331\x1d16D20250930\x1e\x04"
	w.open("/new/lot").wedge(lot).reads("The label says", "Supplier (1V)", `\x1d14D20270331\x1d16D20250930\x1e\x04`)
	for label, want := range map[string]string{"Lot number": "A20", "Supplier": "K77", "Last day of use": "2027-03-31", "Day it was mixed": "2025-09-30"} {
		if got := w.value(label); got != want {
			t.Errorf("%s is %q; want %q", label, got, want)
		}
	}
	w.wedge("[)>061TA201VK7714D20270331").reads("The separators of the label did not come", "It came as [)>061TA201VK7714D20270331")
	w.picture("separators swallowed")
	w.fields("Material", "HT44 paste", "Open life, days", "30")
	w.press("Receive the lot").reads("was not read yet").fill("Scan the supplier's label", "")
	w.press("Receive the lot").reads("Lot A20 was received.", "K77")
	w.open("/new/container").wedge("]d2310300250010A20\x1d21J-0031").reads("The label says")
	for label, want := range map[string]string{"Lot": "A20", "Container number": "A20/01", "Mass of paste in it": "2.500", "Unit of the mass": "kg", "Maker's serial number": "J-0031"} {
		if got := w.value(label); got != want {
			t.Errorf("%s is %q; want %q", label, got, want)
		}
	}
	w.picture("a container's label")
	w.press("Receive the container").reads("Container A20/01 was received.", `]d2310300250010A20\x1d21J-0031`)
	w.open("/new/container").wedge("]d210A20<GS>21J-0031").fields("Mass of paste in it", "2500", "Unit of the mass", "g").press("Receive the container").
		reads("The container with the maker's serial number J-0031 was booked in already: it is A20/01.")
	w.quiet("receiving")
	for number, want := range map[string]string{"A20/01": "]d2310300250010A20\x1d21J-0031"} {
		c, err := b.store.Container(t.Context(), number)
		if raw, ok := shop.AsScanned(c.Label); err != nil || !ok || raw != want {
			t.Errorf("kept is %q, %v; want %q", raw, err, want)
		}
	}
	l, err := b.store.Lot(t.Context(), "A20")
	if raw, ok := shop.AsScanned(l.Label); err != nil || !ok || raw != lot {
		t.Errorf("kept is %q, %v; want %q", raw, err, lot)
	}
}
