package store

import (
	"errors"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// refusedFor expects an entry to be refused with some words in the sentence.
func refusedFor(t testing.TB, s *Store, name string, e shop.Entry, kind error, words string) {
	t.Helper()
	before := size(t, s)
	_, err := s.Record(t.Context(), e)
	if !errors.Is(err, kind) || !strings.Contains(err.Error(), words) {
		t.Errorf("%s: %v; want %v that says %q", name, err, kind, words)
	}
	if !errors.Is(kind, shop.ErrRefused) && size(t, s) != before {
		t.Errorf("%s: something was stored", name)
	}
}

// A furnace whose sensor failed its test takes nothing, also at the door; a
// new sensor with a test of its own clears it.
func TestFailedSensorStopsALoad(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for i, insert := range []string{"I-0001", "I-0002"} {
			opened(t, s, insert)
			dried(t, s, insert, []string{"PL-01", "PL-02"}[i])
		}
		laid(t, s, "I-0001", "F1-01", "T1")
		deg := func(text string) shop.Reading { return shop.MustReading(text, "C") }
		test := shop.SensorTested{Sensor: "F1-middle", SetPoint: deg("1340"), Read: deg("1340.0"), Reference: deg("1357.4"), Limit: shop.MustReading("4.0", "K")}
		put(t, s, "311", test)
		words := "Sensor F1-middle failed its SAT of "
		refusedFor(t, s, "laying in", entryBy("311", shop.LoadPlaced{Load: "F1-01", Insert: "I-0002", Position: "M1"}), shop.ErrRefused, words)
		refusedFor(t, s, "closing the door", entryBy("311", shop.LoadClosed{Load: "F1-01"}), shop.ErrRefused, "-17.4 °C off, limit ±4.0 °C")
		put(t, s, "311", shop.SensorFitted{Sensor: "F1-TC9", Furnace: "F1", Zone: "middle", Type: "S", Certificate: "TC-099", Code: shop.NewScanCode()})
		clockOf(s).advance(time.Minute)
		refusedFor(t, s, "the new sensor untested", entryBy("311", shop.LoadClosed{Load: "F1-01"}), shop.ErrRefused, "No SAT of sensor F1-TC9")
		test.Sensor, test.Reference, test.Due = "F1-TC9", deg("1339.8"), "2030-12-31"
		put(t, s, "311", test)
		put(t, s, "311", shop.LoadClosed{Load: "F1-01"})
		n, err := s.FurnaceNow(t.Context(), "F1")
		if err != nil || len(n.Sensors) != 2 || n.Sensors[0].Sensor != "F1-TC9" || n.Sensors[0].Test.Verdict != "pass" {
			t.Errorf("in place: %+v, %v; want the new sensor with its test and the one of the other zone", n.Sensors, err)
		}
	})
}

// Nobody goes around a failed safety test: no policy, no reason.
func TestSafetyTestsAreUnyielding(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		dried(t, s, "I-0001", "PL-01")
		laid(t, s, "I-0001", "F1-01", "T1")
		put(t, s, "101", shop.FurnaceTestsSet{Furnace: "F1", Tests: []string{"leak", "purge"}})
		shut := entryBy("311", shop.LoadClosed{Load: "F1-01"})
		shut.Answers = map[string]string{shop.FurnaceSafe.Name: "we are late"}
		refusedFor(t, s, "no test", shut, shop.ErrRefused, "No leak, purge test of furnace F1 is on record for this load")
		put(t, s, "311", shop.FurnaceTestRecorded{Furnace: "F1", Load: "F1-01", Test: "leak", Verdict: "fail", Note: "12 mbar in 5 min"})
		refusedFor(t, s, "loosened", entryBy("601", shop.PolicySet{Gate: shop.FurnaceSafe.Name, Op: shop.OpSinter, From: s.Now(), Mode: shop.Warn}), shop.ErrInvalid, "always stops")
		shut.ID = entryBy("311", shut.Event).ID
		refusedFor(t, s, "failed", shut, shop.ErrRefused, "failed its leak test")
		for _, test := range []string{"leak", "purge"} {
			put(t, s, "311", shop.FurnaceTestRecorded{Furnace: "F1", Load: "F1-01", Test: test, Verdict: "pass"})
		}
		put(t, s, "311", shop.LoadClosed{Load: "F1-01"})
		refusedFor(t, s, "a test of another furnace", entryBy("311", shop.FurnaceTestRecorded{Furnace: "F2", Load: "F1-01", Test: "leak", Verdict: "pass"}), shop.ErrConflict, "for furnace F1, not F2")
	})
}

