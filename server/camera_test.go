package server

import (
	"bufio"
	"encoding/json"
	"fmt"
	"image/color"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/datamatrix"
	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"

	"sinterbook/static"
	"sinterbook/views"
)

// A scene is what the camera sees for so many tenths of a second: a symbol on
// white paper, or nothing where it is the zero Symbol.
type scene struct {
	symbol views.Symbol
	tenths int
}

const filmWidth, filmHeight = 640, 480

// film writes scenes as the picture file of a browser's fake camera, which shows
// them over and over.
func film(t testing.TB, scenes ...scene) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "seen.y4m")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(f)
	fmt.Fprintf(w, "YUV4MPEG2 W%d H%d F10:1 Ip A1:1 C420jpeg\n", filmWidth, filmHeight)
	grey := slices.Repeat([]byte{128}, filmWidth*filmHeight/2)
	for _, s := range scenes {
		brightness := drawnOn(t, s.symbol)
		for range s.tenths {
			fmt.Fprint(w, "FRAME\n")
			w.Write(brightness)
			w.Write(grey)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// drawnOn is a symbol in the middle of a white sheet on a grey bench.
func drawnOn(t testing.TB, s views.Symbol) []byte {
	t.Helper()
	picture := slices.Repeat([]byte{120}, filmWidth*filmHeight)
	if s.Width == 0 {
		return picture
	}
	scale := min(filmWidth*8/10/s.Width, filmHeight/2/s.Height)
	if scale < 2 {
		t.Fatalf("a symbol of %d by %d modules is too large for the film", s.Width, s.Height)
	}
	left, top := (filmWidth-s.Width*scale)/2, (filmHeight-s.Height*scale)/2
	paint := func(x, y, width, height int, grey byte) {
		for row := y; row < y+height; row++ {
			for column := x; column < x+width; column++ {
				picture[row*filmWidth+column] = grey
			}
		}
	}
	paint(left, top, s.Width*scale, s.Height*scale, 235)
	for run := range strings.SplitSeq(strings.TrimPrefix(s.Path, "M"), "M") {
		var x, y, width, height int
		if _, err := fmt.Sscanf(run, "%d %dh%dv%d", &x, &y, &width, &height); err != nil {
			t.Fatalf("%q of a symbol: %v", run, err)
		}
		paint(left+x*scale, top+y*scale, width*scale, height*scale, 20)
	}
	return picture
}

// asksNobody is the flag of a browser that lets every page use the camera.
var asksNobody = chromedp.Flag("use-fake-ui-for-media-stream", true)

// seeing are the flags of a browser whose camera sees a film.
func seeing(t testing.TB, scenes ...scene) []chromedp.ExecAllocatorOption {
	t.Helper()
	return []chromedp.ExecAllocatorOption{asksNobody, chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-file-for-fake-video-capture", film(t, scenes...))}
}

// asked notes what a server is asked for.
type asked struct {
	mu   sync.Mutex
	list []string
}

func (a *asked) noting(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		a.mu.Lock()
		a.list = append(a.list, r.Method+" "+r.URL.Path+" "+r.Host)
		a.mu.Unlock()
		h.ServeHTTP(w, r)
	})
}

// count is how many requests have the words.
func (a *asked) count(words string) int {
	a.mu.Lock()
	defer a.mu.Unlock()
	n := 0
	for _, r := range a.list {
		if strings.Contains(r, words) {
			n++
		}
	}
	return n
}

// hosts are those that were asked, but for the services that the browser of the
// tests calls by itself.
func (a *asked) hosts() (hosts []string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, r := range a.list {
		host, _, _ := strings.Cut(r[strings.LastIndex(r, " ")+1:], ":")
		if !strings.HasSuffix(host, ".google.com") && !strings.HasSuffix(host, ".googleapis.com") {
			hosts = append(hosts, r)
		}
	}
	return hosts
}

// cameraAt is a tablet of the print station that looks at a film.
func cameraAt(t testing.TB, flags ...chromedp.ExecAllocatorOption) (b *bookTest, w *tab, a *asked) {
	t.Helper()
	chromiumPath(t)
	b, a = crammed(t), &asked{}
	b.tabletAt("PR1", "T-1")
	at := httptest.NewServer(a.noting(b.server.Handler()))
	t.Cleanup(at.Close)
	w = openTab(t, chromium(t, flags...), at.URL)
	b.at(w, "777", "PR1")
	return b, w, a
}

// films lets the pages use the camera for good, or forbids it, as a person does
// in the browser's settings.
func (w *tab) films(setting cdpbrowser.PermissionSetting) *tab {
	w.Helper()
	call(w, "setting who may use the camera", cdpbrowser.SetPermission, cdpbrowser.SetPermissionParams{Permission: &cdpbrowser.PermissionDescriptor{Name: "camera"}, Setting: setting, Origin: w.at})
	return w
}

// eval runs a script of the test in the page.
func eval[T any](w *tab, source string) T {
	w.Helper()
	return step(w, source, chromedp.Evaluate[T](source, awaited))
}

// loads are those of our files that the page itself has loaded. The worker of a
// tablet fetches all of them once, to keep them for when there is no connection.
func (w *tab) loads(names ...string) []string {
	w.Helper()
	loaded := eval[[]string](w, `performance.getEntriesByType("resource").map((r) => new URL(r.name).pathname)`)
	return slices.DeleteFunc(loaded, func(path string) bool {
		return !slices.ContainsFunc(names, func(n string) bool { return strings.HasPrefix(path, static.Prefix+n) })
	})
}

// comes waits until the page says something.
func (w *tab) comes(want string) *tab {
	w.Helper()
	for range 200 {
		if strings.Contains(w.words(), want) {
			return w
		}
		time.Sleep(50 * time.Millisecond)
	}
	return w.reads(want)
}

// pressHere clicks what says something and stays on the page.
func (w *tab) pressHere(text string) *tab {
	w.Helper()
	p := w.find(text)
	step(w, "pressing "+text, chromedp.MouseClickXY(p.X, p.Y))
	return w
}

// where is the page that is shown, and its heading.
func (w *tab) where() string {
	w.Helper()
	return eval[string](w, "location.pathname + location.search + ' ' + document.querySelector('h1').innerText")
}

// The same text is the same scan until it was not seen for 2 s, or another was
// read in between.
func TestRepeats(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	b := newBook(t)
	w := newTab(t, chromium(t), b.serve().URL).open("/sign-in")
	for _, tt := range []struct {
		name  string
		reads []string // text and ms
		new   []bool
	}{
		{"one pull sent twice, and one later", []string{"0004711 0", "0004711 180", "0004711 40000"}, []bool{true, false, true}},
		{"held before a camera, gone for less than a second, then another and back",
			[]string{"0004712 60000", "0004712 60016", "0004712 60033", "0004712 60050", "0004712 60900", "0004711 63500", "0004712 66000"}, []bool{true, false, false, false, false, true, true}},
		{"two labels in turn", []string{"A 0", "B 300", "A 600"}, []bool{true, true, true}},
		{"in sight all the time, longer than 2 s", []string{"A 0", "A 1500", "A 3000", "A 4999"}, []bool{true, false, false, false}},
		{"gone for 2 s to the millisecond", []string{"A 0", "A 1999", "A 3999"}, []bool{true, false, true}},
		{"a clock that was set back", []string{"A 90000", "A 100"}, []bool{true, true}},
	} {
		list, err := json.Marshal(tt.reads)
		if err != nil {
			t.Fatal(err)
		}
		got := eval[[]bool](w, `(async () => {
			const { Repeats } = await import("`+static.URL("repeat.js")+`");
			const repeats = new Repeats();
			return `+string(list)+`.map((r) => r.split(" ")).map(([text, at]) => repeats.isNew(text, Number(at)));
		})()`)
		if !slices.Equal(got, tt.new) {
			t.Errorf("%s: new are %v; want %v", tt.name, got, tt.new)
		}
	}
	onward := eval[[]bool](w, `(async () => {
		const { Repeats } = await import("`+static.URL("repeat.js")+`");
		const before = new Repeats(500);
		before.isNew("A", 1000);
		const kept = JSON.parse(JSON.stringify(before));
		return [new Repeats(500, kept).isNew("A", 1400), new Repeats(500, kept).isNew("A", 1500)];
	})()`)
	if !slices.Equal(onward, []bool{false, true}) {
		t.Errorf("what an earlier page kept: new are %v; want the first not, the second", onward)
	}
}

// Each symbol that is printed is read from the camera's picture by the reader
// that we bring along, under the policy of every page, and leads where the same
// code typed into the box leads. A label held in view is one scan, also when
// the next page comes while it is held. No other host is asked for anything.
func TestCameraReads(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		draw func(string) views.Symbol
		text func(b *bookTest, at string) string
	}{
		{"QR code", views.QROf, func(b *bookTest, at string) string { return strings.ToUpper(at + "/t/" + b.codeOf("I-0033")) }},
		{"Data Matrix", views.MatrixOf, func(b *bookTest, at string) string { return b.coded("container", "L2509-A/01") }},
		{"Code 128", views.BarsOf, func(b *bookTest, at string) string { return b.codeOf("I-0034") }},
		{"a code of nothing here", views.BarsOf, func(*bookTest, string) string { return "NOBODY 4711" }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			chromiumPath(t)
			b, own, beyond := crammed(t), &asked{}, &asked{}
			b.tabletAt("PR1", "T-1")
			at := httptest.NewServer(own.noting(b.server.Handler()))
			t.Cleanup(at.Close)
			proxy := httptest.NewServer(beyond.noting(http.NotFoundHandler()))
			t.Cleanup(proxy.Close)
			text := tt.text(b, at.URL)
			flags := append(seeing(t, scene{tenths: 3}, scene{tt.draw(text), 12}, scene{tenths: 5}), chromedp.Flag("proxy-server", proxy.URL))
			w := openTab(t, chromium(t, flags...), at.URL)
			b.at(w, "777", "PR1")
			typed := w.open("/station").scan(text).where()
			w.films(cdpbrowser.PermissionSettingGranted).open("/station")
			if got := w.loads("camera.js", "reader.js", "zxing"); len(got) > 0 {
				t.Errorf("before the camera was asked for the page loads %q", got)
			}
			before := own.count("POST")
			p := w.find("Camera")
			w.loaded("scanning by camera", chromedp.MouseClickXY(p.X, p.Y))
			if got := w.where(); got != typed {
				t.Errorf("the camera leads to %q, typing to %q", got, typed)
			}
			w.comes("Read: " + text)
			if got := w.loads("camera.js", "reader.js"); len(got) != 2 {
				t.Errorf("with the camera the page loads %q", got)
			}
			time.Sleep(4 * time.Second) // the label is gone for less than a second, and again in view
			if n := own.count("POST") - before; n != 1 {
				t.Errorf("a label in view was scanned %d times", n)
			}
			if n := own.count("/static/zxing/zxing_reader.wasm"); n != 1 {
				t.Errorf("the reader was fetched %d times from our own server", n)
			}
			if hosts := beyond.hosts(); len(hosts) > 0 {
				t.Errorf("asked of other hosts: %q", hosts)
			}
			w.quiet("the camera")
		})
	}
}

