package store

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// secondLot is a lot on test, with an open container and factors in force that
// lie within the band of L1's.
func secondLot(t *testing.T, s *Store) {
	t.Helper()
	put(t, s, "101", shop.LotReceived{Lot: "L2", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
	put(t, s, "204", shop.ContainerReceived{Container: "L2/01", Lot: "L2", Mass: gram("2499.8"), Code: shop.NewScanCode()})
	put(t, s, "204", shop.ContainerOpened{Container: "L2/01"})
	factored(t, s, "FA-002", "L2", proposed("X", "16.74", "1.2011"), proposed("Y", "16.74", "1.2011"), proposed("Z", "17.84", "1.2171"))
}

// releasedFor drafts a release of L2 with a factor in X, and has it signed by some.
func releasedFor(t *testing.T, s *Store, number, x string, by ...string) {
	t.Helper()
	put(t, s, "101", shop.ReleaseDrafted{Release: number, Design: "CR40", Revision: "B", Lot: "L2", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
		KX: times(x), KY: times("1.2011"), KZ: times("1.2171"), Evidence: "the lot before", Program: "a.pgm", ProgramHash: program})
	for _, badge := range by {
		if _, err := s.Record(t.Context(), signed(badge, shop.ReleaseSigned{Release: number})); err != nil {
			t.Fatal(err)
		}
	}
}

// TestReleaseSignedOnTest: what was signed while its lot was on test is named
// when the lot is released, and no print starts by it.
func TestReleaseSignedOnTest(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		secondLot(t, s)
		releasedFor(t, s, "DR-03 A", "1.2019", "101", "601") // that of L1, within the band
		releasedFor(t, s, "DR-04 A", "1.2011", "101", "601") // the lot's own
		releasedFor(t, s, "DR-05 A", "1.2015", "101", "601") // close by, and nobody's
		releasedFor(t, s, "DR-06 A", "1.2019", "101")        // signed by one only
		releasedFor(t, s, "DR-07 A", "1.2060", "101", "601") // for the coupons of the receipt
		put(t, s, "204", shop.CouponMade{Coupon: "CP-0001", For: shop.ReceiptCoupon, Design: "CR40", Revision: "B", Container: "L2/01", Machine: "P1", Release: "DR-07 A", Layers: 146, Drawn: gram("56"), Code: shop.NewScanCode()})
		receipt, err := s.Record(t.Context(), signed("601", shop.LotReleased{Lot: "L2", Evidence: "receipt coupons", Differ: []string{"made up"}}))
		if err != nil {
			t.Fatal(err)
		}
		e, err := s.Entry(t.Context(), receipt.Seq)
		if ev, ok := e.Event.(shop.LotReleased); err != nil || !ok || !slices.Equal(ev.Differ, []string{"DR-03 A", "DR-05 A"}) {
			t.Errorf("the lot's release says %+v, %v; want DR-03 A and DR-05 A", e.Event, err)
		}
		for release, says := range map[string]string{"DR-03 A": "1.2019 is the factor of lot L1 in X.", "DR-04 A": "", "DR-05 A": "1.2015 was never a factor of that lot in X."} {
			insert := strings.Replace(release[:5], "DR-", "I-00", 1)
			put(t, s, "700", shop.TravelerOpened{Insert: insert, Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
			put(t, s, "101", shop.ReleaseAssigned{Insert: insert, Release: release})
			start := printStart(insert, "PL-01")
			start.Release, start.KX, start.KY, start.KZ = release, times("1.2019"), times("1.2011"), times("1.2171")
			switch release {
			case "DR-04 A":
				start.KX = times("1.2011")
			case "DR-05 A":
				start.KX = times("1.2015")
			}
			_, err := s.Record(t.Context(), entryBy("204", start))
			if no, ok := errors.AsType[*shop.Refusal](err); says != "" && (!ok || len(no.Objections) != 1 || no.Objections[0].Gate != shop.CompensationOfLot.Name || !strings.Contains(no.Why, says) || !no.Objections[0].Compared[0].Differs) {
				t.Errorf("a print by %s: %v; want it stopped with %q", release, err, says)
			}
			if says != "" {
				continue
			}
			if err != nil {
				t.Errorf("a print by %s: %v", release, err)
			}
			put(t, s, "601", shop.InsertScrapped{Insert: insert, Why: "frees the machine"})
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// TestNothingIsPrintedUnmeasured: also where the shop lets lots on test be
// printed, an insert of one that nobody measured is not.
func TestNothingIsPrintedUnmeasured(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		secondLot(t, s)
		put(t, s, "601", shop.PolicySet{Gate: shop.AxesMeasured.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Stop})
		put(t, s, "601", shop.PolicySet{Gate: shop.LotReleasedInDate.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		releasedFor(t, s, "DR-04 A", "1.2011", "101", "601") // signed before anything is measured, for the coupons
		put(t, s, "700", shop.TravelerOpened{Insert: "I-0001", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
		put(t, s, "101", shop.ReleaseAssigned{Insert: "I-0001", Release: "DR-04 A"})
		start := printStart("I-0001", "PL-01")
		start.Release, start.KX, start.KY, start.KZ = "DR-04 A", times("1.2011"), times("1.2011"), times("1.2171")
		if _, err := s.Record(t.Context(), entryBy("204", start)); !errors.Is(err, shop.ErrRefused) || !strings.Contains(err.Error(), "Lot L2 was never measured: X, Y and Z rest on no measurement.") {
			t.Errorf("a print of a lot on test: %v", err)
		}
	})
}

// TestFurnaceAsksWhatWasPrinted: before the furnace the factors that the machine
// was given are asked about, not those of the release.
func TestFurnaceAsksWhatWasPrinted(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for _, gate := range []shop.Gate{shop.OversizeOfRelease, shop.CompensationOfLot} {
			put(t, s, "601", shop.PolicySet{Gate: gate.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		}
		opened(t, s, "I-0001")
		start := printStart("I-0001", "PL-01")
		start.KX = times("1.2109")
		put(t, s, "204", start)
		put(t, s, "204", layersDrawn("I-0001", 1, 304, "280.5"))
		put(t, s, "204", shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 304, Pass: 1, Cutter: "CU-11", Probe: mm("0.501")})
		put(t, s, "204", shop.PrintFinished{Insert: "I-0001", LayersDone: 304, Printed: gram("254.3")})
		put(t, s, "204", shop.DryingStarted{Insert: "I-0001", Oven: "D1", Shelf: "2", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")})
		dryOut(t, s, "I-0001")
		put(t, s, "311", shop.LoadOpened{Load: "F1-0001", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
		laid := shop.LoadPlaced{Load: "F1-0001", Insert: "I-0001", Position: "T1"}
		_, err := s.Record(t.Context(), entryBy("311", laid))
		no, ok := errors.AsType[*shop.Refusal](err)
		if !ok || len(no.Objections) != 1 || !strings.Contains(no.Why, "I-0001 was printed with 1.2109 in X; the factor of lot L1 in force is 1.2019.") {
			t.Fatalf("laid in the furnace: %v", err)
		}
		if row := no.Objections[0].Compared[0]; row.Machine != "1.2109" || row.Release != "1.2019" || row.Factor != "1.2019" || !row.Differs {
			t.Errorf("side by side: %+v", row)
		}
		put(t, s, "601", shop.PolicySet{Gate: shop.CompensationOfLot.Name, Op: shop.OpSinter, From: s.Now(), Mode: shop.Silent})
		put(t, s, "311", laid)
		put(t, s, "601", shop.PolicySet{Gate: shop.CompensationOfLot.Name, Op: shop.OpSinter, From: s.Now(), Mode: shop.Stop})
		if _, err := s.Record(t.Context(), entryBy("311", shop.LoadClosed{Load: "F1-0001"})); !errors.Is(err, shop.ErrRefused) || !strings.Contains(err.Error(), "I-0001 was printed with 1.2109 in X") {
			t.Errorf("the door is closed: %v", err)
		}
	})
}