// A green part is found by its carrier, and its identity goes with it onto
// another one.
func TestIdentityGoesWithTheCarrier(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for i, insert := range []string{"I-0001", "I-0002"} {
			opened(t, s, insert)
			dried(t, s, insert, []string{"PL-01", "PL-02"}[i])
		}
		refusedFor(t, s, "onto a taken plate", entryBy("311", shop.CarrierChanged{Insert: "I-0001", Carrier: "PL-02"}), shop.ErrInvalid, "Carrier PL-02 carries I-0002")
		refusedFor(t, s, "onto its own plate", entryBy("311", shop.CarrierChanged{Insert: "I-0001", Carrier: "PL-01"}), shop.ErrConflict, "lies on PL-01 already")
		refusedFor(t, s, "onto no plate", entryBy("311", shop.CarrierChanged{Insert: "I-0001", Carrier: "PL-99"}), shop.ErrNotFound, "no carrier PL-99")
		put(t, s, "311", shop.CarrierChanged{Insert: "I-0001", Carrier: "PL-03"})
		c, err := s.Carrier(t.Context(), "PL-03")
		if err != nil || c.Insert != "I-0001" {
			t.Fatalf("PL-03 carries %q, %v; want I-0001", c.Insert, err)
		}
		for _, text := range []string{"pl-03", string(c.Code)} {
			if got, err := s.Find(t.Context(), text); err != nil || got.Kind != "insert" || got.Number != "I-0001" {
				t.Errorf("%s is %+v, %v; want I-0001", text, got, err)
			}
		}
		if got, err := s.Find(t.Context(), "PL-01"); err != nil || got.Kind != "carrier" {
			t.Errorf("PL-01 is %+v, %v; want the carrier itself, which is free", got, err)
		}
		if i, err := s.Insert(t.Context(), "I-0001"); err != nil || i.Place != "on PL-03" {
			t.Errorf("it is %q, %v; want on PL-03", i.Place, err)
		}
		laid(t, s, "I-0001", "F1-01", "T1")
		put(t, s, "311", shop.LoadClosed{Load: "F1-01"})
		refusedFor(t, s, "in the furnace", entryBy("311", shop.CarrierChanged{Insert: "I-0001", Carrier: "PL-04"}), shop.ErrConflict, "only a green part lies on a carrier")
	})
}

