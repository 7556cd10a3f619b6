package server

import (
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/net/html"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// A bookTest is a book with the pages that show it. Who visits is set by the
// test: signing in is tested elsewhere.
type bookTest struct {
	testing.TB
	path    string // of the database
	store   *store.Store
	server  *Server
	clock   atomic.Int64
	station shop.Station
}

// morning is the clock at which these tests begin.
var morning = time.Date(2025, 10, 20, 6, 0, 0, 0, time.UTC)

// newBook opens an empty book.
func newBook(t testing.TB) *bookTest {
	t.Helper()
	b := &bookTest{TB: t, path: filepath.Join(t.TempDir(), "book.db")}
	b.set(morning)
	signer, verifier, err := note.GenerateKey(nil, "sinterbook-test")
	if err != nil {
		t.Fatal(err)
	}
	b.store, err = store.Open(t.Context(), store.Options{DB: b.path, Now: b.now, Signer: signer})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.store.Close(); err != nil {
			t.Error(err)
		}
	})
	b.server = New(Config{Store: b.store, Log: slog.New(slog.NewTextHandler(t.Output(), nil))})
	b.put("", shop.BookOpened{Site: "Test Shop", Zone: "Europe/Vienna", Verifier: verifier})
	return b
}

func (b *bookTest) set(t time.Time)         { b.clock.Store(t.UnixNano()) }
func (b *bookTest) now() time.Time          { return time.Unix(0, b.clock.Load()) }
func (b *bookTest) advance(d time.Duration) { b.clock.Add(int64(d)) }

// put records an event by a badge and fails the test when it is refused.
func (b *bookTest) put(by string, e shop.Event) int64 {
	b.Helper()
	return b.enter(shop.Entry{By: by, Event: e})
}

// because records an event that must say why.
func (b *bookTest) because(by, reason string, e shop.Event) int64 {
	b.Helper()
	return b.enter(shop.Entry{By: by, Reason: reason, Event: e})
}

// sign records an event with the meaning of a signature.
func (b *bookTest) sign(by string, e shop.Event) {
	b.Helper()
	b.enter(shop.Entry{By: by, Event: e, Meaning: "checked"})
}

func (b *bookTest) enter(e shop.Entry) int64 {
	b.Helper()
	e.ID, e.Zone = uuid.Must(uuid.NewV7()), "Europe/Vienna"
	if e.Answers == nil {
		e.Answers = atDesk(e.Event)
	}
	r, err := b.store.Record(b.Context(), e)
	if err != nil {
		b.Fatalf("%s by %s: %v", e.Event.Kind(), e.By, err)
	}
	return r.Seq
}

// atDesk answers what gates ask about factors that are only believed and about
// lots that are released on trust, in tests about something else.
func atDesk(e shop.Event) map[string]string {
	d, ok := e.(shop.Decision)
	if !ok {
		return nil
	}
	said := map[string]string{}
	for _, g := range d.Gates() {
		switch g.Name {
		case shop.MeasuredAsBook.Name:
			said[g.Name] = "measured by the maker"
		case shop.CertificateInLimits.Name, shop.QualifiedAsPlanned.Name, shop.FactorsApproved.Name, shop.ShrinkageKnown.Name:
			said[g.Name] = "as the lot before it"
		}
	}
	return said
}

// onTrust are the fields of a form that say, for each gate of a lot's release, why
// it is passed over.
func onTrust(fields url.Values) url.Values {
	for gate, why := range atDesk(shop.LotReleased{}) {
		fields.Set("answer."+gate, why)
	}
	return fields
}

// refuse records an event that a gate must stop.
func (b *bookTest) refuse(by string, e shop.Event) {
	b.Helper()
	_, err := b.store.Record(b.Context(), shop.Entry{ID: uuid.Must(uuid.NewV7()), Zone: "Europe/Vienna", By: by, Event: e})
	if err == nil {
		b.Fatalf("%s by %s was recorded; want it refused", e.Kind(), by)
	}
}

const testProgram = "5e33af2193691f11c0efb9c396ef7b01721eeb63d0135f81937c2aa6813d4a80"

func readingOf(text, unit string) shop.Reading { return shop.MustReading(text, unit) }

