package server

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"golang.org/x/mod/sumdb/note"

	"sinterbook/store"
	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

// TestWalk takes one insert from an empty book to its delivery in a real
// browser, on both databases: every form is filled in by its labels, every scan
// is typed, and what is read is what the page says.
func TestWalk(t *testing.T) {
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		chromiumPath(t)
		walked(t, filepath.Join(t.TempDir(), "book.db"))
	})
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		chromiumPath(t)
		walked(t, outside.Schema(t))
	})
}

// A walk is a book and the browsers of the people who keep it.
type walk struct {
	*bookTest
	browser context.Context
	at      *httptest.Server
	lost    atomic.Bool // the next answer to a form is lost on its way
	slow    atomic.Bool // the next answer to a form is late

	manager, engineer, planner          *tab // in the office
	printer, oven, furnace, bench, fits *tab // tablets
	code                                map[string]string
}

// unopened is a book without its first page at an address of a database.
func unopened(t testing.TB, address string) (b *bookTest, verifier string) {
	t.Helper()
	b = &bookTest{TB: t}
	b.set(morning)
	signer, verifier, err := note.GenerateKey(nil, "sinterbook-test")
	if err != nil {
		t.Fatal(err)
	}
	if b.store, err = store.Open(t.Context(), store.Options{DB: address, Now: b.now, Signer: signer}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.store.Close(); err != nil {
			t.Error(err)
		}
	})
	return b, verifier
}

const setUpToken = "opens-once"

func walked(t *testing.T, address string) {
	b, verifier := unopened(t, address)
	b.server = New(Config{Store: b.store, Log: slog.New(slog.NewTextHandler(t.Output(), nil)), SetupToken: setUpToken, Verifier: verifier})
	w := &walk{bookTest: b, code: cardCodes()}
	w.at = httptest.NewServer(w.losing(b.server.Handler()))
	t.Cleanup(w.at.Close)
	t.Cleanup(b.server.EndStreams)
	w.browser = chromium(t)

	w.setUp()
	w.people()
	w.equipment()
	w.office()
	w.tablets()
	w.print()
	w.dry()
	w.sinter()
	w.inspect()
	w.again()
	w.fit()
	w.deliver()
	w.read()
	w.endsWell()
}

// losing records what is sent, but loses the answer or holds it back when it
// is told to.
func (w *walk) losing(h http.Handler) http.Handler {
	return http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost && w.lost.CompareAndSwap(true, false) {
			h.ServeHTTP(httptest.NewRecorder(), r)
			panic(http.ErrAbortHandler)
		}
		if r.Method == http.MethodPost && w.slow.CompareAndSwap(true, false) {
			answer := httptest.NewRecorder()
			h.ServeHTTP(answer, r)
			time.Sleep(400 * time.Millisecond)
			maps.Copy(out.Header(), answer.Header())
			out.WriteHeader(answer.Code)
			io.Copy(out, answer.Body)
			return
		}
		h.ServeHTTP(out, r)
	})
}

// pressTwice clicks twice before there is an answer.
func (w *walk) pressTwice(o *tab, text string) {
	w.Helper()
	w.slow.Store(true)
	p := o.find(text)
	o.loaded("pressing twice "+text, chromedp.Steps(chromedp.MouseClickXY(p.X, p.Y), chromedp.MouseClickXY(p.X, p.Y)))
	if w.slow.Load() {
		w.Errorf("%q sent nothing", text)
	}
}

// grown fails the test unless an act brings the log so many entries.
func (w *walk) grown(by int64, act func()) {
	w.Helper()
	before := w.entries()
	act()
	if got := w.entries() - before; got != by {
		w.Errorf("the log grew by %d entries; want %d", got, by)
	}
}

// setUp opens the book by the link of the console.
func (w *walk) setUp() {
	m := newTab(w.TB, w.browser, w.at.URL)
	m.open("/").reads("This book is not open yet")
	m.open("/set-up?token="+setUpToken).fields("The shop's name", "Test Shop", "Time zone", "Europe/Vienna", "The quality manager's badge", "601", "Name", "A. Example",
		"Password", rightPassword, "Password again", rightPassword, "PIN", rightPIN, "PIN again", rightPIN).press("Open the book")
	m.reads("The book is open", "Test Shop")
	w.manager = m
}

