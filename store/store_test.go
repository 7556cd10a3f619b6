package store

import (
	"context"
	"fmt"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

// day is the clock at which tests begin.
var day = time.Date(2025, 9, 1, 6, 0, 0, 0, time.UTC)

// A clock is set by tests.
type clock struct{ at atomic.Int64 }

func newClock(t time.Time) *clock {
	c := &clock{}
	c.set(t)
	return c
}

func (c *clock) set(t time.Time)         { c.at.Store(t.UnixNano()) }
func (c *clock) now() time.Time          { return time.Unix(0, c.at.Load()) }
func (c *clock) advance(d time.Duration) { c.at.Add(int64(d)) }

// onBoth runs a test on SQLite and on PostgreSQL, each with an empty book.
func onBoth(t *testing.T, test func(t *testing.T, s *Store)) {
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		test(t, openAt(t, liteAddress(t), newClock(day)))
	})
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		test(t, openAt(t, outside.Schema(t), newClock(day)))
	})
}

func liteAddress(t testing.TB) string { return filepath.Join(t.TempDir(), "book.db") }

// testSigner signs the checkpoints of tests; its verifier is testVerifier.
var testSigner, testVerifier = func() (string, string) {
	signer, verifier, err := note.GenerateKey(nil, "sinterbook-test")
	if err != nil {
		panic(err)
	}
	return signer, verifier
}()

func openAt(t testing.TB, address string, c *clock) *Store {
	t.Helper()
	s, err := Open(t.Context(), Options{DB: address, Now: c.now, Signer: testSigner})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	clocks.Store(s, c)
	return s
}

// clocks finds the clock of a store again.
var clocks sync.Map

func clockOf(s *Store) *clock {
	c, _ := clocks.Load(s)
	return c.(*clock)
}

// put records an event by a badge at the store's own time and fails the test
// when it is refused.
func put(t testing.TB, s *Store, by string, e shop.Event) Receipt {
	t.Helper()
	r, err := s.Record(t.Context(), entryBy(by, e))
	if err != nil {
		t.Fatalf("%s by %s: %v", e.Kind(), by, err)
	}
	return r
}

