package server

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"sinterbook/store/shop"
)

// TestByScansOnly takes an insert from the start of its print to its delivery
// in a real browser by scans alone: what is typed is the PIN and what was
// measured, and no button is pressed.
func TestByScansOnly(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	s := scans(t)
	w := &scanWalk{scanning: s, tab: newTab(t, chromium(t), s.at.URL)}
	w.walks()
	w.tab.quiet("the shift by scans")
}

// TestByScansWithoutNetwork is the same with the server gone for ten minutes
// while the insert is printed: what is scanned and recorded then is in the book
// once, when it is back.
func TestByScansWithoutNetwork(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	s := scans(t)
	at := newPort(t, s.server.Handler())
	w := &scanWalk{scanning: s, tab: newTab(t, chromium(t), "http://"+at.address)}
	w.away = func() {
		for _, path := range []string{"/station/I-0029?act=paste", "/station/I-0029?act=layers"} {
			w.tab.until(path+" is kept", "await (await caches.open('pages')).match('"+path+"')")
		}
		w.tab.until("the worker looks after the page", "navigator.serviceWorker.controller")
		at.stop()
	}
	w.back = func() {
		w.tab.waits("2 not sent")
		w.advance(10 * time.Minute)
		at.start()
		w.tab.waits("Recorded now:", "all sent")
	}
	w.walks()
	kept := 0
	for _, e := range s.since("I-0029", 0) {
		if e.Kept != nil && e.By == "204" {
			kept++
		}
	}
	if kept != 2 {
		t.Errorf("%d acts were kept without network; want the paste and the layers", kept)
	}
}

// walks takes the insert along its route.
func (w *scanWalk) walks() {
	s := w.scanning
	for _, at := range []shop.StationAdded{
		{Station: "DRY", Name: "Drying room", Operation: shop.OpDry, Equipment: "D1"}, {Station: "FUR", Name: "Furnace hall", Operation: shop.OpSinter, Equipment: "F2"},
		{Station: "TEM", Name: "Tempering", Operation: shop.OpTemper, Equipment: "H1"}, {Station: "INS", Name: "Inspection", Operation: shop.OpInspect},
		{Station: "FIT", Name: "Fitting bench", Operation: shop.OpFit}, {Station: "DEL", Name: "Dispatch", Operation: shop.OpDeliver},
	} {
		at.Code = shop.NewScanCode()
		s.put("601", at)
	}
	for _, badge := range []string{"311", "501"} {
		s.keyed(badge)
	}
	w.printed()
	w.dried()
	w.fired()
	w.measured()
	w.left()
	i, err := s.store.Insert(s.Context(), "I-0029")
	if err != nil || i.Status != shop.StatusDelivered {
		s.Errorf("I-0029 is %s (%v); want it delivered", i.Status, err)
	}
}

// A scanWalk is somebody with a scanner and a tablet.
type scanWalk struct {
	*scanning
	tab        *tab
	away, back func() // the network goes, and comes again; nil where it stays
}

// stands takes a tablet of a station in hand and scans a badge there.
func (w *scanWalk) stands(station, badge string) {
	w.Helper()
	w.tab.open("/tablet?token=" + w.tabletAt(station, "walk-"+station+w.now().Format("150405"))).press("Register this tablet")
	w.tab.settle()
	w.tab.loaded("scanning the badge", typedFast(w.code[badge]+"\r"))
	w.tab.fill("PIN", rightPIN)
	w.tab.loaded("Enter", chromedp.KeyEvent("\r"))
	w.tab.reads(badge)
}

// does scans one thing after the other and reads what the page says then.
func (w *scanWalk) does(says string, what ...string) {
	w.Helper()
	for _, n := range what {
		if c := w.code[n]; c != "" {
			n = c
		}
		w.tab.scan(n)
	}
	w.tab.reads(says)
}

// shows is does where a page may answer by itself, without network.
func (w *scanWalk) shows(says string, what string) {
	w.Helper()
	w.tab.settle()
	w.tab.forget()
	step(w.tab, "scanning "+what, typedFast(w.code[what]+"\r"))
	w.tab.waits(says)
	switch {
	case what == "RECORD" && w.away != nil:
		w.tab.waits("not sent")
	case what == "RECORD":
		w.tab.until("it is recorded", "document.querySelector('.notice') && document.readyState === 'complete'")
	default:
		w.tab.until(what+" is filled in", "[...(document.getElementById('act')?.elements ?? [])].some((e) => e.value === '"+what+"')")
	}
}