// people gives out the badges.
func (w *walk) people() {
	for _, p := range []struct {
		badge, role string
		operations  []string
	}{
		{"101", "process engineer", []string{"Release"}}, {"204", "print operator", []string{"Print, dry, shape", "Final drying"}}, {"311", "furnace operator", []string{"Sintering", "Tempering"}},
		{"402", "inspector", []string{"Inspection"}}, {"501", "toolmaker", []string{"Fit-up"}}, {"700", "planner", nil}, {"900", "auditor", nil}, {"601", "", []string{"Delivered"}},
	} {
		m := w.manager
		if p.role != "" {
			m.open("/people").press("Give out a badge").fields("Badge number", p.badge, "First day", "2025-01-01", p.role, "on").press("Give out the badge")
			m.reads("Badge "+p.badge+" was given out").fields("New PIN", rightPIN, "New PIN again", rightPIN, "New password", rightPassword, "New password again", rightPassword).press("Set them")
			m.reads("Recorded: PIN and password")
		}
		m.open("/people/" + p.badge)
		for _, operation := range p.operations {
			m.unfold("Authorise for an operation")
			m.under("Authorise for an operation").fields("Operation", operation, "First day", "2025-01-01", "Number of the training record", "TR-001").press("Authorise")
			m.reads("The authorisation was recorded.")
		}
		w.code[p.badge] = ungrouped(m.fact("Scan code of the badge"))
	}
	w.engineer, w.planner = w.inOffice("101"), w.inOffice("700")
}

func ungrouped(code string) string { return strings.ReplaceAll(code, " ", "") }

// inOffice signs in with a password.
func (w *walk) inOffice(badge string) *tab {
	o := newTab(w.TB, w.browser, w.at.URL)
	o.open("/").fields("Badge", badge, "Password", rightPassword).press("Sign in")
	return o
}

// nextDay lets time pass; those in the office sign in again.
func (w *walk) nextDay(d time.Duration) {
	w.advance(d)
	for badge, o := range map[string]*tab{"601": w.manager, "101": w.engineer, "700": w.planner} {
		o.open("/").reads("Sign in").fields("Badge", badge, "Password", rightPassword).press("Sign in")
	}
}

// equipment puts the machine, the furnace and the gauges into the book.
func (w *walk) equipment() {
	e := w.engineer
	e.open("/machines").reads("No machine was added yet").press("Add a machine").fields("Machine number", "P1", "Nozzle bore", "0.6", "Unit of the bore", "mm").press("Add the machine")
	w.code["P1"] = ungrouped(e.cell("P1", "Scan code"))
	e.open("/furnaces").press("Add a furnace").fields("Furnace number", "F2", "Position, line 1", "T1", "Zone, line 1", "top", "For, line 1", "an insert",
		"Position, line 2", "M1", "Zone, line 2", "middle", "For, line 2", "an insert").press("Add the furnace")
	e.reads("F2", "T1", "M1")
	w.fitness()
	m := w.manager
	m.open("/gauges").press("Enter a gauge").fields("Gauge number", "M-12", "Kind of gauge", "micrometer", "Range", "25-50 mm", "Resolution", "0.001",
		"Permissible error, plus or minus", "0.004", "Expanded uncertainty, k = 2", "0.003", "Unit of both", "mm").press("Enter the gauge")
	m.press("Enter a gauge").fields("Gauge number", "HT-1", "Kind of gauge", "hardness tester", "Range", "20-70 HRC").press("Enter the gauge")
	m.press("Enter a gauge").fields("Gauge number", "BAL-1", "Kind of gauge", "balance", "Range", "0-2000 g").press("Enter the gauge")
	w.code["M-12"], w.code["HT-1"] = ungrouped(m.cell("M-12", "Scan code")), ungrouped(m.cell("HT-1", "Scan code"))
	for _, g := range [][3]string{{"M-12", "mm", "25"}, {"HT-1", "HRC", "48.3"}, {"BAL-1", "g", "1000"}} {
		m.open("/gauges").press(g[0]).press("Record a calibration").fields("Number of the certificate", "CAL-"+g[0], "Verdict of the certificate", "pass", "Next one due", "2026-05-20",
			"Unit of the points", g[1], "Standard, line 1", g[2], "Read too much, as found, line 1", "0").press("Record the calibration").reads("The calibration of " + g[0] + " was recorded.")
	}
	m.open("/gauges/M-12").press("Check it on a block").fields("Size of the block", "25.000", "The gauge reads", "25.001").press("Record the check").reads("The check of M-12 was recorded: pass.", "it is in date")
}

