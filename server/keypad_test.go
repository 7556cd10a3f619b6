package server

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"sinterbook/store/shop"
)

// A padState is what the page shows while a keypad may be up.
type padState struct {
	Open        bool
	Says        string // label, unit and what is typed so far
	Field       string // that has the cursor
	Value       string
	Mode        string // which keyboard the tablet would bring up for it
	Uncovered   bool   // the field is in sight
	Inside      bool   // the cursor is on a key
	Beside      bool   // the keypad covers nothing of the form
	Left, Right float64
}

// touch puts a finger on a place of the screen and takes it off.
func (w *tab) touch(what string, at point) {
	w.Helper()
	call(w, "touching "+what, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchStart, TouchPoints: []*input.TouchPoint{{X: at.X, Y: at.Y}}})
	call(w, "letting go of "+what, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchEnd, TouchPoints: []*input.TouchPoint{}})
}

// padUntil waits for the keypad to be as wanted.
func (w *tab) padUntil(what string, want func(padState) bool) padState {
	w.Helper()
	var s padState
	for range 200 {
		if s = script[padState](w, "keypad"); want(s) {
			return s
		}
		time.Sleep(25 * time.Millisecond)
	}
	w.Fatalf("%s: the keypad stays %+v", what, s)
	return s
}

// touchField touches a field, upon which the keypad is up for it and leaves it
// in sight.
func (w *tab) touchField(label string) padState {
	w.Helper()
	w.touch(label, script[point](w, "placeOf", label))
	return w.padUntil("touching "+label, func(s padState) bool { return s.Open && s.Field == label && s.Mode == "none" && s.Uncovered })
}

// keys touches keys one after the other, and waits until the field has the
// value.
func (w *tab) keys(value string, keys ...string) padState {
	w.Helper()
	for _, k := range keys {
		w.touch("the key "+k, w.find(k))
	}
	return w.padUntil("typing "+value, func(s padState) bool { return s.Open && s.Value == value })
}

// next goes on to the next number.
func (w *tab) next(label string) {
	w.Helper()
	w.touch("Next", w.find("Next"))
	w.padUntil("going on to "+label, func(s padState) bool { return s.Open && s.Field == label && s.Mode == "none" && s.Uncovered })
}

// fitting is a tablet at the fitting bench with an insert to be fitted.
func fitting(t *testing.T, browser context.Context, v viewport) (*bookTest, *tab) {
	t.Helper()
	b := fittable(t)
	b.put("601", shop.StationAdded{Station: "FT1", Name: "Fitting bench", Operation: shop.OpFit, Code: shop.NewScanCode()})
	b.tabletAt("FT1", "T-1")
	b.server = New(Config{Store: b.store})
	w := newTab(t, browser, b.serve().URL)
	b.at(w, "501", "FT1")
	w.look(v)
	call(w, "having a touch screen", emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true, MaxTouchPoints: 5})
	w.open("/station/I-0029").settle()
	return b, w
}

