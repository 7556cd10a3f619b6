package store

import (
	"slices"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// couponOf is a coupon of the seeded book, by the release of its lot.
func couponOf(number string) shop.CouponMade {
	return shop.CouponMade{Coupon: number, For: shop.ReceiptCoupon, Design: "CR40", Revision: "B", Container: "L1/01", Machine: "P1", Release: "DR-02 A",
		Layers: 146, Drawn: gram("56.0"), Code: shop.NewScanCode()}
}

// readingOfCoupon is a length of it.
func readingOfCoupon(stage, size string) shop.CouponMeasured {
	return shop.CouponMeasured{Coupon: "CP-0001", Stage: stage, Characteristic: "CR40.1", Value: mm(size), Gauge: "M-12"}
}

// throughTheRun takes the coupon of the seeded book through a furnace run.
func throughTheRun(t testing.TB, s *Store) {
	t.Helper()
	put(t, s, "311", shop.LoadOpened{Load: "F1-Q1", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	put(t, s, "311", shop.CouponPlaced{Load: "F1-Q1", Coupon: "CP-0001", Position: "M3", Lying: "on its side"})
	put(t, s, "311", shop.LoadClosed{Load: "F1-Q1"})
	put(t, s, "311", shop.LoadUnloaded{Load: "F1-Q1", Coupons: []string{"CP-0001"}})
}

// A reading of a coupon is asked what one of an insert is: whether it can be
// one, by a gauge that reads lengths, is in calibration and passed its check.
func TestCouponReadingIsAsked(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "204", couponOf("CP-0001"))
		for _, tt := range []struct{ name, size, gauge, why string }{
			{"a digit lost", "4.8", "M-12", "off by a factor of 10"},
			{"inches typed as millimetres", "1.89", "M-12", "Was it read in inches?"},
			{"a digit too many", "480", "M-12", "off by a factor of 10"},
			{"sintered typed as green", "39.9", "M-12", "that is a sintered length"},
			{"on a balance", "48.05", "BAL-1", "Gauge BAL-1, balance, reads no length."},
			{"on a hardness tester", "48.05", "HT-1", "Gauge HT-1, hardness tester, reads no length."},
		} {
			e := readingOfCoupon(shop.GreenStage, tt.size)
			e.Gauge = tt.gauge
			refusedFor(t, s, tt.name, entryBy("204", e), shop.ErrInvalid, tt.why)
		}
		put(t, s, "402", shop.GaugeAdded{Gauge: "M-99", Type: "micrometer", Range: "25-50 mm", Resolution: mm("0.001"), Error: mm("0.004"), Code: shop.NewScanCode()})
		uncalibrated := readingOfCoupon(shop.GreenStage, "48.067")
		uncalibrated.Gauge = "M-99"
		refusedFor(t, s, "not calibrated", entryBy("204", uncalibrated), shop.ErrRefused, "Gauge M-99 has no calibration on record.")
		put(t, s, "204", readingOfCoupon(shop.GreenStage, "48.067"))
		throughTheRun(t, s)
		refusedFor(t, s, "did not shrink", entryBy("402", readingOfCoupon(shop.SinteredStage, "48.067")), shop.ErrInvalid, "that is a green length")
		clockOf(s).advance(time.Minute)
		put(t, s, "402", shop.GaugeChecked{Gauge: "M-12", Block: mm("25.000"), Read: mm("25.024"), Limit: mm("0.004")})
		refusedFor(t, s, "after a check that failed", entryBy("402", readingOfCoupon(shop.SinteredStage, "39.925")), shop.ErrRefused, "Gauge M-12 read 25.024 mm on a block of 25.000 mm")
		clockOf(s).advance(time.Minute)
		put(t, s, "402", shop.GaugeChecked{Gauge: "M-12", Block: mm("25.000"), Read: mm("25.001"), Limit: mm("0.040")})
		refusedFor(t, s, "after a check by a wide limit", entryBy("402", readingOfCoupon(shop.SinteredStage, "39.925")), shop.ErrRefused, "was judged by a limit of 0.040 mm")
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "gauge", OnCode: "M-12", Why: "fell down"})
		refusedFor(t, s, "by a gauge on hold", entryBy("402", readingOfCoupon(shop.SinteredStage, "39.925")), shop.ErrRefused, "M-12 is held by 601")
	})
}

