package server

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/google/uuid"

	"sinterbook/store/shop"
)

// A scanning is a tablet at the printer at which 204 stands.
type scanning struct {
	*bookTest
	w    *browser
	at   *httptest.Server
	path string // of the page that is shown
	page shownPage
	code map[string]string
}

func scans(t *testing.T) *scanning {
	t.Helper()
	return scansIdle(t, 0)
}

// scansIdle is scans at a tablet that locks itself after a while.
func scansIdle(t *testing.T, idle time.Duration) *scanning {
	t.Helper()
	b := staffed(t)
	b.server.idle = idle
	b.put("601", shop.StationAdded{Station: "PR1", Name: "Printer P1", Operation: shop.OpPrint, Equipment: "P1", Code: shop.NewScanCode()})
	for _, badge := range []string{"204", "402", "601"} {
		b.keyed(badge)
	}
	b.opened("I-0029", "CR40")
	b.opened("I-0030", "CR40")
	s := &scanning{bookTest: b, at: b.serve(), path: "/station", code: cardCodes()}
	s.w = b.browser(s.at)
	token := b.tabletAt("PR1", "T-1")
	s.w.post("/tablet", url.Values{"token": {token}})
	for _, badge := range []string{"402", "204"} {
		if p := s.w.post("/sign-in", url.Values{"badge": {badge}, "pin": {rightPIN}, "next": {"/station"}}); p.to != "/station" {
			t.Fatalf("signing in: %d %s", p.status, p.text())
		}
	}
	kinds, err := b.store.CodedKinds(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, kind := range kinds {
		all, err := b.store.CodesOf(t.Context(), kind, nil, 1000)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range all {
			s.code[c.Number] = string(c.Code)
		}
	}
	s.open("/station")
	return s
}

func (s *scanning) open(path string) *scanning {
	s.Helper()
	s.path, s.page = path, s.w.get(path)
	for s.page.status == http.StatusSeeOther {
		s.path = s.page.to
		s.page = s.w.get(s.path)
	}
	return s
}

// scan sends the box with everything that stands on the page, as a browser
// does that runs no script, and follows.
func (s *scanning) scan(raw string, typed ...string) *scanning {
	s.Helper()
	values, to := url.Values{}, "/station/scan"
	for _, n := range elements(s.page.doc, "input", "textarea", "select") {
		if name := attrOf(n, "name"); sentWith(n) {
			values.Add(name, valueOf(n))
		}
	}
	for _, n := range elements(s.page.doc, "form", "button") {
		if a := attrOf(n, "formaction") + attrOf(n, "action"); strings.HasSuffix(a, "/scan") {
			to = a
		}
	}
	for i := 0; i+1 < len(typed); i += 2 {
		values.Set(typed[i], typed[i+1])
	}
	values.Set("scan", raw)
	s.page = s.w.post(to, values)
	for s.page.status == http.StatusSeeOther {
		s.path = s.page.to
		s.page = s.w.get(s.path)
	}
	return s
}

func (s *scanning) reads(want ...string) *scanning {
	s.Helper()
	text := s.page.text()
	for _, words := range want {
		if !strings.Contains(text, words) {
			s.Fatalf("the page at %s does not say %q: %s", s.path, words, text)
		}
	}
	return s
}

// has is what stands in a field of the page.
func (s *scanning) has(field, want string) *scanning {
	s.Helper()
	for _, n := range elements(s.page.doc, "input", "textarea", "select") {
		if attrOf(n, "name") == field {
			if got := valueOf(n); got != want {
				s.Fatalf("%s: the field %s has %q; want %q", s.path, field, got, want)
			}
			return s
		}
	}
	s.Fatalf("%s has no field %s: %s", s.path, field, s.page.text())
	return s
}

var printedBy = []string{"kx", "1.2019", "ky", "1.2019", "kz", "1.2180", "layers", "304", "plate", "41.5"}

// Any order of scans that makes sense comes to the same end: a print that is
// started, a draw that is recorded; and each record says what it was scanned
// from.
func TestScansInAnyOrder(t *testing.T) {
	t.Parallel()
	for _, order := range [][]string{
		{"I-0029", "PL-01", testProgram},
		{"PL-01", "I-0029", testProgram},
		{testProgram, "P1", "PL-01", "I-0029"},
		{"P1", "I-0029", testProgram, "PL-01"},
	} {
		t.Run(strings.Join(order, " ")[:16], func(t *testing.T) {
			t.Parallel()
			s := scans(t)
			for _, what := range order {
				if c := s.code[what]; c != "" {
					what = c
				}
				s.scan(what)
			}
			s.reads("Start the print").has("carrier", "PL-01").has("program_sha256", testProgram).has("machine", "P1")
			s.scan(s.code["START"], printedBy...).reads("Print of I-0029 started at")
			s.scan(s.code["L2509-A/01"]).reads("Draw paste").has("container", "L2509-A/01")
			s.scan(s.code["RECORD"], "from_layer", "1", "to_layer", "100", "drawn", "92.5").reads("92.5 g drawn from L2509-A/01 for layers 1 to 100 of I-0029")
			h := s.get("900", "/history/insert/I-0029").text()
			for _, want := range []string{"Scanned: insert I-0029, ", "carrier PL-01", "container L2509-A/01"} {
				if !strings.Contains(h, want) {
					t.Errorf("the history does not say %q: %s", want, h)
				}
			}
		})
	}
}

// What a scanner adds to a code is taken off, and the raw text is kept.
func TestScanAsItArrives(t *testing.T) {
	t.Parallel()
	s := scans(t)
	code := s.code["I-0029"]
	for _, raw := range []string{code + "\r", "*" + code + "*\r", "\x02" + code + "\x03\r\n", "]C0" + code + "\t", "]d1" + code, "  " + code + " \r", strings.ToLower(code), code[:5] + " " + code[5:],
		"HTTP://" + strings.ToUpper(s.at.Listener.Addr().String()) + "/T/" + code, "https://other.example/t/" + strings.ToLower(code), "]Q1HTTPS://OTHER.EXAMPLE/T/" + code} {
		if s.open("/station").scan(raw); !strings.HasPrefix(s.path, "/station/I-0029") || !strings.Contains(s.page.text(), "Start the print") {
			t.Errorf("%q leads to %s: %s", raw, s.path, s.page.text())
		}
	}
	s.scan(s.code["PL-01"]).scan("]Q1"+testProgram).scan(s.code["START"], printedBy...).reads("Print of I-0029 started")
	last, err := s.store.Entry(t.Context(), s.entries()-1)
	if err != nil {
		t.Fatal(err)
	}
	want := shop.Scanned{Raw: "]Q1HTTPS://OTHER.EXAMPLE/T/" + code, Is: "insert/I-0029"}
	if !slices.Contains(last.Scans, want) {
		t.Errorf("the entry rests on the scans %q; want %q among them", last.Scans, want)
	}
	s.open("/station").scan(" \r").reads("Nothing was scanned, and nothing was recorded")
}

// A scan that is not whole or not of this shop is refused with a sentence that
// says why, and opens nothing.
func TestScansThatAreRefused(t *testing.T) {
	t.Parallel()
	s := scans(t)
	code := s.code["I-0029"]
	s.put("101", shop.LotReceived{Lot: "GA317-8", Material: "HT44", MadeOn: "2025-12-01", ExpiresOn: "2026-12-01", OpenLifeDays: 10, Code: shop.NewScanCode()})
	s.put("101", shop.LotReceived{Lot: "GQ", Material: "HT44", MadeOn: "2025-12-01", ExpiresOn: "2026-12-01", OpenLifeDays: 10, Code: shop.NewScanCode()})
	wrong := []byte(code)
	wrong[3] = map[bool]byte{true: '4', false: '3'}[wrong[3] == '3']
	before := s.entries()
	for _, tt := range []struct{ name, raw, says string }{
		{"half a code", code[:6], "only a part of a scan code: 6 of its 10 characters"},
		{"its end", code[4:], "only a part of a scan code"},
		{"a wrong character", string(wrong), "has a wrong character"},
		{"two at once", code + s.code["I-0030"], "Two scans came as one"},
		{"French keys", "GQ\"&è)_\r", "Scanner and computer use different keyboards"},
		{"French keys, no end", "GQ\"&è)_", "Scanner and computer use different keyboards"},
		{"unknown", "H-9999", "Nothing in this book is called H-9999"},
		{"a station", s.code["PR1"], "is a station"},
		{"a card alone", s.code["START"], "Scan a traveler first"},
		{"what is wrong", s.code["FAULT"], "Scan first what is wrong"},
	} {
		s.open("/station").scan(tt.raw)
		if s.page.status != http.StatusUnprocessableEntity || !strings.Contains(s.page.text(), tt.says) {
			t.Errorf("%s: %d at %s: %s", tt.name, s.page.status, s.path, s.page.text())
		}
	}
	if s.open("/station").scan("GQ\"&è)_"); !strings.Contains(s.page.text(), `GQ\"&è)_`) {
		t.Errorf("the text that arrived is not shown: %s", s.page.text())
	}
	if got := s.entries() - before; got != 0 {
		t.Errorf("%d entries were made by scans that were refused", got)
	}
}

// A card that is read twice records once, and says who did what it asks for.
func TestCardReadTwice(t *testing.T) {
	t.Parallel()
	s := scans(t)
	s.scan(s.code["I-0029"]).scan(s.code["PL-01"]).scan(testProgram)
	before := s.entries()
	s.scan(s.code["START"], printedBy...).reads("Print of I-0029 started at")
	s.scan(s.code["START"]).reads("Print, dry, shape of I-0029 was started by 204 at", "already; nothing was recorded twice")
	if got := s.entries() - before; got != 1 {
		t.Errorf("two reads of START made %d entries; want 1", got)
	}
	s.scan(s.code["FINISH"]).reads("is under way, and its records are not complete yet. Nothing was recorded.")
	s.scan(s.code["PAUSE"]).reads("Print, dry, shape of I-0029 paused at", "To go on, scan START", "Record that it goes on")
	if strings.Contains(s.page.text(), "Finish the print") {
		t.Error("what is paused can be finished")
	}
	s.scan(s.code["FINISH"]).reads("is paused: scan START to go on with it first. Nothing was recorded.")
	s.scan(s.code["PAUSE"]).reads("was paused by 204 at")
	s.scan(s.code["START"]).reads("Print, dry, shape of I-0029 goes on at")
	if got := s.entries() - before; got != 3 {
		t.Errorf("start, pause and going on, each read twice at the most, made %d entries; want 3", got)
	}
}

// A field that the page had filled in and a person emptied stays empty; in the
// form of another act it is proposed anew.
func TestEmptiedFieldStaysEmpty(t *testing.T) {
	t.Parallel()
	s := scans(t)
	s.scan(s.code["I-0029"]).has("machine", "P1").scan(s.code["PL-01"], "machine", "").has("carrier", "PL-01").has("machine", "")
	s.scan(s.code["402"]).reads("Badge 402 works here now.").has("machine", "")
	s.scan(s.code["204"]).scan(s.code["P1"]).has("machine", "P1")
	s.scan(testProgram, "machine", "").scan(s.code["RECORD"], printedBy...).reads("The machine is missing.").has("machine", "")
	s.scan(s.code["RECORD"], "machine", "P1").reads("Print of I-0029 started at")
}

// What is too long for an address is said to be, and stays in the form.
func TestLongRemarkStays(t *testing.T) {
	t.Parallel()
	s := scans(t)
	s.scan(s.code["I-0029"]).scan(s.code["PL-01"]).scan(testProgram).scan(s.code["START"], printedBy...).reads("Print of I-0029 started at")
	s.open("/station/I-0029?act=layers")
	long := strings.Repeat("the edge of layer 120 looks dry; ", 300) + "all of it"
	s.scan(s.code["402"], "from_layer", "1", "to_layer", "304", "remark", long).reads("too long to go along with another scan", "the scan was not used").has("remark", long).has("to_layer", "304")
	s.scan(s.code["RECORD"]).reads("Layers 1 to 304 of I-0029 recorded")
	l, err := s.store.Layers(t.Context(), "I-0029")
	if err != nil || len(l) != 1 || l[0].Remark != long || l[0].By != "204" {
		t.Errorf("recorded: %d, %v", len(l), err)
	}
}

// What is typed is never lost: not by a scan, not by another person's badge,
// not by a card that means something else, not by another traveler.
func TestTypedStays(t *testing.T) {
	t.Parallel()
	s := scans(t)
	s.scan(s.code["I-0029"]).scan(s.code["PL-01"], "kx", "1.2019", "plate", "41.5").has("kx", "1.2019").has("plate", "41.5").has("carrier", "PL-01")
	before := s.entries()
	s.scan(s.code["402"]).reads("Badge 402 works here now.").has("kx", "1.2019").has("plate", "41.5").has("carrier", "PL-01")
	s.scan(s.code["204"]).reads("Badge 204 works here now.").has("kx", "1.2019")
	s.scan(s.code["I-0030"]).reads("What you typed about I-0029 is not recorded yet").has("kx", "1.2019")
	s.scan(s.code["HOLD"]).reads("What you typed here is not recorded yet").has("plate", "41.5")
	s.scan("H-9999").reads("Nothing in this book is called H-9999").has("kx", "1.2019").has("carrier", "PL-01")
	s.scan("").reads("Nothing was scanned").has("kx", "1.2019")
	s.scan(s.code["RECORD"]).reads("Nothing was stored", "The number of planned layers").has("kx", "1.2019")
	s.scan(s.code["CLEAR"]).reads("The bench is clear; nothing was recorded.", "Scan a traveler to begin.")
	if got := s.entries() - before; got != 0 {
		t.Errorf("%d entries were made; want none", got)
	}
}

// The way back to an act that was recorded leads to the same act: it is not
// recorded twice, and other values are said to be others. One that was refused
// can be tried again.
func TestWayBackToAnAct(t *testing.T) {
	t.Parallel()
	s := scans(t)
	s.scan(s.code["I-0029"]).scan(s.code["PL-01"]).scan(testProgram).scan(s.code["START"], printedBy...).reads("Print of I-0029 started at")
	draw := []string{"from_layer", "1", "to_layer", "45", "drawn", "118.4"}
	s.scan("H-9999", draw...) // something else is scanned meanwhile
	s.scan(s.code["L2509-A/01"]).has("drawn", "118.4").has("container", "L2509-A/01")
	typed := s.path
	before := s.entries()
	s.scan(s.code["RECORD"]).reads("118.4 g drawn from L2509-A/01")
	s.open(typed).scan(s.code["RECORD"]).reads("118.4 g drawn", "nothing was recorded twice")
	if got := s.entries() - before; got != 1 {
		t.Errorf("a draw and the way back to it made %d entries; want 1", got)
	}
	s.open(typed).scan(s.code["RECORD"], "drawn", "11.4").reads("was sent before with other values")
	s.scan(s.code["RECORD"], "from_layer", "46", "to_layer", "50", "drawn", "11.4").reads("11.4 g drawn from L2509-A/01 for layers 46 to 50")
	s.put("601", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0029", Why: "look at the edge"})
	s.open("/station/I-0029?act=layers").open("/station/I-0029?act=layers&from_layer=1&to_layer=5&command=" + uuid.Must(uuid.NewV7()).String())
	held := s.path
	s.scan(s.code["RECORD"]).reads("H-001")
	s.sign("601", shop.HoldLifted{Hold: "H-001", OnKind: "insert", OnCode: "I-0029", Why: "looked at"})
	s.open(held).scan(s.code["RECORD"], "from_layer", "1", "to_layer", "5").reads("Layers 1 to 5 of I-0029 recorded")
}

// A tablet that nobody touched asks for a badge; what was typed comes back to
// whoever scans theirs, and is theirs.
func TestIdleTabletLocks(t *testing.T) {
	t.Parallel()
	s := scansIdle(t, 10*time.Minute)
	s.scan(s.code["I-0029"]).scan(s.code["PL-01"]).scan(testProgram)
	s.advance(9 * time.Minute)
	s.open(s.path).reads("Start the print")
	s.advance(9 * time.Minute)
	s.open(s.path).reads("Start the print")
	s.advance(11 * time.Minute)
	before := s.entries()
	s.scan(s.code["START"], printedBy...).reads("Sign in", "nothing was recorded", "Scan your badge")
	if s.entries() != before {
		t.Error("a locked tablet recorded something")
	}
	next := namedField(t, s.page.mustForm("/sign-in"), "next")
	p := s.w.post("/sign-in", url.Values{"badge": {s.code["402"]}, "next": {valueOf(next)}})
	if p.status != http.StatusSeeOther {
		t.Fatalf("a badge scan: %d %s", p.status, p.text())
	}
	s.open(p.to).reads("402 inspector", "Badge 402 is not authorised for print").has("kx", "1.2019").has("carrier", "PL-01").has("program_sha256", testProgram)
	if p := s.w.post("/sign-in", url.Values{"badge": {"204"}, "next": {"/station"}}); p.status == http.StatusSeeOther {
		t.Error("a badge that was typed, not scanned, takes over without a PIN")
	}
}

// A scanner types into a real browser wherever the cursor is: into the box, a
// half filled field, on a button. It never records and never presses.
func TestWedgeScanner(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	s := scans(t)
	w := newTab(t, chromium(t), s.at.URL)
	w.open("/tablet?token=" + s.tabletAt("PR1", "T-2")).press("Register this tablet")
	w.fields("Badge", s.code["204"], "PIN", rightPIN).press("Sign in").reads("204 print operator")
	code := s.code["I-0029"]
	for _, raw := range []string{code + "\r", "*" + code + "*\r", "]C0" + code + "\t", "  " + code + " \r", code} {
		w.open("/station")
		w.settle()
		w.loaded("scanning "+raw, typedFast(raw))
		w.reads("I-0029", "Start the print")
		w.forget()
	}
	before := s.entries()
	w.fields("Plate temperature, °C", "41")
	w.loaded("scanning into a field", typedFast(s.code["PL-01"]+"\r"))
	if plate, carrier := w.value("Plate temperature, °C"), w.value("Plate that carries the part"); plate != "41" || carrier != "PL-01" {
		t.Errorf("after a scan into a field it has %q and the plate is %q; want 41 and PL-01", plate, carrier)
	}
	script[bool](w, "focusOn", "Record the start of the print")
	w.loaded("scanning on a button", typedFast(testProgram+"\r"))
	if got := w.value("SHA-256 of the program as the machine shows it"); got != testProgram {
		t.Errorf("after a scan on a button the program is %q", got)
	}
	w.fields("Room, °C", "22")
	step(w, "Enter in a field", chromedp.KeyEvent("\r"))
	if got := script[string](w, "focused"); got != "Humidity, %" {
		t.Errorf("Enter in a field leads to %q; want the next field", got)
	}
	if got := s.entries() - before; got != 0 {
		t.Errorf("scans and Enter made %d entries; want none", got)
	}
	w.fields(oversizeX, "1.2019", oversizeY, "1.2019", oversizeZ, "1.2180", "Layers planned", "304")
	w.loaded("scanning START", typedFast(s.code["START"]+"\r"))
	w.reads("Print of I-0029 started")
	step(w, "the trigger pulled once, read twice", typedFast(s.code["START"]+"\r"))
	w.reads("read twice; it counts once")
	if got := s.entries() - before; got != 1 {
		t.Errorf("START made %d entries; want 1", got)
	}
	w.forget()
	w.loaded("two scans at once", typedFast(s.code["L2509-A/01"]+"\r"+s.code["I-0030"]+"\r"))
	// The second one falls into the change of pages: it is read whole or refused.
	for range 40 {
		if text := w.words(); strings.Contains(text, "P1 is printing I-0029") || strings.Contains(strings.ToLower(text), "nothing was recorded") {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if text := w.words(); !strings.Contains(text, "P1 is printing I-0029") && !strings.Contains(strings.ToLower(text), "nothing was recorded") {
		t.Errorf("of two scans at once the second is neither on the bench nor refused: %s", text)
	}
	w.quiet("the scanner's pages")
}

// A page of a station without the box leads to the Station with what is scanned;
// a scan into one of its fields stays there. On the page of a fault the card
// RECORD presses its button, and Enter in a reason leads on.
func TestScanBesideTheStation(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	s := scans(t)
	w := newTab(t, chromium(t), s.at.URL)
	w.open("/tablet?token=" + s.tabletAt("PR1", "T-2")).press("Register this tablet")
	w.fields("Badge", s.code["204"], "PIN", rightPIN).press("Sign in").reads("204 print operator")
	code := s.code["I-0029"]
	for _, page := range []string{"/floor", "/station/kept", "/inserts/I-0029"} {
		w.open(page)
		w.settle()
		w.loaded("scanning at "+page, typedFast("]C0"+code+"\r"))
		w.reads("I-0029", "Start the print")
		w.forget()
	}
	w.open("/floor")
	w.settle()
	eval[bool](w, "[...document.querySelectorAll('main input')].find((e) => e.labels?.[0]?.textContent.includes('Number or scan code')).focus(), true")
	step(w, "scanning into a field", typedFast(code))
	if got := w.value("Number or scan code"); got != code {
		t.Errorf("after a scan into it the field has %q", got)
	}
	w.forget()
	w.open("/station/I-0029")
	w.settle()
	w.loaded("scanning FAULT", typedFast(s.code["FAULT"]+"\r"))
	w.reads("Raise a nonconformance")
	w.settle()
	if got := script[string](w, "focused"); got != "Crack or chip" {
		t.Errorf("the cursor begins at %q; want the first reason", got)
	}
	before := s.entries()
	step(w, "Enter in a reason", chromedp.KeyEvent("\r"))
	if got := script[string](w, "focused"); !strings.HasPrefix(got, "In your own words") {
		t.Errorf("Enter in a reason leads to %q; want the words below", got)
	}
	eval[bool](w, "document.querySelector('[value=\"Bent or warped\"]').click(), document.activeElement.blur(), true")
	time.Sleep(100 * time.Millisecond)
	w.loaded("scanning RECORD", typedFast(s.code["RECORD"]+"\r"))
	w.reads("NC-001 was raised on I-0029", "Bent or warped")
	if got := s.entries() - before; got != 1 {
		t.Errorf("%d entries; want the nonconformance", got)
	}
	w.quiet("pages beside the station")
}

// A scan that the change of pages cut in two goes on, or ends by itself; one
// key that a hand had typed is no scan.
func TestScanOverTwoPages(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	s := scans(t)
	w := newTab(t, chromium(t), s.at.URL)
	w.open("/tablet?token=" + s.tabletAt("PR1", "T-2")).press("Register this tablet")
	w.fields("Badge", s.code["204"], "PIN", rightPIN).press("Sign in").reads("204 print operator")
	code := s.code["I-0029"]
	for _, tt := range []struct{ name, before, says string }{
		{"whole but for its end", code, "Start the print"},
		{"only its beginning", code[:4], "Nothing in this book is called " + code[:4]},
		{"one key", "x", "Scan a traveler to begin."},
	} {
		eval[bool](w, fmt.Sprintf(`sessionStorage.setItem("half", JSON.stringify({ text: %q, keys: %d, at: Date.now() })), true`, tt.before, len(tt.before)))
		w.open("/station")
		time.Sleep(time.Second) // a scan without an end has ended by then
		w.comes(tt.says)
		if got := eval[string](w, `document.querySelector("[data-scan]").value`); got == "x" {
			t.Errorf("%s: the box has %q", tt.name, got)
		}
		w.forget()
	}
	w.quiet("scans over two pages")
}

// forget lets the next scan of the same label count.
func (w *tab) forget() {
	w.Helper()
	step(w, "forgetting the last scan", chromedp.Evaluate[bool]("sessionStorage.removeItem('repeat') ?? true"))
}

// typedFast are keys as a scanner sends them, 5 ms apart however busy the
// machine is.
func typedFast(keys string) chromedp.Action[chromedp.Void] {
	at := time.Now()
	return chromedp.KeyEvent(keys, func(p *input.DispatchKeyEventParams) {
		at = at.Add(2500 * time.Microsecond) // a key goes down and up
		p.Timestamp = input.TimeSinceEpoch(float64(at.UnixMicro()) / 1e6)
	})
}