// photoFile is a photo as a tablet has it.
func photoFile(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "IMG_0417.jpg")
	if err := os.WriteFile(path, asJPEG(t, 9), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func sameFaces(got []shop.Face, want ...shop.Face) bool { return slices.Equal(got, want) }

// A toolmaker enters a fit with two faces by the keypad, with a photo; what is
// recorded is what was typed.
func TestKeypadEntersAFit(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	browser := chromium(t)
	for _, v := range []viewport{{"800x1280", 800, 1280}, {"390x844", 390, 844}, {"1280x800", 1280, 800}} {
		t.Run(v.name, func(t *testing.T) {
			b, w := fitting(t, browser, v)
			w.fields("Mould", "M301", "Place in the mould", "C2", "Unit of shims and stock", "mm")
			if s := w.touchField("Shim under the base, 0 for none"); s.Says != "Shim under the base, 0 for none mm –" {
				t.Errorf("the keypad says %q", s.Says)
			}
			w.keys("0", "0")
			w.next("Removed at +X")
			w.keys("0.02", "0", "Decimal point", "0", "2")
			w.picture("keypad " + v.name)
			w.next("Added at +X")
			if s := w.keys("0.350", "1", "Delete the last one", "0", "Decimal point", "3", "5", "0"); s.Says != "Added at +X mm 0.350" {
				t.Errorf("the keypad says %q", s.Says)
			}
			w.touchField("Shim at -Y")
			w.keys("", "9", "9", "Clear the field")
			w.keys("0.1", "0", "Decimal point", "1")
			step(w, "typing on a keyboard", chromedp.KeyEvent("5"))
			w.padUntil("typing on a keyboard", func(s padState) bool { return s.Value == "0.15" && s.Says == "Shim at -Y mm 0.15" })
			w.touch("Done", w.find("Done"))
			w.padUntil("being done", func(s padState) bool { return !s.Open && s.Field == "Shim at -Y" })
			step(w, "choosing a photo", chromedp.SetUploadFiles("#f-photo", []string{photoFile(t)}))
			w.press("Record the fit").reads("I-0029 fitted in M301 at C2, with a photo", "the fit as found")
			w.picture("fit recorded " + v.name)
			w.quiet(v.name)
			fits, err := b.store.Fits(t.Context(), "I-0029")
			if err != nil || len(fits) != 1 || fits[0].Shim != readingOf("0", "mm") || !sameFaces(fits[0].Faces,
				shop.Face{Face: "+X", Removed: readingOf("0.02", "mm"), Added: readingOf("0.350", "mm")}, shop.Face{Face: "-Y", Shim: readingOf("0.15", "mm")}) {
				t.Errorf("recorded are %+v, %v", fits, err)
			}
			all, err := b.store.DocumentsOn(t.Context(), "insert", "I-0029")
			if err != nil || len(all) != 1 || all[0].Document != shop.DocumentNamed(asJPEG(t, 9)) || all[0].Name != "IMG_0417.jpg" {
				t.Errorf("the photos are %+v, %v", all, err)
			}
			w.open("/inserts/I-0029").picture("traveler with photo " + v.name)
			w.open("/documents/" + all[0].Document).quiet("the photo")
		})
	}
}

// The keypad is worked by keys alone, too: it opens by its button, Escape closes
// it, and the cursor is where it was. A scanner's letters never press its keys.
func TestKeypadByKeyboard(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	_, w := fitting(t, chromium(t), viewports[0])
	w.fields("Unit of shims and stock", "µm")
	button := "Keypad for face +X"
	w.focusOn(button)
	step(w, "opening it", chromedp.KeyEvent("\r"))
	w.padUntil("opening it", func(s padState) bool { return s.Open && s.Inside && s.Says == "Removed at +X µm –" })
	step(w, "pressing a key", chromedp.KeyEvent("\r"))
	w.padUntil("pressing a key", func(s padState) bool { return s.Inside && s.Says == "Removed at +X µm 7" })
	step(w, "going to a neighbour", chromedp.KeyEvent("\t "))
	w.padUntil("going to a neighbour", func(s padState) bool { return s.Inside && s.Says == "Removed at +X µm 78" })
	step(w, "going away", chromedp.KeyEvent("\x1b"))
	w.padUntil("going away", func(s padState) bool { return !s.Open && s.Field == button })
	step(w, "opening it again", chromedp.KeyEvent("\r"))
	w.padUntil("opening it again", func(s padState) bool { return s.Open && s.Inside })
	step(w, "typing as a scanner does", chromedp.KeyEvent("12"))
	w.padUntil("typing as a scanner does", func(s padState) bool {
		return s.Open && s.Field == "Removed at +X" && s.Value == "7812" && s.Says == "Removed at +X µm 7812"
	})
	w.examine("keypad open")
	// Beside a form it lies over what is only read, else on the side of the hand.
	upright := viewport{"800x1280", 800, 1280}
	for _, tt := range []struct {
		v           viewport
		hand, where string
	}{{viewports[0], "left", "right"}, {upright, "left", "left"}, {viewports[0], "right", "left"}, {upright, "right", "right"}, {viewports[0], "right", "left"}} {
		step(w, "changing hands", chromedp.Evaluate[chromedp.Void]("document.documentElement.dataset.hand = '"+tt.hand+"'"))
		w.look(tt.v)
		w.padUntil("in the "+tt.hand+" hand at "+tt.v.name, func(s padState) bool {
			return s.Open && s.Uncovered && (s.Left == 0) == (tt.where == "left") && (s.Right == 0) == (tt.where == "right") && s.Beside == (tt.v.width > 1100)
		})
		w.picture("keypad in the " + tt.hand + " hand " + tt.v.name)
	}
	step(w, "going away", chromedp.KeyEvent("\x1b"))
	w.padUntil("going away", func(s padState) bool { return !s.Open })
	if n := script[int](w, "count", "[inputmode=none]"); n != 0 {
		t.Errorf("%d fields are left without a keyboard of the tablet's", n)
	}
	w.open("/inserts/I-0029?print=1")
	if n := script[int](w, "count", "[role=dialog]"); n != 0 {
		t.Errorf("a page for paper has a keypad")
	}
}

// focusOn puts the cursor on what says something.
func (w *tab) focusOn(text string) {
	w.Helper()
	w.find(text)
	step(w, "going to "+text, chromedp.Evaluate[chromedp.Void]("document.querySelector('[aria-label=\""+text+"\"]').focus()"))
}

// A fit with its photo is entered without script as well.
func TestFitWithoutScript(t *testing.T) {
	chromiumPath(t)
	b, w := fitting(t, chromium(t), viewports[1])
	w.withoutScript(true)
	w.open("/station/I-0029")
	w.fields("Mould", "M301", "Place in the mould", "C2", "Unit of shims and stock", "µm", "Shim under the base, 0 for none", "20", "Removed at base", "5,5", "Added at -X", "12")
	step(w, "choosing a photo", chromedp.SetUploadFiles("#f-photo", []string{photoFile(t)}))
	w.press("Record the fit").reads("I-0029 fitted in M301 at C2, with a photo")
	w.picture("fit without script")
	fits, err := b.store.Fits(t.Context(), "I-0029")
	if err != nil || len(fits) != 1 || !sameFaces(fits[0].Faces, shop.Face{Face: "base", Removed: readingOf("5,5", "um")}, shop.Face{Face: "-X", Added: readingOf("12", "um")}) {
		t.Errorf("recorded are %+v, %v", fits, err)
	}
}