// coded is the scan code of a thing of any kind.
func (b *bookTest) coded(kind, number string) string {
	b.Helper()
	codes, err := b.store.CodesOf(b.Context(), kind, []string{number}, 1)
	if err != nil || len(codes) != 1 {
		b.Fatalf("%d codes of %s %s, %v", len(codes), kind, number, err)
	}
	return string(codes[0].Code)
}

// What stands in a symbol comes through whole: control characters as they are,
// and the symbology identifier of a GS1 symbol in front of it.
func TestCameraKeepsTheRawText(t *testing.T) {
	t.Parallel()
	envelope := "[)>\x1e06\x1d1TL2509-A\x1d14D20260301\x1e\x04"
	for _, tt := range []struct{ name, holds, text, format, shown string }{
		{"ISO/IEC 15434 in a Data Matrix", envelope, envelope, "data_matrix", "[)>␞06␝1TL2509-A␝14D20260301␞␄"},
		{"GS1-128", string(code128.FNC1) + "10L2509-A" + string(code128.FNC1) + "21007", "]C110L2509-A\x1d21007", "code_128", "]C110L2509-A␝21007"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, w, _ := cameraAt(t, seeing(t, scene{supplier(t, tt.holds), 1})...)
			w.open("/station").catch()
			w.pressHere("Camera").comes("Read: " + tt.shown)
			got := w.caught()
			if len(got) != 1 || got[0].Text != tt.text || got[0].Source != "camera" || got[0].Format != tt.format {
				t.Errorf("caught is %q; want %q, %s", got, tt.text, tt.format)
			}
			w.quiet("the camera")
		})
	}
}