// What is not there, or in another place, is not used: setters, cutters, ovens.
func TestToolsAreWhereTheyAre(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		refusedFor(t, s, "a second cutter", entryBy("204", shop.CutterFitted{Cutter: "CU-12", Machine: "P1", Diameter: mm("3"), Life: shop.MustReading("900", "min"), Code: shop.NewScanCode()}), shop.ErrConflict, "Cutter CU-11 is in P1")
		refusedFor(t, s, "out of another machine", entryBy("204", shop.CutterRemoved{Cutter: "CU-11", Machine: "P2"}), shop.ErrConflict, "CU-11 is not in P2")
		refusedFor(t, s, "work on nothing", entryBy("101", shop.EquipmentServiced{OnKind: "oven", OnCode: "D7", What: "cleaned"}), shop.ErrNotFound, "no oven D7")
		put(t, s, "101", shop.OvenAdded{Oven: "D2", Shelves: 6, Limit: shop.MustReading("60", "C"), Code: shop.NewScanCode()})
		opened(t, s, "I-0001")
		printed(t, s, "I-0001", "PL-01")
		dry := shop.DryingStarted{Insert: "I-0001", Oven: "D2", Shelf: "7", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")}
		refusedFor(t, s, "too hot", entryBy("204", dry), shop.ErrInvalid, "Oven D2 may reach 60 °C")
		refusedFor(t, s, "no such shelf", entryBy("204", dry), shop.ErrInvalid, "no shelf 7")
		dry.Oven, dry.Shelf = "D1", "2"
		put(t, s, "204", dry)
		dryOut(t, s, "I-0001")
		put(t, s, "311", shop.LoadOpened{Load: "F1-01", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
		refusedFor(t, s, "no such setter", entryBy("311", shop.LoadPlaced{Load: "F1-01", Insert: "I-0001", Position: "T1", Setter: "ST-99"}), shop.ErrNotFound, "no setter ST-99")
		put(t, s, "311", shop.LoadPlaced{Load: "F1-01", Insert: "I-0001", Position: "T1", Setter: "ST-17"})
		if all, err := s.Setters(t.Context()); err != nil || all[0].Cycles != 26 {
			t.Errorf("before the door is closed: %+v, %v; want 26 runs", all, err)
		}
		put(t, s, "311", shop.LoadClosed{Load: "F1-01"})
		if all, err := s.Setters(t.Context()); err != nil || all[0].Cycles != 27 {
			t.Errorf("after: %+v, %v; want 27 runs", all, err)
		}
		put(t, s, "101", shop.ControllerUpdated{Machine: "P1", Version: "4.3.0"})
		opened(t, s, "I-0002")
		put(t, s, "204", printStart("I-0002", "PL-02"))
		if p, err := s.Print(t.Context(), "I-0002"); err != nil || p.Controller != "4.3.0" {
			t.Errorf("printed by %q, %v; want 4.3.0", p.Controller, err)
		}
	})
}

// A permit lets one insert pass one gate at one operation until its day, and is
// noted with the act; nothing else passes.
func TestDeviationPermit(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "601", shop.PolicySet{Gate: shop.CompensationOfLot.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		opened(t, s, "I-0001")
		opened(t, s, "I-0002")
		slip := printStart("I-0001", "PL-01")
		slip.KX = times("1.2030")
		refusedFor(t, s, "without a permit", entryBy("204", slip), shop.ErrRefused, "oversize in X")
		clockOf(s).advance(time.Minute)
		permit := shop.PermitGiven{Permit: "DP-001", Insert: "I-0001", Gate: shop.OversizeOfRelease.Name, Op: shop.OpPrint, Why: "trial of one piece", ExpiresOn: shop.Date(s.Now().Format(time.DateOnly))}
		refusedFor(t, s, "by the operator himself", entryBy("204", permit), shop.ErrForbidden, "it is for the process engineer")
		put(t, s, "601", permit)
		other := printStart("I-0002", "PL-02")
		other.KX = times("1.2030")
		refusedFor(t, s, "another insert", entryBy("204", other), shop.ErrRefused, "oversize in X")
		done := put(t, s, "204", slip)
		e, err := s.Entry(t.Context(), done.Seq)
		if err != nil || !strings.Contains(e.Answers[shop.OversizeOfRelease.Name], "Deviation permit DP-001 by 601: trial of one piece") {
			t.Errorf("the entry says %q, %v; want the permit", e.Answers, err)
		}
		permit.Permit, permit.Insert, permit.ExpiresOn = "DP-002", "I-0002", "2025-01-31"
		put(t, s, "601", permit)
		clockOf(s).advance(time.Minute)
		refusedFor(t, s, "a permit that expired", entryBy("204", other), shop.ErrRefused, "oversize in X")
	})
}

// A sintered part bears its own code, and nobody else's.
func TestMarkedWithItsOwnCode(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		opened(t, s, "I-0002")
		one, err := s.Insert(t.Context(), "I-0001")
		two, err2 := s.Insert(t.Context(), "I-0002")
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		mark := shop.InsertMarked{Insert: "I-0001", How: "laser", Read: one.Code}
		refusedFor(t, s, "while soft", entryBy("311", mark), shop.ErrConflict, "only a sintered part")
		dried(t, s, "I-0001", "PL-01")
		laid(t, s, "I-0001", "F1-01", "T1")
		put(t, s, "311", shop.LoadClosed{Load: "F1-01"})
		put(t, s, "311", shop.LoadUnloaded{Load: "F1-01", Inserts: []string{"I-0001"}})
		wrong := mark
		wrong.Read = two.Code
		refusedFor(t, s, "its twin's code", entryBy("311", wrong), shop.ErrInvalid, "marked wrongly, or it is another part")
		put(t, s, "311", mark)
		if i, err := s.Insert(t.Context(), "I-0001"); err != nil || i.Marked != "laser" || i.MarkedBy != "311" {
			t.Errorf("marked %q by %q, %v; want laser by 311", i.Marked, i.MarkedBy, err)
		}
	})
}

