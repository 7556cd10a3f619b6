package server

import (
	"fmt"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// TestLotWalk qualifies a fresh lot as a quality manager and a process engineer
// do it in their browsers, from its receipt to an insert of it that is stopped
// before the furnace: plan, coupons, factors by two people, the lot's release,
// which is stopped until all is done, a design release, the gate at the machine and the gate of the green size.
func TestLotWalk(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	w := demoShop(t)
	w.receives()
	w.measures("X", 1)
	w.proposes("X 4 lengths", "X")
	w.release().reads("Stopped", "The maker's certificate of lot L2512-A was not entered.", "Along Y, 0 of 4 coupons of CP40 B are measured green and sintered.", "No factor of lot L2512-A in Y and Z is in force.",
		"has no length of lot L2512-A along Y and Z", "Lot L2512-A was measured in X only: Y and Z rest on no measurement.")
	w.measures("Y", 2)
	w.measures("Z", 3)
	w.proposes("Y 4 lengths", "Y", "Z")
	w.put("101", shop.CertificateEntered{Lot: "L2512-A", Lines: []shop.CertificateLine{{Property: "carbon", Value: "0.41", Unit: "wt%", Lower: "0.38", Upper: "0.44"}}})
	w.release().reads("Lot L2512-A was released for printing.")
	w.slips()
	w.covers()
	w.printsOfIt()
	w.stoppedGreen()
	w.engineer.quiet("the engineer's tab")
	w.manager.quiet("the manager's tab")
}

// receives takes a lot and a container in, plans how it is qualified, and has
// its coupons printed and sintered.
func (w *demoWalk) receives() {
	e := w.engineer
	e.open("/lots").press("Receive a lot").fields("Lot number", "L2512-A", "Material", "HT44 paste", "Day it was mixed", "2025-11-15", "Last day of use", "2026-04-14", "Open life, days", "30", "Maker's certificate", "C-130").press("Receive the lot")
	e.open("/new/container").fields("Lot", "L2512-A", "Container number", "L2512-A/01", "Mass of paste in it", "2500.0", "Unit of the mass", "g").press("Receive the container")
	e.open("/containers/L2512-A/01").press("Record that it was opened")
	w.code["L2512-A/01"] = ungrouped(e.fact("Scan code"))
	e.open("/lots/L2512-A").reads("on test", "nothing but its receipt coupons is printed of it").press("Plan it").
		fields("Design of the coupons", "CP40 B, witness bar", "Coupons", "4", "Measured along", "X, Y and Z").press("Set down the plan").
		reads("Along X, Y and Z the coupons have one length only", "0 of 4")
	w.couponRelease()
	w.put("311", shop.LoadOpened{Load: "F1-08", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	var coupons []string
	for n := range 4 {
		coupon := fmt.Sprintf("CP-9%03d", n+1)
		coupons = append(coupons, coupon)
		w.put("204", shop.CouponMade{Coupon: coupon, For: shop.ReceiptCoupon, Design: "CP40", Revision: "B", Container: "L2512-A/01", Machine: "P1", Release: "DR-17 A", Layers: 146, Drawn: readingOf("56.0", "g"), Purged: readingOf("2.5", "g"), Code: shop.NewScanCode()})
		for axis, green := range []string{"48.000", "14.400", "14.580"} {
			w.put("204", shop.CouponMeasured{Coupon: coupon, Stage: "green", Characteristic: fmt.Sprintf("CP40.%d", axis+1), Value: readingOf(green, "mm"), Gauge: "OG-1"})
		}
		w.put("311", shop.CouponPlaced{Load: "F1-08", Coupon: coupon, Position: "M3", Setter: "ST-02", Lying: "flat"})
	}
	w.put("311", shop.LoadClosed{Load: "F1-08"})
	w.nextDay(40 * time.Hour)
	w.put("311", shop.LoadUnloaded{Load: "F1-08", Coupons: coupons})
	e.open("/lots/L2512-A").reads("4 of 4, 4 sintered", "X 0 of 4, Y 0 of 4, Z 0 of 4")
}

// couponRelease drafts and signs the release by which the receipt coupons of the
// lot are printed: of the lot while it is on test, with provisional factors.
func (w *demoWalk) couponRelease() {
	w.engineer.open("/releases").press("Draft a release").fields("Release number", "DR-17 A", "Design", "CP40 witness bar", "Build orientation", "+Z up, X along the machine X", "Paste lot", "L2512-A", "Machine", "P1",
		"Furnace recipe", "SR-1340 C", "Oversize in X", "1.2000", "Oversize in Y", "1.2000", "Oversize in Z", "1.2150", "What the factors rest on", "provisional, for receipt coupons",
		"Program name", "CP40.pgm", "SHA-256 of the program", testProgram).press("Draft the release")
	coupon := shop.CouponMade{Coupon: "CP-9001", For: shop.ReceiptCoupon, Design: "CP40", Revision: "B", Container: "L2512-A/01", Machine: "P1", Release: "DR-17 A", Layers: 146, Drawn: readingOf("56.0", "g"), Code: shop.NewScanCode()}
	w.refuse("204", coupon)
	w.engineer.fill("Your PIN", rightPIN).press("Sign DR-17 A")
	w.manager.open("/releases/DR-17%20A").fill("Your PIN", rightPIN).press("Sign DR-17 A").reads("in force")
	coupon.Release = "DR-01 A/CP40/L2511-A" // of another lot
	w.refuse("204", coupon)
}

// measures reads all coupons along an axis, the first of them on the page.
func (w *demoWalk) measures(axis string, n int) {
	sizes := map[string][]string{"X": {"39.936", "39.941", "39.932", "39.938"}, "Y": {"11.981", "11.982", "11.980", "11.981"}, "Z": {"11.970", "11.972", "11.969", "11.970"}}[axis]
	number := fmt.Sprintf("CP40.%d", n)
	for i, size := range sizes[1:] {
		w.put("402", shop.CouponMeasured{Coupon: fmt.Sprintf("CP-9%03d", i+2), Stage: "sintered", Characteristic: number, Value: readingOf(size, "mm"), Gauge: "CMM1", PartTemp: readingOf("20.1", "C")})
	}
	e := w.engineer
	name := map[string]string{"X": "length X", "Y": "width Y", "Z": "height Z"}[axis]
	e.open("/coupons/CP-9001").press("Measure it").fields("Stage", "sintered", "Characteristic", number+" "+name, "Reading", sizes[0], "Unit", "mm", "Gauge", "CMM1", "Part temperature, °C", "20.2").press("Record this reading")
}

// proposes lets the page propose what the lengths say, and the manager approve
// it.
func (w *demoWalk) proposes(basis string, axes ...string) {
	e := w.engineer
	e.open("/lots/L2512-A").reads("propose a factor").press("Propose what the lengths say")
	for n, axis := range axes {
		if got := e.value(fmt.Sprintf("Axis, line %d", n+1)); got != axis {
			w.Errorf("line %d of the proposal is about %q; want %s", n+1, got, axis)
		}
	}
	number := e.value("Number of the proposal")
	e.reads("Propose factors").press("Propose them").reads("waits for a second person")
	w.manager.open("/factors/"+number).fill("Your PIN", rightPIN).press("Approve " + number).reads("The factors of " + number + " are in force")
}

// release releases the lot for printing, if that may be.
func (w *demoWalk) release() *tab {
	return w.manager.open("/lots/L2512-A").fields("What the release rests on", "coupons of F1-08", "Your PIN", rightPIN).press("Release L2512-A")
}

// draft writes a design release of the lot.
func (w *demoWalk) draft(release, kx string) *tab {
	return w.engineer.open("/releases").press("Draft a release").fields("Release number", release, "Design", "CR40 core", "Build orientation", "+Z up, X along the machine X", "Paste lot", "L2512-A", "Machine", "P1",
		"Furnace recipe", "SR-1340 C", "Oversize in X", kx, "Oversize in Y", "1.2019", "Oversize in Z", "1.2180", "What the factors rest on", "receipt coupons",
		"Program name", "CR40.pgm", "SHA-256 of the program", testProgram).press("Draft the release")
}

// slips drafts a release with two digits of its factor swapped, and then one of
// which two axes rest on nothing.
func (w *demoWalk) slips() {
	k := w.inForce("X")
	w.draft("DR-18 A", k[:3]+k[4:5]+k[3:4]+k[5:]).reads("swapped", k)
}

// inForce is the factor of the lot along an axis, as it was typed.
func (w *demoWalk) inForce(axis string) string {
	factors, err := w.store.Factors(w.Context(), "L2512-A")
	in, ok := shop.FactorAt(factors, "L2512-A", axis, w.now())
	if err != nil || !ok {
		w.Fatalf("no factor in %s is in force: %v", axis, err)
	}
	return in.K.Text
}

// covers drafts and signs a release once every axis was measured.
func (w *demoWalk) covers() {
	w.draft("DR-18 A", w.inForce("X"))
	w.engineer.fill("Your PIN", rightPIN).press("Sign DR-18 A")
	w.manager.open("/releases/DR-18%20A").fill("Your PIN", rightPIN).press("Sign DR-18 A").reads("in force")
}

// printsOfIt starts a print with another factor than the released one, which
// is stopped, and then with the right one.
func (w *demoWalk) printsOfIt() {
	w.begins()
	w.assigned("DR-18 A")
	p := w.printer
	w.atTablet(p, "204")
	p.open("/station").scan(w.code["I-0042"]).fields("Plate that carries the part", "PL-05", "SHA-256 of the program as the machine shows it", testProgram,
		oversizeX, "1.2109", oversizeY, "1.2019", oversizeZ, "1.2180", "Layers planned", "305").press("Record the start of the print").reads("Stopped", "1.2109", w.inForce("X"))
	p.fields(oversizeX, w.inForce("X")).press("Record the start of the print").reads("Print of I-0042 started")
	w.put("204", shop.PasteDrawn{Container: "L2512-A/01", Insert: "I-0042", FromLayer: 1, ToLayer: 305, Drawn: readingOf("295.0", "g"), Purged: readingOf("7.3", "g")})
	w.put("204", shop.LayersMade{Insert: "I-0042", FromLayer: 1, ToLayer: 305, Dried: readingOf("360", "s")})
	w.advance(11 * time.Hour)
	w.put("204", shop.PrintFinished{Insert: "I-0042", LayersDone: 305, Printed: readingOf("256.5", "g")})
}

// stoppedGreen dries the insert, measures it too large green, and tries to lay
// it into a load.
func (w *demoWalk) stoppedGreen() {
	w.put("204", shop.DryingStarted{Insert: "I-0042", Oven: "D1", Shelf: "2", Air: readingOf("65", "C"), Wet: readingOf("256.5", "g"), Constant: readingOf("0.05", "%")})
	w.nextDay(14 * time.Hour)
	w.put("204", shop.InsertWeighed{Insert: "I-0042", Gauge: "BAL-1", Mass: readingOf("234.45", "g")})
	w.advance(time.Hour)
	w.put("204", shop.DryingFinished{Insert: "I-0042", Dry: readingOf("234.42", "g")})
	for axis, size := range map[string]string{"X": "48.300", "Y": "36.050", "Z": "30.450"} {
		w.put("204", shop.GreenMeasured{Insert: "I-0042", Axis: axis, Size: readingOf(size, "mm"), Gauge: "OG-1"})
	}
	w.engineer.open("/inserts/I-0042").reads("likely wrong (below 1 %)", "The chance that it comes out right is below 1 %", "It can be shaped again while it is green")
	f := w.furnace
	w.atTablet(f, "311")
	f.open("/loads").press("Begin a load").fields("Load number", "F1-09", "Furnace", "F1", "Recipe", "SR-1340 C").press("Begin the load")
	f.open("/loads/F1-09").fields("Insert", w.code["I-0042"], "Place", "T1", "Setter", "ST-01").press("Lay it in").reads("Stopped", "48.300 mm green", "below 1 %")
	w.put("204", shop.GreenMeasured{Insert: "I-0042", Axis: "X", Size: readingOf("48.075", "mm"), Gauge: "OG-1"})
	f.open("/loads/F1-09").fields("Insert", w.code["I-0042"], "Place", "T1", "Setter", "ST-01").press("Lay it in").reads("I-0042 lies at T1.")
}