// fitness puts into the book what machine and furnace need before they run:
// recipes, ovens, a plate, and tests that are in date.
func (w *walk) fitness() {
	e := w.engineer
	e.open("/machines/P1").reads("No check of the axes of machine P1 is on record").press("Record a check of its axes").fields("Verdict", "pass", "Next one due", "2026-02-04").press("Record the check").reads("its axes are in date")
	for _, r := range [][3]string{{"SR-1340", "C", "sintering"}, {"TR-590", "A", "tempering"}} {
		e.open("/recipes").press("Release a recipe").fields("Recipe number", r[0], "Revision", r[1], "For", r[2], "Soak temperature", "1340", "Counts as soak down to this much below", "5", "Degrees in", "°C",
			"Soak time, min", "120", "Tolerance of the time, plus or minus, min", "10", "Steps, with the gas", "purge, heat, hold, cool", "Your PIN", rightPIN).press("Release the recipe").reads("Recipe " + r[0] + " " + r[1] + " is released.")
	}
	for _, oven := range []string{"D1", "H1"} {
		e.open("/ovens").press("Add an oven").fields("Oven number", oven, "Shelves", "6", "Highest air temperature allowed", "700", "Degrees in", "°C").press("Add the oven").reads("Oven " + oven + " was added.")
	}
	e.open("/carriers").press("Put a carrier into use").fields("Carrier number", "PL-01", "Kind", "plate").press("Put it into use").reads("Carrier PL-01 is in use.")
	e.open("/cutters").press("Put a cutter in").fields("Cutter number", "CU-11", "Machine", "P1", "Diameter", "3", "Radius offset as typed, with its sign", "0.003", "Unit of both", "mm",
		"Cutting time that it is allowed, min", "900").press("Record that it was put in").reads("Cutter CU-11 is in P1.")
	for _, zone := range []string{"top", "middle"} {
		e.open("/furnaces/F2").press("Fit a sensor").fields("Sensor number", "F2-"+zone, "Zone", zone, "Thermocouple type", "S", "Number of its certificate", "TC-041").press("Record that it was fitted")
		e.press("Record a SAT").fields("Sensor", "F2-"+zone, "Degrees in", "°C", "Set point", "1340", "The furnace reads", "1340.0", "The test sensor reads, corrected", "1339.8",
			"Limit, plus or minus", "4.0", "Next one due, if it passes", "2025-12-30").press("Record the test").reads("The SAT of F2-" + zone + " was recorded: pass.")
	}
	e.open("/furnaces/F2").reads("No TUS of furnace F2 is on record").press("Record a TUS").fields("Degrees in", "°C", "Set point", "1340", "Limit, plus or minus", "6", "Next one due, if it passes", "2026-03-12",
		"Off the set point, line 1", "+2", "Off the set point, line 2", "0").press("Record the survey").reads("The TUS of F2 was recorded: pass.", "SAT and TUS are in date")
}