// A load of coupons alone is asked what any load is: a hold on it stops its
// door, and so does a furnace that is out of date.
func TestLoadOfCoupons(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "204", shop.CouponMade{Coupon: "CP-0001", For: shop.ReceiptCoupon, Design: "CR40", Revision: "B", Container: "L1/01", Machine: "P1", Release: "DR-02 A", Layers: 146, Drawn: gram("56.0"), Purged: gram("2.5"), Code: shop.NewScanCode()})
		put(t, s, "311", shop.LoadOpened{Load: "F1-Q1", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
		refusedFor(t, s, "an empty load", entryBy("311", shop.LoadClosed{Load: "F1-Q1"}), shop.ErrConflict, "is empty")
		put(t, s, "311", shop.CouponPlaced{Load: "F1-Q1", Coupon: "CP-0001", Position: "M3", Setter: "ST-17"})
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "load", OnCode: "F1-Q1", Why: "setter chipped"})
		refusedFor(t, s, "held", entryBy("311", shop.LoadClosed{Load: "F1-Q1"}), shop.ErrRefused, "F1-Q1 is held by 601")
		put(t, s, "601", shop.HoldLifted{Hold: "H-001", OnKind: "load", OnCode: "F1-Q1", Why: "another setter"})
		clockOf(s).advance(time.Minute)
		deg := func(text string) shop.Reading { return shop.MustReading(text, "C") }
		put(t, s, "311", shop.SensorTested{Sensor: "F1-top", SetPoint: deg("1340"), Read: deg("1340.0"), Reference: deg("1350.0"), Limit: shop.MustReading("4.0", "K")})
		refusedFor(t, s, "a failed sensor", entryBy("311", shop.LoadClosed{Load: "F1-Q1"}), shop.ErrRefused, "F1-top failed its SAT")
		put(t, s, "311", shop.SensorTested{Sensor: "F1-top", SetPoint: deg("1340"), Read: deg("1340.0"), Reference: deg("1340.1"), Limit: shop.MustReading("4.0", "K"), Due: "2030-12-31"})
		refusedFor(t, s, "measured before the run", entryBy("402", shop.CouponMeasured{Coupon: "CP-0001", Stage: "sintered", Characteristic: "CR40.1", Value: mm("39.925"), Gauge: "M-12"}), shop.ErrConflict, "not through a run")
		put(t, s, "311", shop.LoadClosed{Load: "F1-Q1"})
		refusedFor(t, s, "left in the furnace", entryBy("311", shop.LoadUnloaded{Load: "F1-Q1"}), shop.ErrInvalid, "Not scanned out of load F1-Q1: CP-0001")
		put(t, s, "311", shop.LoadUnloaded{Load: "F1-Q1", Coupons: []string{"CP-0001"}})
		put(t, s, "402", shop.CouponMeasured{Coupon: "CP-0001", Stage: "sintered", Characteristic: "CR40.1", Value: mm("39.925"), Gauge: "M-12"})
		r, err := s.CouponResults(t.Context(), "CP-0001")
		if err != nil || len(r) != 1 || r[0].Verdict != "fail" { // below 39.950
			t.Errorf("read %+v, %v; want one that fails", r, err)
		}
		b, err := s.Balances(t.Context(), "L1")
		if err != nil || b[0].Drawn != 56 || b[0].Purged != 2.5 || b[0].Left != 2441.3 {
			t.Errorf("the balance is %+v, %v; want 56.0 drawn, 2.5 purged, 2441.3 left", b[0], err)
		}
	})
}

// A green size that was written down wrongly is put right also once the part
// is sintered; a new one is not taken then.
func TestGreenSizeCorrectedLater(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		dried(t, s, "I-0001", "PL-01")
		sizes, err := s.GreenSizes(t.Context(), "I-0001")
		if err != nil || len(sizes) != 1 {
			t.Fatalf("%d sizes, %v", len(sizes), err)
		}
		laid(t, s, "I-0001", "F1-01", "T1")
		put(t, s, "311", shop.LoadClosed{Load: "F1-01"})
		size := shop.GreenMeasured{Insert: "I-0001", Axis: "X", Size: mm("48.067"), Gauge: "M-12"}
		refusedFor(t, s, "in the furnace", entryBy("204", size), shop.ErrConflict, "no green size to be measured")
		e := entryBy("204", size)
		e.Corrects, e.Reason = sizes[0].Seq, "digits swapped"
		if _, err := s.Record(t.Context(), e); err != nil {
			t.Errorf("corrected: %v", err)
		}
	})
}