// A slip in a reading of a coupon is put right, also a green one after the
// furnace; both stay, and what counts is what stands.
func TestCouponReadingCorrected(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "204", couponOf("CP-0001"))
		put(t, s, "204", readingOfCoupon(shop.GreenStage, "48.067"))
		slip := put(t, s, "204", readingOfCoupon(shop.GreenStage, "44.067")) // the newest counts, as of an insert
		throughTheRun(t, s)
		put(t, s, "402", readingOfCoupon(shop.SinteredStage, "39.925"))
		asks(t, s, "44.067", "39.925")
		refusedFor(t, s, "green after the furnace", entryBy("204", readingOfCoupon(shop.GreenStage, "48.060")), shop.ErrConflict, "can be corrected")
		right := entryBy("204", readingOfCoupon(shop.GreenStage, "48.076"))
		right.Corrects = slip.Seq
		refusedFor(t, s, "without a reason", right, shop.ErrInvalid, "reason")
		right.Reason = "digit misread"
		sintered := right
		sintered.Event = readingOfCoupon(shop.SinteredStage, "39.9")
		refusedFor(t, s, "of the other stage", sintered, shop.ErrInvalid, "was read green")
		small := right
		small.Event = readingOfCoupon(shop.GreenStage, "39.5")
		refusedFor(t, s, "smaller than sintered", small, shop.ErrInvalid, "that is a sintered length")
		by, err := s.Record(t.Context(), right)
		if err != nil {
			t.Fatal(err)
		}
		again := right
		again.ID = entryBy("204", nil).ID
		refusedFor(t, s, "twice", again, shop.ErrStale, "was corrected already")
		r, err := s.CouponResults(t.Context(), "CP-0001")
		if err != nil || len(r) != 4 || r[1].CorrectedBy != by.Seq || r[0].CorrectedBy != 0 || r[3].Value.Text != "48.076" {
			t.Errorf("the readings are %+v, %v; want all four, the second corrected by %d", r, err, by.Seq)
		}
		asks(t, s, "48.076", "39.925")
		if marked, err := s.Corrections(t.Context(), "coupon/CP-0001", 0, 100); err != nil || marked[slip.Seq] != by.Seq {
			t.Errorf("the history marks %v, %v; want %d corrected by %d", marked, err, slip.Seq, by.Seq)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// asks for the one length of the lot.
func asks(t testing.TB, s *Store, green, sintered string) {
	t.Helper()
	pairs, err := s.LengthPairs(t.Context(), "L1")
	if err != nil || len(pairs) != 1 || pairs[0].Green.Text != green || pairs[0].Sintered.Text != sintered || pairs[0].Lying != "on its side" {
		t.Errorf("the lengths are %+v, %v; want one of %s green and %s sintered, on its side", pairs, err, green, sintered)
	}
}

// A coupon is of one lot: that of the release it names, or of the insert beside
// which it is printed.
func TestCouponOfTwoLots(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "101", shop.LotReceived{Lot: "L2", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
		put(t, s, "204", shop.ContainerReceived{Container: "L2/01", Lot: "L2", Mass: gram("2500"), Code: shop.NewScanCode()})
		put(t, s, "204", shop.ContainerOpened{Container: "L2/01"})
		put(t, s, "101", shop.MachineAdded{Machine: "P2", Nozzle: mm("0.6"), Code: shop.NewScanCode()})
		put(t, s, "101", shop.ReleaseDrafted{Release: "DR-03 A", Design: "CR40", Revision: "B", Lot: "L2", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
			KX: times("1.2000"), KY: times("1.2000"), KZ: times("1.2150"), Evidence: "provisional", Program: "CR40-03.pgm", ProgramHash: program})
		opened(t, s, "I-0001")
		no := func(name, why string, kind error, change func(*shop.CouponMade)) {
			e := couponOf("CP-0001")
			change(&e)
			refusedFor(t, s, name, entryBy("204", e), kind, why)
		}
		no("of another lot than its release", "A coupon is of one lot", shop.ErrInvalid, func(e *shop.CouponMade) { e.Container = "L2/01" })
		no("on another machine than its release", "is for machine P1, not P2", shop.ErrInvalid, func(e *shop.CouponMade) { e.Machine = "P2" })
		no("beside an insert of another lot", "A coupon is of one lot", shop.ErrInvalid, func(e *shop.CouponMade) { e.Container, e.Release, e.With = "L2/01", "", "I-0001" })
		no("by a release that nobody signed", "has no second signature", shop.ErrRefused, func(e *shop.CouponMade) { e.Container, e.Release = "L2/01", "DR-03 A" })
		for _, badge := range []string{"101", "601"} {
			if _, err := s.Record(t.Context(), signed(badge, shop.ReleaseSigned{Release: "DR-03 A"})); err != nil {
				t.Fatal(err)
			}
		}
		onTest := couponOf("CP-0002")
		onTest.Container, onTest.Release = "L2/01", "DR-03 A"
		put(t, s, "204", onTest)
		printed(t, s, "I-0001", "PL-01")
		beside := couponOf("CP-0003")
		beside.Release, beside.With = "", "I-0001"
		put(t, s, "204", beside)
		clockOf(s).advance(72 * time.Hour)
		no("beside an insert of three days ago", "The print of I-0001 ended on", shop.ErrInvalid, func(e *shop.CouponMade) { e.Release, e.With = "", "I-0001" })
		late := entryBy("101", shop.ReleaseWithdrawn{Release: "DR-03 A"})
		late.Reason = "receipt coupons are done"
		if _, err := s.Record(t.Context(), late); err != nil {
			t.Fatal(err)
		}
		no("by a release that was withdrawn", "was withdrawn", shop.ErrRefused, func(e *shop.CouponMade) { e.Container, e.Release = "L2/01", "DR-03 A" })
		clockOf(s).advance(30 * 24 * time.Hour)
		no("of paste that was open for too long", "its open life of 30 days is over", shop.ErrRefused, func(*shop.CouponMade) {})
		inHistory(t, s, "lot/L2", "container-opened", "coupon-made")
		inHistory(t, s, "lot/L1", "container-opened", "coupon-made")
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// inHistory asks that a history has entries of some kinds.
func inHistory(t testing.TB, s *Store, subject string, kinds ...string) {
	t.Helper()
	log, err := s.History(t.Context(), subject, 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, kind := range kinds {
		if !slices.ContainsFunc(log, func(e Logged) bool { return e.Event.Kind() == kind }) {
			t.Errorf("the history of %s has no %s", subject, kind)
		}
	}
}

// The factor of a coupon is what it was made with; where nobody said, it is what
// the machine had for the insert beside it, or what its release says.
func TestFactorOfACoupon(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "601", shop.PolicySet{Gate: shop.OversizeOfRelease.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		put(t, s, "601", shop.PolicySet{Gate: shop.CompensationOfLot.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		start := printStart("I-0001", "PL-01")
		start.KX = times("1.2025") // not the release's 1.2019
		put(t, s, "204", start)
		own, beside := couponOf("CP-0001"), couponOf("CP-0002")
		own.Release, own.With, own.KX = "", "I-0001", times("1.2011")
		beside.Release, beside.With = "", "I-0001"
		for _, made := range []shop.CouponMade{own, beside, couponOf("CP-0003")} {
			put(t, s, "204", made)
		}
		put(t, s, "311", shop.LoadOpened{Load: "F1-Q1", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
		all := []string{"CP-0001", "CP-0002", "CP-0003"}
		for _, coupon := range all {
			green := readingOfCoupon(shop.GreenStage, "48.067")
			green.Coupon = coupon
			put(t, s, "204", green)
			put(t, s, "311", shop.CouponPlaced{Load: "F1-Q1", Coupon: coupon, Position: "M3"})
		}
		put(t, s, "311", shop.LoadClosed{Load: "F1-Q1"})
		put(t, s, "311", shop.LoadUnloaded{Load: "F1-Q1", Coupons: all})
		for _, coupon := range all {
			sintered := readingOfCoupon(shop.SinteredStage, "39.990")
			sintered.Coupon = coupon
			put(t, s, "402", sintered)
		}
		pairs, err := s.LengthPairs(t.Context(), "L1")
		if err != nil || len(pairs) != 3 {
			t.Fatalf("%d lengths, %v; want 3", len(pairs), err)
		}
		for i, want := range []string{"1.2011", "1.2025", "1.2019"} {
			if pairs[i].KUsed.Text != want {
				t.Errorf("%s was made at %s; want %s", pairs[i].Piece, pairs[i].KUsed, want)
			}
		}
		if c, err := s.Coupon(t.Context(), "CP-0001"); err != nil || c.KX.Text != "1.2011" || c.KY.Taken() || c.KZ.Taken() {
			t.Errorf("the coupon has %v %v %v, %v; want 1.2011 in X only", c.KX, c.KY, c.KZ, err)
		}
	})
}