// staffed adds the people of the shop, a route, two designs (one drawn in
// inches), orders, a lot, a machine, a furnace, gauges and a signed release of
// each design.
func staffed(t testing.TB) *bookTest {
	t.Helper()
	b := newBook(t)
	for i, p := range []struct {
		badge      string
		role       shop.Role
		operations []string
	}{
		{"601", shop.QualityManager, []string{shop.OpDeliver, shop.OpInspect}}, {"101", shop.ProcessEngineer, []string{shop.OpRelease}},
		{"204", shop.PrintOperator, []string{shop.OpPrint, shop.OpDry}}, {"311", shop.FurnaceOperator, []string{shop.OpSinter, shop.OpTemper}},
		{"402", shop.Inspector, []string{shop.OpInspect}}, {"501", shop.Toolmaker, []string{shop.OpFit}}, {"700", shop.Planner, nil}, {"900", shop.Auditor, nil},
	} {
		by := "601"
		if i == 0 {
			by = ""
		}
		b.put(by, shop.PersonAdded{Badge: p.badge, Roles: []shop.Role{p.role}, From: "2025-01-01", Code: shop.NewScanCode()})
		for _, op := range p.operations {
			b.put("601", shop.PersonAuthorised{Badge: p.badge, Operation: op, From: "2025-01-01", Evidence: "TR-001"})
		}
	}
	b.equipped()
	for _, d := range []struct{ release, design, unit string }{{"DR-02 A", "CR40", "mm"}, {"DR-03 A", "CV16", "in"}} {
		b.put("101", shop.ReleaseDrafted{Release: d.release, Design: d.design, Revision: "B", Lot: "L2509-A", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
			KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Evidence: "receipt coupons", Program: d.design + ".pgm", ProgramHash: testProgram})
		b.sign("101", shop.ReleaseSigned{Release: d.release})
		b.sign("601", shop.ReleaseSigned{Release: d.release})
	}
	return b
}

