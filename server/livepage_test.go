package server

import (
	"fmt"
	"math"
	"net"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"sinterbook/store/shop"
)

// mark notes that the page is this one, so that a reload is noticed.
func (w *tab) mark() *tab {
	w.Helper()
	step(w, "marking the page", chromedp.Evaluate[bool]("window.marked = true"))
	return w
}

// soon waits until the page says something, without being loaded again.
func (w *tab) soon(want string) *tab {
	w.Helper()
	began := time.Now()
	for !strings.Contains(w.words(), want) {
		if time.Since(began) > 15*time.Second {
			w.Fatalf("the page does not come to say %q: %s", want, w.words())
		}
		time.Sleep(50 * time.Millisecond)
	}
	if !step(w, "looking for the mark", chromedp.Evaluate[bool]("window.marked === true")) {
		w.Errorf("the page was loaded anew before it said %q", want)
	}
	return w
}

// hover moves the mouse over what is found by a selector and says where that is.
func (w *tab) hover(selector string) {
	w.Helper()
	p := step(w, "finding "+selector, chromedp.Evaluate[point](fmt.Sprintf(`(() => { const b = document.querySelector(%q).getBoundingClientRect(); return {X: b.left + 4, Y: b.top + b.height / 2}; })()`, selector)))
	call(w, "moving the mouse", input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: "mouseMoved", X: p.X, Y: p.Y})
}

// topOf is how far from the upper edge of the screen something stands.
func (w *tab) topOf(selector string) float64 {
	w.Helper()
	return step(w, "finding "+selector, chromedp.Evaluate[float64](fmt.Sprintf("document.querySelector(%q).getBoundingClientRect().top", selector)))
}

func (w *tab) stays(what, selector string, was float64) {
	w.Helper()
	if is := w.topOf(selector); math.Abs(is-was) > 1 {
		w.Errorf("%s moved from %.1f to %.1f", what, was, is)
	}
}

// inPrint is a book with I-0001 in print and a browser.
func inPrint(t *testing.T) *bookTest {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	b.put("204", shop.PrintStarted{Insert: "I-0001", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: "PL-01",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304, Plate: readingOf("41.5", "C")})
	b.put("601", shop.StationAdded{Station: "PR1", Name: "Printing", Operation: shop.OpPrint, Equipment: "P1", Code: shop.NewScanCode()})
	b.tabletAt("PR1", "T-1")
	return b
}