func (w *scanWalk) printed() {
	w.stands("PR1", "204")
	w.does("Start the print", "I-0029", "PL-01", testProgram)
	w.tab.fields(oversizeX, "1.2019", oversizeY, "1.2019", oversizeZ, "1.2180", "Layers planned", "304")
	w.does("Print of I-0029 started", "START")
	if w.away != nil {
		w.away()
	}
	w.shows("Draw paste", "L2509-A/01")
	w.tab.fields("First layer", "1", "Last layer", "304", "Mass drawn, g", "280.5", "Purged, g", "3.1")
	w.shows("280.5", "RECORD")
	if w.away == nil { // the form has the cutter of the machine already
		w.does("Layers made", "CU-11")
	} else {
		w.shows("Layers made", "CU-11")
	}
	w.tab.fields("First layer", "1", "Last layer", "304", "Cutting time, min", "41")
	w.shows("Layers", "RECORD")
	if w.back != nil {
		w.back()
	}
	w.tab.open("/station/I-0029").reads("304")
	w.advance(9 * time.Hour)
	w.does("Finish the print", "FINISH")
	w.tab.fields("Layers printed", "304", "Printed mass, g", "254.3")
	w.does("Print of I-0029 finished", "FINISH")
}

func (w *scanWalk) dried() {
	w.stands("DRY", "204")
	w.does("Start final drying", "PL-01")
	w.tab.fields("Air, °C", "65", "Mass without the plate, g", "254.82", "Dry once it changes in an hour by at most, %", "0.05")
	w.does("Final drying of I-0029 started", "START")
	w.advance(14 * time.Hour)
	w.stands("DRY", "204")
	w.does("Weigh it", "PL-01", "BAL-1")
	w.tab.fields("Mass without the plate, g", "232.87")
	w.does("I-0029 weighed 232.87 g", "RECORD")
	w.advance(time.Hour)
	w.does("Finish final drying", "FINISH")
	w.tab.fields("Mass after drying, g", "232.85")
	w.does("Final drying of I-0029 finished", "FINISH")
	for _, size := range []string{"48.076", "36.057", "30.450"} {
		w.does("Measure it green", "M-12")
		w.tab.fields("Green size", size)
		w.does("I-0029 is "+size+" mm green", "RECORD")
	}
}

func (w *scanWalk) fired() {
	w.put("311", shop.LoadOpened{Load: "F2-06", Furnace: "F2", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	l, err := w.store.Load(w.Context(), "F2-06")
	if err != nil {
		w.Fatal(err)
	}
	w.code["F2-06"], w.code["F2/M1"] = string(l.Code), w.code["F2"]+"/M1"
	w.stands("FUR", "311")
	w.does("Lay an insert in", "F2-06", "F2/M1", "PL-01")
	w.does("I-0029 lies at M1.", "RECORD")
	w.does("Nothing was started by it.", "START")
	w.advance(40 * time.Hour)
	w.stands("FUR", "311")
	w.does("every serial is accounted for", "F2-06", "I-0029", "FINISH")
	w.stands("TEM", "311")
	w.does("Start tempering", "I-0029", "TR-590 A")
	w.does("Tempering of I-0029 started", "START")
	w.advance(3 * time.Hour)
	w.does("Tempering of I-0029 finished", "FINISH")
}

func (w *scanWalk) measured() {
	w.put("402", shop.GaugeChecked{Gauge: "M-12", Block: readingOf("25.000", "mm"), Read: readingOf("25.001", "mm"), Limit: readingOf("0.004", "mm")})
	w.stands("INS", "402")
	w.does("Measure", "I-0029", "M-12")
	for _, size := range []string{"39.969", "30.001", "25.004"} {
		w.tab.fields("Reading", size, "Part temperature, °C", "20.1")
		w.does(size, "RECORD")
	}
	w.does("hardness", "HT-1")
	w.tab.fields("Reading, HRC", "48.2")
	w.does("Every characteristic has a reading", "RECORD")
	w.does("Inspection of I-0029 finished", "FINISH")
}

func (w *scanWalk) left() {
	w.stands("FIT", "501")
	w.code["M301/C2"] = w.code["M301"] + "/C2"
	w.does("Fit it into its mould", "I-0029", "M301/C2")
	w.tab.fields("Shim under the base, 0 for none", "20", "Unit of shims and stock", "µm", "Spotting contact, %", "85")
	w.does("I-0029 fitted in M301 at C2", "RECORD")
	w.stands("DEL", "601")
	w.does("Number of the delivery note", "I-0029", "FINISH")
	w.tab.settle()
	step(w.tab, "scanning the delivery note", typedFast("DN-0117\r"))
	w.tab.fill("Your PIN", rightPIN)
	w.tab.loaded("Enter", chromedp.KeyEvent("\r"))
	w.tab.reads("was delivered with delivery note DN-0117")
}