// office takes in what an insert needs before it is begun: design, route,
// mould, order, lot, container, release and traveler.
func (w *walk) office() {
	e, p := w.engineer, w.planner
	e.open("/designs").press("Release a design").fields("Part number", "CR40", "Revision", "B", "Name of the part", "core", "Material", "HT44",
		"Unit of the drawing", "mm", "Nominal size in X", "40", "Nominal size in Y", "30", "Nominal size in Z", "25",
		"Layer height", "0.1", "Unit of the layer height", "mm", "Layers between shaping passes", "5", "Build orientation", "+Z up",
		"Number, line 1", "1", "Name, line 1", "size X", "Axis, line 1", "X", "Measures, line 1", "length", "Nominal, line 1", "40", "Lower limit, line 1", "39.950", "Upper limit, line 1", "40.050", "Unit, line 1", "mm", "Key characteristic, line 1", "yes", "How it is measured, line 1", "micrometer",
		"Number, line 2", "9", "Name, line 2", "hardness", "Measures, line 2", "hardness", "Lower limit, line 2", "46", "Upper limit, line 2", "50", "Unit, line 2", "HRC", "How it is measured, line 2", "hardness tester").
		press("Release the design").reads("CR40", "size X")
	e.open("/routes").press("Make a route").fields("Name of the route", "RT-1", "Version", "1")
	for i, operation := range []string{"design release", "print", "final drying", "sintering", "tempering", "inspection", "fit-up", "delivered"} {
		line := []string{"Operation, line 1", "What it records, line 1", "May be left out, line 1"}
		for n := range line {
			line[n] = strings.TrimSuffix(line[n], "1") + string(rune('1'+i))
		}
		e.fields(line[0], operation, line[1], "its records")
		if operation == "tempering" {
			e.fill(line[2], "yes")
		}
	}
	e.press("Put it in force").reads("RT-1, version 1")
	p.open("/moulds").press("Receive a mould").fields("Mould number", "M301", "Customer", "K1").press("Receive the mould").reads("M301 is in the toolroom")
	w.code["M301"] = ungrouped(p.open("/moulds").cell("M301", "Scan code"))
	p.open("/orders").press("Take an order").fields("Order number", "O-1", "Customer", "K1", "Design", "CR40 core", "Quantity", "1", "Due", "2025-11-15",
		"Unit in which its sizes are typed", "mm", "For mould", "M301").press("Take the order").reads("Order O-1 was taken.")
	w.staleOrder()
	for _, gate := range (shop.LotReleased{}).Gates() { // how a lot is qualified is another walk
		w.put("601", shop.PolicySet{Gate: gate.Name, Op: shop.OpPrint, From: w.now(), Mode: shop.Silent})
	}
	for _, lot := range []string{"L2509-A", "L2510-B"} {
		e.open("/lots").press("Receive a lot").fields("Lot number", lot, "Material", "HT44 paste", "Day it was mixed", "2025-09-13", "Last day of use", "2026-01-10",
			"Open life, days", "30", "Maker's certificate", "C-118").press("Receive the lot")
		e.fields("What the release rests on", "receipt coupons", "Your PIN", rightPIN).press("Release " + lot).reads("Lot " + lot + " was released for printing.")
		e.open("/new/container").fields("Lot", lot, "Container number", lot+"/01", "Mass of paste in it", "2499.8", "Unit of the mass", "g").press("Receive the container")
		e.open("/containers/" + lot + "/01").press("Record that it was opened")
		w.code[lot] = ungrouped(e.fact("Scan code"))
	}
	w.put("601", shop.PolicySet{Gate: shop.AxesMeasured.Name, Op: shop.OpPrint, From: w.now(), Mode: shop.Silent}) // its coupons are not part of this walk
	w.factors("L2509-A", [2]string{"16.80", "1.2019"}, [2]string{"16.80", "1.2019"}, [2]string{"17.90", "1.2180"})
	w.release()
	p.open("/orders/O-1").press("Open a traveler").fill("Serial number", "I-0001").press("Open the traveler").reads("The traveler of I-0001 is open.")
	e.open("/inserts/I-0001").press("Assign a release").fill("Release", "DR-02 A").press("Assign it")
	w.code["I-0001"] = w.scanCode(e)
}

// factors puts factors of a lot in X, Y and Z into force: the engineer proposes
// them and the manager approves.
func (w *walk) factors(lot string, lines ...[2]string) {
	w.Helper()
	e := w.engineer.open("/lots/" + lot).press("Propose factors")
	number := e.value("Number of the proposal")
	for n, f := range lines {
		line := fmt.Sprintf(", line %d", n+1)
		e.fields("Shrinkage s, %"+line, f[0], "Oversize k"+line, f[1], "How it was found"+line, "not measured: taken from another axis", "Taken from axis"+line, []string{"Y", "X", "X"}[n])
	}
	e.fill("What they rest on", "receipt coupons").press("Propose them").reads("waits for a second person")
	w.manager.open("/factors/"+number).fill("Your PIN", rightPIN).press("Approve " + number).reads("The factors of " + number + " are in force")
}