// What one device records changes the lists of another while they are looked
// at, and nothing moves under the pointer, nor is the focus lost.
func TestListsChangeInPlace(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	b := inPrint(t)
	b.opened("I-0002", "CR40")
	for i := range 30 {
		b.put("601", held(fmt.Sprintf("H-%03d", i+1), "machine", "P1"))
	}
	browser, at := chromium(t), b.serve()
	manager, station, holds := newTab(t, browser, at.URL), newTab(t, browser, at.URL), newTab(t, browser, at.URL)
	b.at(manager, "601", "")
	b.at(station, "204", "PR1")
	b.at(holds, "402", "")
	station.open("/station").reads("I-0002").mark()
	manager.open("/holds").fields("Kind of thing", "insert", "Its number or scan code", "I-0002", "Reason", "the release is doubted", "Number of the hold", "H-101").press("Hold it").reads("H-101")
	station.soon("held H-101")
	station.quiet("the station's list")
	station.picture("live station")

	for i, v := range []viewport{{"1280x800", 1280, 800}, {"1100x800", 1100, 800}, {"390x844", 390, 844}} {
		holds.look(v)
		holds.open("/holds").mark()
		row := `main tr:has(a[href="/holds/H-015"])`
		step(holds, "scrolling", chromedp.Evaluate[chromedp.Void](fmt.Sprintf("document.querySelector('%s').scrollIntoView({block: 'center', behavior: 'instant'})", row)))
		holds.hover(row)
		was, more := holds.topOf(row), fmt.Sprintf("H-2%02d", i)
		b.put("601", held(more, "machine", "P1"))
		holds.soon(more)
		holds.stays("the row under the pointer at "+v.name, row, was)
	}
	holds.look(viewports[0])

	// With the focus in a list it waits, and says so; it changes when the focus
	// has gone on.
	holds.open("/holds").mark()
	step(holds, "focus", chromedp.Evaluate[chromedp.Void](`document.querySelector('a[href="/holds/H-020"]').focus()`))
	b.put("601", held("H-301", "machine", "P1"))
	holds.soon("601 recorded at").soon("H-301 was set")
	if got := step(holds, "the focus", chromedp.Evaluate[string]("document.activeElement.textContent")); got != "H-020" {
		t.Errorf("the focus went to %q", got)
	}
	if got := step(holds, "the list", chromedp.Evaluate[bool](`!document.querySelector('main a[href="/holds/H-301"]')`)); !got {
		t.Error("the list with the focus was changed")
	}
	step(holds, "leaving", chromedp.Evaluate[chromedp.Void](`document.querySelector('[name=on_code]').focus()`))
	for range 100 {
		if step(holds, "the list", chromedp.Evaluate[bool](`Boolean(document.querySelector('main a[href="/holds/H-301"]'))`)) {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	holds.reads("H-301").quiet("the list of holds")
	if got := holds.value("Its number or scan code"); script[string](holds, "focused") != "Its number or scan code" || got != "" {
		t.Errorf("the focus is on %q", script[string](holds, "focused"))
	}
}

// A page with a form keeps what is typed and where the cursor is; a bar says
// what was recorded, over nothing that is to be pressed.
func TestTheBarLeavesTheFormAlone(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	b := inPrint(t)
	browser, at := chromium(t), b.serve()
	w := newTab(t, browser, at.URL)
	b.at(w, "204", "PR1")
	w.open("/station/I-0001?act=layers").mark().fields("First layer", "1", "Last layer", "40", "Remark", "the edge of layer 12 looks d")
	was := w.topOf("textarea[name=remark]")
	b.put("204", shop.PasteDrawn{Container: "L2509-A/01", Insert: "I-0001", FromLayer: 1, ToLayer: 40, Drawn: readingOf("36.5", "g")})
	w.soon("204 recorded at 08:00: 36.5 g of paste was drawn from L2509-A/01 for I-0001, layers 1 to 40.")
	w.stays("the field", "textarea[name=remark]", was)
	if script[string](w, "focused") != "Remark" || w.value("Remark") != "the edge of layer 12 looks d" || w.value("Last layer") != "40" {
		t.Errorf("the focus is on %q, the remark is %q", script[string](w, "focused"), w.value("Remark"))
	}
	for _, v := range []viewport{{"1280x800", 1280, 800}, {"800x1280", 800, 1280}, {"390x844", 390, 844}} {
		w.look(v)
		for _, block := range []string{"start", "center", "end"} {
			over := step(w, "scrolling", chromedp.Evaluate[string](`(async () => {
				const go = document.querySelector("main .go"), bar = document.querySelector(".news");
				go.scrollIntoView({block: "`+block+`", behavior: "instant"});
				await new Promise((done) => requestAnimationFrame(() => setTimeout(done, 50)));
				const a = go.getBoundingClientRect(), b = bar.getBoundingClientRect();
				return a.bottom > b.top && a.top < b.bottom || b.top < 0 || b.bottom > innerHeight + 1 ? JSON.stringify([a, b]) : "";
			})()`, chromedp.EvalAwaitPromise))
			if over != "" {
				t.Errorf("at %s, the button at the %s, the bar lies over it or off the screen: %s", v.name, block, over)
			}
		}
		w.picture("live bar " + v.name)
	}
	w.examine("the bar")
	w.look(viewports[0])
	w.fill("Remark", "the edge of layer 12 looks dry")
	w.press("Show it now").reads("L2509-A/01 1–40 36.5 g").quiet("the bar")
	if script[string](w, "focused") != "Remark" || w.value("Remark") != "the edge of layer 12 looks dry" || w.value("First layer") != "1" {
		t.Errorf("after that the focus is on %q, the remark is %q", script[string](w, "focused"), w.value("Remark"))
	}

	// A form that came back with a no hears, too, and is shown anew where it
	// came from.
	w.fill("Drying air, °C", "forty-five").press("Record the layers").reads("forty-five", "Nothing was stored").mark()
	b.put("601", held("H-001", "lot", "L2509-A"))
	w.soon("Hold H-001 was set on lot L2509-A: a crack was seen.")
	if got := step(w, "the bar", chromedp.Evaluate[string](`[document.querySelector(".news").getAttribute("role"), getComputedStyle(document.querySelector(".news")).borderTopColor, getComputedStyle(document.querySelector(".news")).color].join()`)); !strings.HasPrefix(got, "alert,rgb(140, 22, 22),rgb(140, 22, 22)") {
		t.Errorf("the bar of a hold is %s", got)
	}
	w.picture("live hold")
	w.examine("the bar of a hold")
	w.look(viewports[0])
	w.press("Show it now").reads("Stopped: held").quiet("the bar of a hold")
}

// hears is a server that can be stopped and started again at one address.
func (b *bookTest) servedAt(address string) *httptest.Server {
	b.Helper()
	l, err := net.Listen("tcp", address)
	if err != nil {
		b.Fatal(err)
	}
	b.server = New(Config{Store: b.store})
	at := httptest.NewUnstartedServer(b.server.Handler())
	at.Listener.Close()
	at.Listener = l
	at.Start()
	return at
}

// A service that was away is said to be, and what was recorded meanwhile comes
// when it is back. A tab that is hidden holds no stream.
func TestLivePagesComeBack(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	b := inPrint(t)
	browser, at := chromium(t), b.servedAt("127.0.0.1:0")
	w := newTab(t, browser, at.URL)
	b.at(w, "402", "")
	w.open("/holds").mark()
	b.put("601", held("H-001", "machine", "P1"))
	w.soon("H-001")
	b.server.EndStreams()
	at.CloseClientConnections()
	at.Close()
	w.soon("no connection since 08:00")
	w.picture("live no connection")
	b.put("601", held("H-002", "machine", "P1"))
	at = b.servedAt(strings.TrimPrefix(at.URL, "http://"))
	t.Cleanup(at.Close)
	t.Cleanup(func() { b.server.EndStreams() })
	w.soon("H-002")
	if strings.Contains(w.words(), "no connection") {
		t.Errorf("with the service back the page says: %s", w.words())
	}

	hide := func(hidden bool) {
		step(w, "hiding", chromedp.Evaluate[bool](fmt.Sprintf("Object.defineProperty(document, 'hidden', {value: %t, configurable: true}); document.dispatchEvent(new Event('visibilitychange'))", hidden)))
	}
	hide(true)
	for range 100 {
		if b.server.streams.count() == 0 {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if n := b.server.streams.count(); n != 0 {
		t.Errorf("a hidden tab holds %d streams", n)
	}
	b.put("601", held("H-003", "machine", "P1"))
	time.Sleep(300 * time.Millisecond)
	if strings.Contains(w.words(), "H-003") {
		t.Error("a hidden tab was told")
	}
	hide(false)
	w.soon("H-003")
}

func (l *streams) count() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.all
}

// weightAtMost is what a station loads when it has nothing yet, in bytes.
const weightAtMost = 60_000

// The pages of a station are light: all bytes that come over the wire for the
// first page of a browser, headers included.
func TestWeightOfAStation(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	b := inPrint(t)
	for i := range 20 {
		b.put("700", shop.TravelerOpened{Insert: fmt.Sprintf("I-%04d", 100+i), Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
		b.put("101", shop.ReleaseAssigned{Insert: fmt.Sprintf("I-%04d", 100+i), Release: "DR-02 A"})
	}
	browser, at := chromium(t), b.serve()
	for _, path := range []string{"/station", "/station/I-0001?act=layers", "/station/I-0001?act=paste"} {
		w := newTab(t, browser, at.URL)
		b.at(w, "204", "PR1")
		var mu sync.Mutex
		var sum float64
		names, said := map[network.RequestID]string{}, []string{}
		if err := chromedp.Listen(w.ctx, func(e any) {
			mu.Lock()
			defer mu.Unlock()
			switch e := e.(type) {
			case *network.EventRequestWillBeSent:
				names[e.RequestID] = strings.TrimPrefix(e.Request.URL, at.URL)
			case *network.EventLoadingFinished:
				sum += e.EncodedDataLength
				said = append(said, fmt.Sprintf("%6.0f %s", e.EncodedDataLength, names[e.RequestID]))
			}
		}); err != nil {
			t.Fatal(err)
		}
		call(w, "watching the network", network.Enable, network.EnableParams{})
		w.open(path)
		step(w, "waiting for the fonts", chromedp.Evaluate[bool]("document.fonts.ready.then(() => true)", chromedp.EvalAwaitPromise))
		time.Sleep(200 * time.Millisecond)
		mu.Lock()
		t.Logf("%s: %.0f bytes\n%s", path, sum, strings.Join(said, "\n"))
		if sum > weightAtMost || len(said) < 5 {
			t.Errorf("%s weighs %.0f bytes in %d files; want at most %d in 5 or more", path, sum, len(said), weightAtMost)
		}
		mu.Unlock()
	}
}