// supplier is a symbol as suppliers print them, which ours never are: with
// control characters or function characters in it.
func supplier(t testing.TB, holds string) views.Symbol {
	t.Helper()
	var code barcode.Barcode
	var err error
	high := 1
	if strings.ContainsRune(holds, code128.FNC1) {
		code, err = code128.Encode(holds)
		high = 40
	} else {
		code, err = datamatrix.Encode(holds)
	}
	if err != nil {
		t.Fatal(err)
	}
	const quiet = 10
	size := code.Bounds().Size()
	s := views.Symbol{Width: size.X + 2*quiet, Height: size.Y*high + 2*quiet}
	for y := range size.Y {
		for x := range size.X {
			if code.At(x, y) == color.Black {
				s.Path += fmt.Sprintf("M%d %dh1v%dh-1z", x+quiet, y*high+quiet, high)
			}
		}
	}
	return s
}

// A scanned is what the page is told of a code that was read.
type scanned struct{ Text, Source, Format string }

// catch keeps scans from the page, so that it stays.
func (w *tab) catch() *tab {
	w.Helper()
	eval[bool](w, `window.caught = [], addEventListener("scanned", (e) => { e.stopPropagation(); caught.push(e.detail); }, true), true`)
	return w
}

func (w *tab) caught() []scanned {
	w.Helper()
	return eval[[]scanned](w, "caught")
}