// scanCode reads the scan code in the heading of a page.
func (w *walk) scanCode(o *tab) string {
	w.Helper()
	_, after, ok := strings.Cut(o.words(), "Scan code ")
	words := strings.Fields(after)
	if !ok || len(words) < 2 {
		w.Fatalf("there is no scan code: %s", o.words())
	}
	return words[0] + words[1]
}

// staleOrder edits one order in two tabs of one person: the second is told
// what the first changed, and loses no word.
func (w *walk) staleOrder() {
	w.grown(2, func() {
		one := w.planner.open("/orders/O-1")
		two := one.beside().open("/orders/O-1")
		one.under("Change the order").fill("Quantity", "2").press("Save the change").reads("Order O-1 was changed.")
		two.under("Change the order").fill("Remark", "use setter B").press("Save the change")
		two.reads("Changed meanwhile", "Badge 700", "quantity from 1 to 2")
		if got := two.value("Remark"); got != "use setter B" {
			w.Errorf("the remark comes back as %q", got)
		}
		two.press("Save the change").reads("Order O-1 was changed.")
		if remark, quantity := two.value("Remark"), two.value("Quantity"); remark != "use setter B" || quantity != "2" {
			w.Errorf("the order has quantity %s and remark %q", quantity, remark)
		}
		two.quiet("a second tab")
	})
}

// release is drafted by one, and signed by two.
func (w *walk) release() {
	e, m := w.engineer, w.manager
	e.open("/releases").press("Draft a release").fields("Release number", "DR-02 A", "Design", "CR40 core", "Build orientation", "+Z up", "Paste lot", "L2509-A", "Machine", "P1",
		"Furnace recipe", "SR-1340 C", "Oversize in X", "1.2019", "Oversize in Y", "1.2019", "Oversize in Z", "1.2180", "What the factors rest on", "receipt coupons",
		"Program name", "CR40.pgm", "SHA-256 of the program", testProgram).press("Draft the release")
	e.reads("DR-02 A").fill("Your PIN", rightPIN).press("Sign DR-02 A")
	m.open("/releases").press("DR-02 A").fill("Your PIN", "000000").press("Sign DR-02 A").reads("Nothing was")
	m.fill("Your PIN", rightPIN).press("Sign DR-02 A").reads("in force")
}

// tablets registers one at each station and signs in by badge and PIN.
func (w *walk) tablets() {
	for _, s := range []struct {
		station, name, operation, equipment, badge string
		tablet                                     **tab
	}{
		{"PR1", "Printer P1", "Print, dry, shape", "P1", "204", &w.printer}, {"DR1", "Drying", "Final drying", "", "204", &w.oven}, {"FU2", "Furnace F2", "Sintering", "F2", "311", &w.furnace},
		{"IN1", "Inspection", "Inspection", "", "402", &w.bench}, {"FT1", "Fit-up", "Fit-up", "", "501", &w.fits},
	} {
		m := w.manager
		m.open("/stations").press("Add a station").fields("Station number", s.station, "Name", s.name, "Operation done there", s.operation)
		if s.equipment != "" {
			m.fill("Machine or furnace that stands there", s.equipment)
		}
		m.press("Add the station").under("Register a tablet").fields("Station", s.station, "The tablet's name", "T-"+s.station).press("Make its address")
		_, after, _ := strings.Cut(m.words(), "Open this address on the tablet ")
		address := strings.Fields(after)[0]
		*s.tablet = newTab(w.TB, w.browser, w.at.URL).open(address).press("Register this tablet")
		w.atTablet(*s.tablet, s.badge)
		(*s.tablet).reads(s.name)
	}
}

// atTablet signs in with the scan of a badge and a PIN.
func (w *walk) atTablet(tablet *tab, badge string) {
	w.Helper()
	tablet.open("/station").fields("Badge", w.code[badge], "PIN", rightPIN).press("Sign in").reads(badge, "Scan a traveler to begin.")
}

// cardCodes are the codes of the action cards by their words.
func cardCodes() map[string]string {
	codes := map[string]string{}
	for _, c := range shop.Cards {
		codes[c.Word] = string(c.Code)
	}
	return codes
}