func (b *bookTest) equipped() {
	b.Helper()
	var steps []shop.RouteStep
	for i, op := range shop.Operations {
		steps = append(steps, shop.RouteStep{Step: i + 1, Operation: op, Optional: op == shop.OpTemper, Yields: "records"})
	}
	b.put("101", shop.RouteReleased{Template: "RT-1", Version: 1, Steps: steps})
	length := func(number, axis, nominal, lower, upper, unit string) shop.Characteristic {
		return shop.Characteristic{Number: number, Name: "size " + axis, Axis: axis, Kind: shop.Length, Nominal: readingOf(nominal, unit), Lower: readingOf(lower, unit), Upper: readingOf(upper, unit), How: "micrometer"}
	}
	hardness := shop.Characteristic{Number: "9", Name: "hardness", Kind: shop.Hardness, Lower: readingOf("46", "HRC"), Upper: readingOf("50", "HRC"), How: "hardness tester"}
	b.put("101", shop.DesignReleased{Design: "CR40", Revision: "B", Name: "core", Material: "HT44", DrawingUnit: "mm", X: readingOf("40", "mm"), Y: readingOf("30", "mm"), Z: readingOf("25", "mm"),
		Layer: readingOf("0.1", "mm"), LayersBetweenPasses: 5, Orientation: "+Z up",
		Characteristics: []shop.Characteristic{length("1", "X", "40", "39.950", "40.050", "mm"), length("2", "Y", "30", "29.935", "30.065", "mm"), length("3", "Z", "25", "24.780", "25.220", "mm"), hardness}})
	b.put("101", shop.DesignReleased{Design: "CV16", Revision: "B", Name: "cavity", Material: "HT44", DrawingUnit: "in", X: readingOf("1.575", "in"), Y: readingOf("1.181", "in"), Z: readingOf("0.984", "in"),
		Layer: readingOf("0.1", "mm"), LayersBetweenPasses: 5, Orientation: "+Z up",
		Characteristics: []shop.Characteristic{length("1", "X", "1.575", "1.573", "1.577", "in"), hardness}})
	b.put("601", shop.MouldReceived{Mould: "M301", Customer: "K1", Code: shop.NewScanCode()})
	b.put("700", shop.OrderTaken{Order: "O-1", Customer: "K1", Design: "CR40", Quantity: 3, Due: "2025-10-15", Unit: "mm", Mould: "M301"})
	b.put("700", shop.OrderTaken{Order: "O-2", Customer: "K2", Design: "CV16", Quantity: 1, Due: "2025-11-14", Unit: "in"})
	b.put("101", shop.LotReceived{Lot: "L2509-A", Material: "HT44 paste", MadeOn: "2025-09-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Certificate: "C-118", Code: shop.NewScanCode()})
	b.put("601", shop.LotReleased{Lot: "L2509-A", Evidence: "receipt coupons"})
	for _, box := range []string{"L2509-A/01", "L2509-A/02"} {
		b.put("204", shop.ContainerReceived{Container: box, Lot: "L2509-A", Mass: readingOf("2499.8", "g"), Code: shop.NewScanCode()})
	}
	b.put("204", shop.ContainerOpened{Container: "L2509-A/01"})
	b.put("101", shop.MachineAdded{Machine: "P1", Nozzle: readingOf("0.6", "mm"), Code: shop.NewScanCode()})
	b.put("101", shop.FurnaceAdded{Furnace: "F2", Positions: []shop.Position{{Position: "T1", Zone: "top", Use: "insert"}, {Position: "T2", Zone: "top", Use: "insert"},
		{Position: "M1", Zone: "middle", Use: "insert"}, {Position: "M2", Zone: "middle", Use: "insert"}, {Position: "M3", Zone: "middle", Use: "coupon"}, {Position: "B1", Zone: "bottom", Use: "insert"}}, Code: shop.NewScanCode()})
	b.equip("L2509-A", "P1", "F2", "top", "middle", "bottom")
	b.put("402", shop.GaugeAdded{Gauge: "M-12", Type: "micrometer", Range: "25-50 mm", Resolution: readingOf("0.001", "mm"), Error: readingOf("0.004", "mm"), Uncertain: readingOf("0.003", "mm"), Code: shop.NewScanCode()})
	b.put("402", shop.GaugeAdded{Gauge: "HT-1", Type: "hardness tester", Range: "20-70 HRC", Code: shop.NewScanCode()})
	for _, g := range []struct{ gauge, point, unit string }{{"M-12", "25", "mm"}, {"HT-1", "48.3", "HRC"}} {
		b.put("601", shop.GaugeCalibrated{Gauge: g.gauge, Points: []shop.CalibrationPoint{{Point: readingOf(g.point, g.unit), AsFound: readingOf("0", g.unit)}},
			Certificate: "CAL-" + g.gauge, Verdict: "pass", Due: "2030-12-31"})
	}
	b.put("402", shop.GaugeChecked{Gauge: "M-12", Block: readingOf("25.000", "mm"), Read: readingOf("25.001", "mm"), Limit: readingOf("0.004", "mm")})
}

// equip adds what a machine and a furnace need before they run: ovens, plates,
// a cutter, recipes, sensors and tests that are in date for long.
func (b *bookTest) equip(lot, machine, furnace string, zones ...string) {
	b.Helper()
	deg := func(text string) shop.Reading { return shop.MustReading(text, "C") }
	b.put("402", shop.GaugeAdded{Gauge: "BAL-1", Type: "balance", Range: "0-2000 g", Code: shop.NewScanCode()})
	b.put("601", shop.GaugeCalibrated{Gauge: "BAL-1", Points: []shop.CalibrationPoint{{Point: shop.MustReading("1000", "g"), AsFound: shop.MustReading("0", "g")}}, Certificate: "CAL-BAL", Verdict: "pass", Due: "2030-12-31"})
	b.put("601", shop.PolicySet{Gate: shop.AxesMeasured.Name, Op: shop.OpPrint, From: b.now(), Mode: shop.Silent})
	b.factored("FA-001", lot, believed("X", "16.80", "1.2019"), believed("Y", "16.80", "1.2019"), believed("Z", "17.90", "1.2180"))
	for _, oven := range []string{"D1", "H1"} {
		b.put("101", shop.OvenAdded{Oven: oven, Shelves: 6, Limit: deg("700"), Code: shop.NewScanCode()})
	}
	for n := range 30 {
		b.put("101", shop.CarrierAdded{Carrier: fmt.Sprintf("PL-%02d", n), Type: "plate", Code: shop.NewScanCode()})
	}
	b.put("204", shop.CutterFitted{Cutter: "CU-11", Machine: machine, Diameter: readingOf("3", "mm"), Life: shop.MustReading("9000", "min"), Code: shop.NewScanCode()})
	b.put("101", shop.MachineChecked{Machine: machine, Verdict: "pass", Due: "2030-12-31"})
	for _, r := range []struct{ recipe, revision, use string }{{"SR-1340", "C", shop.OpSinter}, {"SR-1300", "A", shop.OpSinter}, {"TR-590", "A", shop.OpTemper}} {
		b.put("101", shop.RecipeReleased{Recipe: r.recipe, Revision: r.revision, For: r.use, Soak: deg("590"), Band: shop.MustReading("5", "K"),
			Time: shop.MustReading("120", "min"), Tolerance: shop.MustReading("10", "min"), Steps: "heat, hold, cool"})
	}
	survey := shop.FurnaceSurveyed{Furnace: furnace, SetPoint: deg("1340"), Limit: shop.MustReading("6", "K"), Due: "2030-12-31"}
	for _, zone := range zones {
		sensor := furnace + "-" + zone
		b.put("311", shop.SensorFitted{Sensor: sensor, Furnace: furnace, Zone: zone, Type: "S", Certificate: "TC-041", Code: shop.NewScanCode()})
		b.put("311", shop.SensorTested{Sensor: sensor, SetPoint: deg("1340"), Read: deg("1340.0"), Reference: deg("1339.7"), Limit: shop.MustReading("4.0", "K"), Due: "2030-12-31"})
		survey.Zones = append(survey.Zones, shop.ZoneOff{Zone: zone, Off: shop.MustReading("+1", "K")})
	}
	b.put("311", survey)
	b.put("311", shop.SetterAdded{Setter: "ST-17", Cycles: 26, Life: 150, Code: shop.NewScanCode()})
}

// believed is a factor that is taken from another axis: it needs no interval.
func believed(axis, s, k string) shop.ProposedFactor {
	from := "X"
	if axis == "X" {
		from = "Y"
	}
	return shop.ProposedFactor{Axis: axis, S: readingOf(s, "%"), K: readingOf(k, "1"), Method: shop.OtherAxis, TakenFrom: from}
}

// factored puts factors of a lot into force: the process engineer proposes them
// and the quality manager approves.
func (b *bookTest) factored(number, lot string, lines ...shop.ProposedFactor) {
	b.Helper()
	b.put("101", shop.FactorProposed{Proposal: number, Lot: lot, Lines: lines, Basis: "receipt coupons"})
	b.sign("601", shop.FactorApproved{Proposal: number, Lot: lot})
}

// opened opens a traveler of a design and assigns its release.
func (b *bookTest) opened(insert, design string) {
	b.Helper()
	order, release := "O-1", "DR-02 A"
	if design == "CV16" {
		order, release = "O-2", "DR-03 A"
	}
	b.put("700", shop.TravelerOpened{Insert: insert, Design: design, Revision: "B", Order: order, Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
	b.put("101", shop.ReleaseAssigned{Insert: insert, Release: release})
}

// dried takes an opened insert through print and final drying.
func (b *bookTest) dried(insert, plate string) {
	b.Helper()
	i, err := b.store.Insert(b.Context(), insert)
	if err != nil {
		b.Fatal(err)
	}
	b.put("204", shop.PrintStarted{Insert: insert, Release: i.Release, Machine: "P1", ProgramHash: testProgram, Carrier: plate,
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304, Plate: readingOf("41.5", "C")})
	wrong := b.put("204", shop.PasteDrawn{Container: "L2509-A/01", Insert: insert, FromLayer: 1, ToLayer: 304, Drawn: readingOf("208.5", "g"), Purged: readingOf("3.1", "g")})
	b.enter(shop.Entry{By: "204", Corrects: wrong, Reason: "digits swapped", Event: shop.PasteDrawn{Container: "L2509-A/01", Insert: insert, FromLayer: 1, ToLayer: 304, Drawn: readingOf("280.5", "g"), Purged: readingOf("3.1", "g")}})
	b.put("204", shop.LayersMade{Insert: insert, FromLayer: 1, ToLayer: 304, Dried: readingOf("6", "min"), Air: readingOf("45", "C"), Pass: 1, Cutter: "CU-11", Probe: readingOf("0.501", "mm")})
	b.advance(9 * time.Hour)
	b.put("204", shop.PrintFinished{Insert: insert, LayersDone: 304, Printed: readingOf("254.3", "g")})
	b.put("204", shop.DryingStarted{Insert: insert, Oven: "D1", Shelf: "2", Air: readingOf("65", "C"), Wet: readingOf("254.82", "g"), Constant: readingOf("0.05", "%")})
	b.advance(14 * time.Hour)
	b.put("204", shop.InsertWeighed{Insert: insert, Gauge: "BAL-1", Mass: readingOf("232.87", "g")})
	b.advance(time.Hour)
	b.put("204", shop.DryingFinished{Insert: insert, Dry: readingOf("232.85", "g")})
	sizes := map[string]shop.Reading{"X": readingOf("48.076", "mm"), "Y": readingOf("36.057", "mm"), "Z": readingOf("30.450", "mm")}
	if i.Design == "CV16" {
		sizes = map[string]shop.Reading{"X": readingOf("1.8930", "in")}
	}
	for _, axis := range shop.Axes {
		if size := sizes[axis]; size.Taken() {
			b.put("204", shop.GreenMeasured{Insert: insert, Axis: axis, Size: size, Gauge: "M-12"})
		}
	}
}

// sintered takes dried inserts through a load.
func (b *bookTest) sintered(load string, inserts ...string) {
	b.Helper()
	b.put("311", shop.LoadOpened{Load: load, Furnace: "F2", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	for i, insert := range inserts {
		b.put("311", shop.LoadPlaced{Load: load, Insert: insert, Position: []string{"T1", "T2", "M1", "M2"}[i]})
	}
	b.put("311", shop.LoadClosed{Load: load})
	b.advance(40 * time.Hour)
	b.put("311", shop.LoadUnloaded{Load: load, Inserts: inserts})
}

// pages serves the pages of the book for the holder of a badge.
func (b *bookTest) pages(badge string) http.Handler {
	r := chi.NewRouter()
	r.Use(func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			v := visitor{Station: b.station}
			if badge != "" {
				var err error
				if v.Person, err = b.store.Person(r.Context(), badge); err != nil {
					b.Errorf("badge %s: %v", badge, err)
				}
			}
			next.ServeHTTP(w, withVisitor(r, v))
		})
	})
	for _, routes := range []func(chi.Router){b.server.labelRoutes, b.server.traceRoutes, b.server.travelerRoutes, b.server.floorRoutes, b.server.instructionRoutes, b.server.paperRoutes, b.server.nonconformanceRoutes, b.server.lotRoutes, b.server.loadRoutes, b.server.historyRoutes, b.server.nounRoutes, b.server.equipmentRoutes, b.server.pasteRoutes, b.server.stationRoutes, b.server.keptRoutes, b.server.documentRoutes, b.server.homeRoutes, b.server.liveRoutes} {
		routes(r)
	}
	return r
}

// A shownPage is a page as it was answered.
type shownPage struct {
	testing.TB
	status int
	to     string // where it sends on
	doc    *html.Node
	raw    string
}

func (b *bookTest) get(badge, path string) shownPage {
	b.Helper()
	return b.answer(badge, httptest.NewRequest(http.MethodGet, path, nil))
}

// post sends a form as the page before had it, with some fields filled in.
func (b *bookTest) post(badge string, form *html.Node, fields url.Values) shownPage {
	b.Helper()
	return b.postTo(badge, attrOf(form, "action"), form, fields)
}

// postTo sends a form as a button with an address of its own does.
func (b *bookTest) postTo(badge, action string, form *html.Node, fields url.Values) shownPage {
	b.Helper()
	values := url.Values{}
	for _, n := range elements(form, "input", "textarea", "select") {
		if sentWith(n) {
			values.Set(attrOf(n, "name"), valueOf(n))
		}
	}
	for name, v := range fields {
		values[name] = v
	}
	r := httptest.NewRequest(http.MethodPost, action, strings.NewReader(values.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return b.answer(badge, r)
}

func (b *bookTest) answer(badge string, r *http.Request) shownPage {
	b.Helper()
	w := httptest.NewRecorder()
	b.pages(badge).ServeHTTP(w, r)
	raw, err := io.ReadAll(w.Result().Body)
	if err != nil {
		b.Fatal(err)
	}
	doc, err := html.Parse(strings.NewReader(string(raw)))
	if err != nil {
		b.Fatal(err)
	}
	return shownPage{TB: b.TB, status: w.Code, to: w.Header().Get("Location"), doc: doc, raw: string(raw)}
}

func attrOf(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func valueOf(n *html.Node) string {
	switch n.Data {
	case "textarea":
		return wordsIn(n)
	case "select":
		for _, o := range elements(n, "option") {
			for _, a := range o.Attr {
				if a.Key == "selected" {
					return attrOf(o, "value")
				}
			}
		}
		return ""
	}
	return attrOf(n, "value")
}

// elements lists the elements of some names below a node.
func elements(n *html.Node, names ...string) []*html.Node {
	var found []*html.Node
	for d := range n.Descendants() {
		for _, name := range names {
			if d.Type == html.ElementNode && d.Data == name {
				found = append(found, d)
			}
		}
	}
	return found
}

// wordsIn is what a person reads in a node, with single spaces.
func wordsIn(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode && (d.Parent.Data != "script" && d.Parent.Data != "style" && d.Parent.Data != "title" || d.Parent.Parent.Data == "svg") {
			b.WriteString(d.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func (p shownPage) text() string { return wordsIn(p.doc) }

// says fails the test unless the page answers with a status and has the words.
func (p shownPage) says(status int, want ...string) shownPage {
	p.Helper()
	if p.status != status {
		p.Errorf("status %d; want %d: %.300s", p.status, status, p.text())
	}
	for _, w := range want {
		if !strings.Contains(p.text(), w) {
			p.Errorf("the page does not say %q: %s", w, p.text())
		}
	}
	return p
}

func (p shownPage) silent(about ...string) shownPage {
	p.Helper()
	for _, w := range about {
		if strings.Contains(p.text(), w) {
			p.Errorf("the page says %q", w)
		}
	}
	return p
}

// form is the form that is posted to an address; nil when there is none.
func (p shownPage) form(action string) *html.Node {
	for _, f := range elements(p.doc, "form") {
		if attrOf(f, "action") == action {
			return f
		}
	}
	return nil
}

// mustForm is form, and fails the test when there is none.
func (p shownPage) mustForm(action string) *html.Node {
	p.Helper()
	f := p.form(action)
	if f == nil {
		p.Fatalf("there is no form to %s", action)
	}
	return f
}

// links lists the addresses that the main part of the page leads to.
func (p shownPage) links() []string {
	var to []string
	for _, a := range elements(p.doc, "a") {
		to = append(to, attrOf(a, "href"))
	}
	return to
}

// rows are the cells of a table's body, found by a column of its heading.
func (p shownPage) rows(column string) [][]string {
	p.Helper()
	for _, table := range elements(p.doc, "table") {
		heads := elements(table, "thead")
		if len(heads) == 0 || !strings.Contains(wordsIn(heads[0]), column) {
			continue
		}
		var rows [][]string
		for _, body := range elements(table, "tbody") {
			for _, tr := range elements(body, "tr") {
				var row []string
				for _, cell := range elements(tr, "td", "th") {
					row = append(row, wordsIn(cell))
				}
				rows = append(rows, row)
			}
		}
		return rows
	}
	p.Fatalf("no table has a column %q", column)
	return nil
}

// namedField is a form's field of a name.
func namedField(t testing.TB, form *html.Node, name string) *html.Node {
	t.Helper()
	for _, n := range elements(form, "input", "textarea", "select") {
		if attrOf(n, "name") == name {
			return n
		}
	}
	t.Fatalf("the form has no field %q", name)
	return nil
}

// linesOf counts the lines of a form's table.
func linesOf(form *html.Node, table string) (n int) {
	for _, e := range elements(form, "input", "textarea", "select") {
		if line, ok := strings.CutPrefix(attrOf(e, "name"), table+"."); ok && !strings.Contains(line, ".") {
			n++
		}
	}
	return n
}

// markupOf is a node as markup.
func markupOf(n *html.Node) string {
	var b strings.Builder
	if err := html.Render(&b, n); err != nil {
		return err.Error()
	}
	return b.String()
}