// What is scanned goes into the box and is sent with it; what the box leaves
// out of a text goes along beside it.
func TestScannedIsSent(t *testing.T) {
	t.Parallel()
	_, w, _ := cameraAt(t)
	for _, tt := range []struct{ text, box, raw string }{
		{"A7K3Q0042C", "A7K3Q0042C", ""}, {"line\nbreak", "linebreak", "line\nbreak"}, {"[)>\x1e06\x1d1TL1\x1e\x04", "[)>\x1e06\x1d1TL1\x1e\x04", ""},
	} {
		w.open("/station") // while one is on its way the next ones wait
		eval[bool](w, `document.addEventListener("submit", (e) => { e.preventDefault(); window.sent = Object.fromEntries(new FormData(e.target)); }), true`)
		text, err := json.Marshal(tt.text)
		if err != nil {
			t.Fatal(err)
		}
		got := eval[[]string](w, `document.dispatchEvent(new CustomEvent("scanned", { detail: { text: `+string(text)+`, source: "camera", format: "qr_code" } })), [sent.scan, sent.raw]`)
		if !slices.Equal(got, []string{tt.box, tt.raw}) {
			t.Errorf("of %q are sent %q; want %q and %q", tt.text, got, tt.box, tt.raw)
		}
	}
}

// Where there is no camera to be had, a sentence says why, the box goes on
// taking what is typed, and the next page does not ask again.
func TestNoCamera(t *testing.T) {
	t.Parallel()
	quiet := func(w *tab, why string) {
		t.Helper()
		w.comes(why)
		if got := eval[string](w, `document.querySelector("[data-camera-switch]").ariaExpanded + " " + (sessionStorage.getItem("camera") ?? "closed") + " " + document.querySelector(".finder").hidden`); got != "false closed true" {
			t.Errorf("%s: expanded, kept, finder hidden: %s", why, got)
		}
	}
	_, denied, _ := cameraAt(t, chromedp.Flag("use-fake-device-for-media-stream", true))
	quiet(denied.films(cdpbrowser.PermissionSettingDenied).open("/station").pressHere("Camera"), "This page may not use the camera.")
	denied.examine("camera refused")

	_, w, _ := cameraAt(t, asksNobody)
	quiet(w.open("/station").pressHere("Camera"), "This device has no camera that the browser can find.")
	for name, why := range map[string]string{"NotReadableError": "another program may be using it", "AbortError": "another program may be using it",
		"OverconstrainedError": "no camera that the browser can find", "SecurityError": "This page may not use the camera.", "TypeError": "The camera could not be opened."} {
		w.open("/station")
		eval[bool](w, `navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("", "`+name+`")), true`)
		quiet(w.pressHere("Camera"), why)
	}
	w.pressHere("Close").scan("I-0033").reads("Is it this one?")
	w.quiet("no camera")
	w.open("/station")
	eval[bool](w, `document.querySelector("script[data-camera]").dataset.camera = "/static/none.js", true`)
	w.pressHere("Camera").comes("The camera's program did not load.")
}