func entryBy(by string, e shop.Event) shop.Entry {
	return shop.Entry{ID: uuid.Must(uuid.NewV7()), Zone: "Europe/Vienna", By: by, Event: e, Answers: atDesk(e)}
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

// signed is an entry with the meaning of a signature.
func signed(by string, e shop.Event) shop.Entry {
	entry := entryBy(by, e)
	entry.Meaning = "checked"
	return entry
}

func mm(text string) shop.Reading    { return shop.MustReading(text, "mm") }
func gram(text string) shop.Reading  { return shop.MustReading(text, "g") }
func times(text string) shop.Reading { return shop.MustReading(text, "1") }

const program = "5e33af2193691f11c0efb9c396ef7b01721eeb63d0135f81937c2aa6813d4a80"

// staff are the people of the test shop: badge, role and what they may do.
var staff = []struct {
	badge      string
	role       shop.Role
	operations []string
}{
	{"601", shop.QualityManager, []string{shop.OpDeliver, shop.OpInspect, shop.OpRelease}},
	{"101", shop.ProcessEngineer, []string{shop.OpRelease}},
	{"204", shop.PrintOperator, []string{shop.OpPrint, "shape", "dry", shop.OpDry}},
	{"207", shop.PrintOperator, []string{shop.OpPrint, "shape", "dry", shop.OpDry}},
	{"311", shop.FurnaceOperator, []string{shop.OpSinter, shop.OpTemper}},
	{"402", shop.Inspector, []string{shop.OpInspect}},
	{"501", shop.Toolmaker, []string{shop.OpFit}},
	{"700", shop.Planner, nil},
	{"900", shop.Auditor, nil},
}

// seeded opens the book of a small shop: people, one part, one order, a lot
// with an open container, a machine, a furnace, gauges, a signed release.
func seeded(t testing.TB, s *Store) {
	t.Helper()
	put(t, s, "", shop.BookOpened{Site: "Test Shop", Zone: "Europe/Vienna", Verifier: testVerifier})
	for i, p := range staff {
		by := "601"
		if i == 0 {
			by = ""
		}
		put(t, s, by, shop.PersonAdded{Badge: p.badge, Roles: []shop.Role{p.role}, From: "2025-01-01", Code: shop.NewScanCode()})
		for _, op := range p.operations {
			put(t, s, "601", shop.PersonAuthorised{Badge: p.badge, Operation: op, From: "2025-01-01", Evidence: "TR-001"})
		}
	}
	for i, op := range shop.Operations {
		put(t, s, "601", shop.StationAdded{Station: fmt.Sprintf("ST%d", i+1), Name: op, Operation: op, Code: shop.NewScanCode()})
	}
	put(t, s, "101", shop.RouteReleased{Template: "RT-1", Version: 1, Steps: fullRoute()})
	put(t, s, "101", shop.DesignReleased{Design: "CR40", Revision: "B", Name: "core", Material: "HT44", DrawingUnit: "mm",
		X: mm("40"), Y: mm("30"), Z: mm("25"), Layer: mm("0.1"), LayersBetweenPasses: 5, Orientation: "+Z up",
		Characteristics: []shop.Characteristic{
			{Number: "CR40.1", Name: "length X", Axis: "X", Kind: shop.Length, Nominal: mm("40"), Lower: mm("39.950"), Upper: mm("40.050"), Key: true, How: "micrometer"},
			{Number: "CR40.2", Name: "hardness", Kind: shop.Hardness, Lower: shop.MustReading("46", "HRC"), Upper: shop.MustReading("50", "HRC"), How: "hardness tester"},
		}})
	put(t, s, "601", shop.MouldReceived{Mould: "M301", Customer: "K1", Code: shop.NewScanCode()})
	put(t, s, "700", shop.OrderTaken{Order: "O-1", Customer: "K1", Design: "CR40", Quantity: 3, Due: "2025-10-10", Unit: "mm", Mould: "M301"})
	put(t, s, "101", shop.LotReceived{Lot: "L1", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
	put(t, s, "601", shop.LotReleased{Lot: "L1", Evidence: "receipt coupons"})
	put(t, s, "204", shop.ContainerReceived{Container: "L1/01", Lot: "L1", Mass: gram("2499.8"), Code: shop.NewScanCode()})
	put(t, s, "204", shop.ContainerOpened{Container: "L1/01"})
	put(t, s, "101", shop.MachineAdded{Machine: "P1", Nozzle: mm("0.6"), Code: shop.NewScanCode()})
	put(t, s, "101", shop.FurnaceAdded{Furnace: "F1", Positions: []shop.Position{{Position: "T1", Zone: "top", Use: "insert"}, {Position: "M1", Zone: "middle", Use: "insert"}, {Position: "M3", Zone: "middle", Use: "coupon"}}, Code: shop.NewScanCode()})
	equip(t, s, "L1", "P1", "F1", "top", "middle")
	put(t, s, "402", shop.GaugeAdded{Gauge: "M-12", Type: "micrometer", Range: "25-50 mm", Resolution: mm("0.001"), Error: mm("0.004"), Uncertain: mm("0.003"), Code: shop.NewScanCode()})
	put(t, s, "402", shop.GaugeAdded{Gauge: "HT-1", Type: "hardness tester", Range: "20-70 HRC", Code: shop.NewScanCode()})
	for gauge, point := range map[string]shop.Reading{"M-12": mm("25"), "HT-1": shop.MustReading("48.3", "HRC")} {
		calibrated(t, s, gauge, point)
	}
	put(t, s, "402", shop.GaugeChecked{Gauge: "M-12", Block: mm("25.000"), Read: mm("25.001"), Limit: mm("0.004")})
	put(t, s, "101", shop.ReleaseDrafted{Release: "DR-02 A", Design: "CR40", Revision: "B", Lot: "L1", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
		KX: times("1.2019"), KY: times("1.2019"), KZ: times("1.2180"), Evidence: "receipt coupons", Program: "CR40-02.pgm", ProgramHash: program})
	for _, badge := range []string{"101", "601"} {
		if _, err := s.Record(t.Context(), signed(badge, shop.ReleaseSigned{Release: "DR-02 A"})); err != nil {
			t.Fatal(err)
		}
	}
}

// equip adds what a machine and a furnace need before they run: ovens, plates,
// a cutter, recipes, sensors and tests that are in date for long.
func equip(t testing.TB, s *Store, lot, machine, furnace string, zones ...string) {
	t.Helper()
	deg := func(text string) shop.Reading { return shop.MustReading(text, "C") }
	put(t, s, "402", shop.GaugeAdded{Gauge: "BAL-1", Type: "balance", Range: "0-2000 g", Code: shop.NewScanCode()})
	put(t, s, "601", shop.GaugeCalibrated{Gauge: "BAL-1", Points: []shop.CalibrationPoint{{Point: shop.MustReading("1000", "g"), AsFound: shop.MustReading("0", "g")}}, Certificate: "CAL-BAL", Verdict: "pass", Due: "2030-12-31"})
	put(t, s, "601", shop.PolicySet{Gate: shop.AxesMeasured.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
	factored(t, s, "FA-001", lot, proposed("X", "16.80", "1.2019"), proposed("Y", "16.80", "1.2019"), proposed("Z", "17.90", "1.2180"))
	for _, oven := range []string{"D1", "H1"} {
		put(t, s, "101", shop.OvenAdded{Oven: oven, Shelves: 6, Limit: deg("700"), Code: shop.NewScanCode()})
	}
	for n := range 30 {
		put(t, s, "101", shop.CarrierAdded{Carrier: fmt.Sprintf("PL-%02d", n), Type: "plate", Code: shop.NewScanCode()})
	}
	put(t, s, "204", shop.CutterFitted{Cutter: "CU-11", Machine: machine, Diameter: mm("3"), Life: shop.MustReading("9000", "min"), Code: shop.NewScanCode()})
	put(t, s, "101", shop.MachineChecked{Machine: machine, Verdict: "pass", Due: "2030-12-31"})
	for _, r := range []struct{ recipe, revision, use string }{{"SR-1340", "C", shop.OpSinter}, {"SR-1300", "A", shop.OpSinter}, {"TR-590", "A", shop.OpTemper}} {
		put(t, s, "101", shop.RecipeReleased{Recipe: r.recipe, Revision: r.revision, For: r.use, Soak: deg("590"), Band: shop.MustReading("5", "K"),
			Time: shop.MustReading("120", "min"), Tolerance: shop.MustReading("10", "min"), Steps: "heat, hold, cool"})
	}
	survey := shop.FurnaceSurveyed{Furnace: furnace, SetPoint: deg("1340"), Limit: shop.MustReading("6", "K"), Due: "2030-12-31"}
	for _, zone := range zones {
		sensor := furnace + "-" + zone
		put(t, s, "311", shop.SensorFitted{Sensor: sensor, Furnace: furnace, Zone: zone, Type: "S", Certificate: "TC-041", Code: shop.NewScanCode()})
		put(t, s, "311", shop.SensorTested{Sensor: sensor, SetPoint: deg("1340"), Read: deg("1340.0"), Reference: deg("1339.7"), Limit: shop.MustReading("4.0", "K"), Due: "2030-12-31"})
		survey.Zones = append(survey.Zones, shop.ZoneOff{Zone: zone, Off: shop.MustReading("+1", "K")})
	}
	put(t, s, "311", survey)
	put(t, s, "311", shop.SetterAdded{Setter: "ST-17", Cycles: 26, Life: 150, Code: shop.NewScanCode()})
}

// proposed is a factor that rests on nothing but another axis, which needs no
// interval.
func proposed(axis, s, k string) shop.ProposedFactor {
	from := "X"
	if axis == "X" {
		from = "Y"
	}
	return shop.ProposedFactor{Axis: axis, S: shop.MustReading(s, "%"), K: times(k), Method: shop.OtherAxis, TakenFrom: from}
}

// factored puts factors of a lot into force: one person proposes them, another
// approves.
func factored(t testing.TB, s *Store, number, lot string, lines ...shop.ProposedFactor) {
	t.Helper()
	put(t, s, "101", shop.FactorProposed{Proposal: number, Lot: lot, Lines: lines, Basis: "receipt coupons"})
	if _, err := s.Record(t.Context(), signed("601", shop.FactorApproved{Proposal: number, Lot: lot})); err != nil {
		t.Fatal(err)
	}
}

// second receives another lot with factors in force, and releases it for printing.
func second(t testing.TB, s *Store) {
	t.Helper()
	put(t, s, "101", shop.LotReceived{Lot: "L2", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
	factored(t, s, "FA-002", "L2", proposed("X", "16.74", "1.2011"), proposed("Y", "16.74", "1.2011"), proposed("Z", "17.84", "1.2171"))
	put(t, s, "601", shop.LotReleased{Lot: "L2", Evidence: "receipt coupons"})
}

// calibrated is a gauge that read true at a point and may measure for long.
func calibrated(t testing.TB, s *Store, gauge string, point shop.Reading) {
	t.Helper()
	put(t, s, "601", shop.GaugeCalibrated{Gauge: gauge, Points: []shop.CalibrationPoint{{Point: point, AsFound: shop.MustReading("0", point.Unit)}},
		Certificate: "CAL-" + gauge, Verdict: "pass", Due: "2030-12-31"})
}

func fullRoute() []shop.RouteStep {
	var steps []shop.RouteStep
	for i, op := range shop.Operations {
		st := shop.RouteStep{Step: i + 1, Operation: op, Optional: op == shop.OpTemper || op == shop.OpFit, Yields: "records of " + op}
		if op == shop.OpPrint {
			st.Group = shop.BuildParts
		}
		steps = append(steps, st)
	}
	return steps
}

// opened opens the traveler of an insert and assigns its release.
func opened(t testing.TB, s *Store, insert string) {
	t.Helper()
	put(t, s, "700", shop.TravelerOpened{Insert: insert, Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
	put(t, s, "101", shop.ReleaseAssigned{Insert: insert, Release: "DR-02 A"})
}

func printStart(insert, carrier string) shop.PrintStarted {
	return shop.PrintStarted{Insert: insert, Release: "DR-02 A", Machine: "P1", ProgramHash: program, Carrier: carrier,
		KX: times("1.2019"), KY: times("1.2019"), KZ: times("1.2180"), Layers: 304}
}

// printed takes an opened insert through its print, and dried through drying.
func printed(t testing.TB, s *Store, insert, carrier string) {
	t.Helper()
	put(t, s, "204", printStart(insert, carrier))
	put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: insert, FromLayer: 1, ToLayer: 304, Drawn: gram("280.5")})
	put(t, s, "204", shop.LayersMade{Insert: insert, FromLayer: 1, ToLayer: 304, Pass: 1, Cutter: "CU-11", Probe: mm("0.501")})
	put(t, s, "204", shop.PrintFinished{Insert: insert, LayersDone: 304, Printed: gram("254.3")})
}

func dried(t testing.TB, s *Store, insert, carrier string) {
	t.Helper()
	printed(t, s, insert, carrier)
	put(t, s, "204", shop.DryingStarted{Insert: insert, Oven: "D1", Shelf: "2", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")})
	dryOut(t, s, insert)
}

// dryOut weighs what is in the oven until it is at constant mass, takes it out
// and measures it green.
func dryOut(t testing.TB, s *Store, insert string) {
	t.Helper()
	put(t, s, "204", shop.InsertWeighed{Insert: insert, Gauge: "BAL-1", Mass: gram("232.87")})
	clockOf(s).advance(time.Hour)
	put(t, s, "204", shop.DryingFinished{Insert: insert, Dry: gram("232.85")})
	put(t, s, "204", shop.GreenMeasured{Insert: insert, Axis: "X", Size: mm("48.076"), Gauge: "M-12"})
}

// measured inspects a sintered insert with a length; fitted takes an opened one
// all the way into its place in the mould.
func measured(t testing.TB, s *Store, insert, length string) {
	t.Helper()
	put(t, s, "311", shop.TemperingStarted{Insert: insert, Recipe: "TR-590 A", Oven: "H1"})
	put(t, s, "311", shop.TemperingFinished{Insert: insert})
	put(t, s, "402", shop.ResultRecorded{Insert: insert, Characteristic: "CR40.1", Value: mm(length), Gauge: "M-12", Purpose: "inspection"})
	put(t, s, "402", shop.ResultRecorded{Insert: insert, Characteristic: "CR40.2", Value: shop.MustReading("48.1", "HRC"), Gauge: "HT-1", Purpose: "inspection"})
	put(t, s, "402", shop.InspectionFinished{Insert: insert})
}

func fitted(t testing.TB, s *Store, insert, place string) {
	t.Helper()
	dried(t, s, insert, "PL-01")
	load := "F1-" + insert
	put(t, s, "311", shop.LoadOpened{Load: load, Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	put(t, s, "311", shop.LoadPlaced{Load: load, Insert: insert, Position: "T1"})
	put(t, s, "311", shop.LoadClosed{Load: load})
	put(t, s, "311", shop.LoadUnloaded{Load: load, Inserts: []string{insert}})
	measured(t, s, insert, "39.987")
	put(t, s, "501", shop.FitUpDone{Insert: insert, Mould: "M301", Place: place, Shim: shop.MustReading("10", "um")})
}

// delivered takes an opened insert all the way into its mould and out of the
// house.
func delivered(t testing.TB, s *Store, insert string) {
	t.Helper()
	fitted(t, s, insert, "K1")
	if _, err := s.Record(t.Context(), signed("601", shop.MouldShipped{Mould: "M301", Note: "DN-501", Inserts: []string{insert}})); err != nil {
		t.Fatal(err)
	}
}

// size is the number of entries in the log.
func size(t testing.TB, s *Store) int64 {
	t.Helper()
	b, err := s.Book(context.WithoutCancel(t.Context()))
	if err != nil {
		t.Fatal(err)
	}
	return b.Size
}

// What SQLite learns of how a book has grown changes nothing in it, and nothing
// that queries with arguments are planned anew for each time (histograms).
func TestPlanned(t *testing.T) {
	s := openAt(t, liteAddress(t), newClock(day))
	seeded(t, s)
	for i := range 30 {
		opened(t, s, fmt.Sprintf("I-%04d", i+1))
	}
	if _, err := s.write.ExecContext(t.Context(), s.dialect.plan); err != nil {
		t.Fatal(err)
	}
	for table, want := range map[string]bool{"sqlite_stat1": true, "sqlite_stat4": false} {
		var n int
		err := s.db.QueryRowContext(t.Context(), "SELECT count(*) FROM "+table).Scan(&n)
		if got := err == nil && n > 0; got != want {
			t.Errorf("%s has %d rows, %v; want some: %v", table, n, err, want)
		}
	}
	if _, err := s.Verify(t.Context(), nil); err != nil {
		t.Error(err)
	}
	opened(t, s, "I-0031")
	rows, err := s.Board(t.Context(), Board{Limit: 100})
	if err != nil || len(rows) != 31 {
		t.Errorf("%d rows afterwards, %v; want 31", len(rows), err)
	}
}