// Without TLS a browser has no camera for a page of another computer, and none
// is offered.
func TestNoCameraWithoutTLS(t *testing.T) {
	t.Parallel()
	b, w, _ := cameraAt(t, chromedp.Flag("host-resolver-rules", "MAP shop.test 127.0.0.1"))
	w.open("/station").reads("Camera")
	w.at = strings.Replace(w.at, "127.0.0.1", "shop.test", 1)
	b.at(w, "777", "PR1")
	w.open("/station").reads("Read it").silentHere("Camera")
	w.quiet("a page without TLS")
}

// own is a stand-in for a browser's detector of codes: it sees one label in the
// middle, and counts how often it is asked.
const own = `window.looks = 0; window.label = "4711"; window.BarcodeDetector = class {
	static async getSupportedFormats() { return FORMATS; }
	async detect({ width, height }) {
		looks++;
		const [x, y] = [width * AT, height / 2];
		return label ? [{ rawValue: label, format: "qr_code", cornerPoints: [{ x: x - 20, y: y - 20 }, { x: x + 20, y: y - 20 }, { x: x + 20, y: y + 20 }, { x: x - 20, y: y + 20 }] }] : [];
	}
}; true`

func ownDetector(formats, at string) string {
	return strings.NewReplacer("FORMATS", formats, "AT", at).Replace(own)
}

// The browser's own detector is used where it knows every symbol that we print;
// only a code under the mark counts. It looks ten times a second at the most,
// not at all while the page is hidden, and lets the camera go on leaving.
func TestCameraWithTheBrowsersReader(t *testing.T) {
	t.Parallel()
	_, w, _ := cameraAt(t, seeing(t, scene{tenths: 1})...)
	w.open("/station").catch()
	eval[bool](w, ownDetector(`["qr_code", "data_matrix", "code_128", "aztec"]`, "0.5"))
	w.pressHere("Camera").comes("Read: 4711")
	if got := w.caught(); len(got) != 1 || got[0].Text != "4711" || got[0].Format != "qr_code" {
		t.Errorf("caught is %q", got)
	}
	if got := w.loads("reader.js", "zxing"); len(got) > 0 {
		t.Errorf("the page loads %q where the browser has a reader", got)
	}
	if n := eval[int](w, `new Promise((done) => { const from = looks; setTimeout(() => done(looks - from), 2000); })`); n < 3 || n > 21 {
		t.Errorf("looked %d times in 2 s; want at most ten a second", n)
	}
	if n := eval[int](w, `new Promise((done) => {
		Object.defineProperty(document, "hidden", { configurable: true, get: () => true });
		setTimeout(() => { const from = looks; setTimeout(() => done(looks - from), 600); }, 200);
	})`); n != 0 {
		t.Errorf("looked %d times while the page was hidden", n)
	}
	eval[bool](w, `delete document.hidden`)
	if n := eval[int](w, `new Promise((done) => {
		document.body.style.paddingBottom = "2000px";
		scrollTo({ top: 1500, behavior: "instant" });
		setTimeout(() => { const from = looks; setTimeout(() => { scrollTo({ top: 0, behavior: "instant" }); done(looks - from); }, 600); }, 200);
	})`); n != 0 {
		t.Errorf("looked %d times while the mark was out of sight", n)
	}
	eval[bool](w, `label = "", true`)
	w.comes("Hold the mark in the middle onto a code.")
	eval[bool](w, `label = "4711", true`)
	w.comes("Read: 4711")
	if got := w.caught(); len(got) != 2 {
		t.Errorf("after 2 s away, caught is %q; want a second scan", got)
	}
	eval[bool](w, `window.track = document.querySelector("video").srcObject.getVideoTracks()[0], dispatchEvent(new PageTransitionEvent("pagehide")), true`)
	if state := eval[string](w, "track.readyState"); state != "ended" {
		t.Errorf("after the page was left the camera is %s", state)
	}

	w.films(cdpbrowser.PermissionSettingGranted).open("/station").comes("Hold the mark") // it stays open from page to page
	eval[bool](w, `window.track = document.querySelector("video").srcObject.getVideoTracks()[0], true`)
	w.pressHere("Close")
	if state := eval[string](w, "track.readyState"); state != "ended" {
		t.Errorf("after Close the camera is %s", state)
	}
	eval[bool](w, `for (let i = 0; i < 5; i++) document.querySelector("[data-camera-switch]").click(), true`)
	if w.comes("Hold the mark"); !eval[bool](w, `document.querySelector("video").srcObject?.active === true && document.querySelector(".finder").checkVisibility()`) {
		t.Error("pressed five times in one moment, the camera shows nothing")
	}
	w.pressHere("Close")
	eval[bool](w, `document.querySelector("[data-camera-switch]").focus(), true`)
	step(w, "opening by key", chromedp.KeyEvent("\r"))
	w.comes("Hold the mark")
	eval[bool](w, `document.querySelector("[data-close]").focus(), true`)
	step(w, "closing by key", chromedp.KeyEvent("\r"))
	if focused := eval[string](w, "document.activeElement.innerText"); focused != "Camera" {
		t.Errorf("after Close by key the cursor is on %q", focused)
	}
	w.open("/station")
	if open := eval[bool](w, `new Promise((done) => setTimeout(() => done(!document.getElementById("camera").hidden), 500))`); open {
		t.Error("the camera opens again after it was closed")
	}
	eval[bool](w, ownDetector(`["qr_code", "data_matrix", "code_128"]`, "0.5"))
	eval[bool](w, `label = "", true`)
	w.pressHere("Camera").comes("Hold the mark")
	eval[bool](w, `(() => { const now = performance.now.bind(performance); performance.now = () => now() + 181000; return true; })()`)
	w.comes("The camera was closed because it saw no code for 3 minutes.")
	w.quiet("the browser's reader")
}

// A detector that does not know Data Matrix, or does not work, is left aside for
// the one that we bring. A code at the edge of the frame is not read: it may be
// another thing's.
func TestCameraAim(t *testing.T) {
	t.Parallel()
	_, w, _ := cameraAt(t, seeing(t, scene{views.QROf("ON FILM"), 1})...)
	w.open("/station").catch()
	eval[bool](w, ownDetector(`["qr_code", "code_128"]`, "0.5"))
	w.pressHere("Camera").comes("Read: ON FILM")
	if n := eval[int](w, "looks"); n != 0 {
		t.Errorf("a reader that does not know Data Matrix was asked %d times", n)
	}
	w.pressHere("Close")
	eval[bool](w, ownDetector(`["qr_code", "data_matrix", "code_128"]`, "0.1"))
	w.pressHere("Camera").comes("A code is in sight. Bring it under the mark in the middle.")
	if got := w.caught(); len(got) != 1 {
		t.Errorf("a code at the edge was read: %q", got)
	}
	w.pressHere("Close")
	eval[bool](w, `BarcodeDetector.prototype.detect = async () => { throw new DOMException("", "NotSupportedError"); }, true`)
	w.pressHere("Camera").comes("Read: ON FILM")
	w.quiet("the camera's aim")
}

// The lamp is offered where the camera has one.
func TestCameraLamp(t *testing.T) {
	t.Parallel()
	_, w, _ := cameraAt(t, seeing(t, scene{tenths: 1})...)
	w.open("/station").catch().pressHere("Camera").comes("Hold the mark").silentHere("Lamp")
	w.pressHere("Close")
	eval[bool](w, `window.lit = [], MediaStreamTrack.prototype.getCapabilities = () => ({ torch: true }), MediaStreamTrack.prototype.applyConstraints = async (c) => lit.push(c.advanced[0].torch), true`)
	w.pressHere("Camera").comes("Lamp").pressHere("Lamp").pressHere("Lamp")
	if lit := eval[[]bool](w, "lit"); !slices.Equal(lit, []bool{true, false}) {
		t.Errorf("the lamp was switched %v", lit)
	}
}

// silentHere fails the test when the page has the words.
func (w *tab) silentHere(words string) {
	w.Helper()
	if text := w.words(); strings.Contains(text, words) {
		w.Errorf("the page says %q: %s", words, text)
	}
}

// The open viewfinder passes the checks of every page, and is looked at.
func TestCameraIsAccessible(t *testing.T) {
	t.Parallel()
	_, w, _ := cameraAt(t, seeing(t, scene{views.QROf("HTTPS://SHOP.EXAMPLE/T/A7K3Q0042C"), 1})...)
	w.films(cdpbrowser.PermissionSettingGranted).open("/station/I-0033").catch()
	w.pressHere("Camera").comes("Read: HTTPS").examine("camera")
	w.look(viewport{"800x1280", 800, 1280})
	w.picture("camera 800x1280")
}
