package server

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// A port is the address of a server that can be stopped and started again.
type port struct {
	testing.TB
	address string
	handler http.Handler
	server  *http.Server
}

func newPort(t testing.TB, h http.Handler) *port {
	p := &port{TB: t, address: "127.0.0.1:0", handler: h}
	p.start()
	t.Cleanup(p.stop)
	return p
}

func (p *port) start() {
	p.Helper()
	l, err := net.Listen("tcp", p.address)
	if err != nil {
		p.Fatal(err)
	}
	p.address, p.server = l.Addr().String(), &http.Server{Handler: p.handler}
	go p.server.Serve(l)
}

// stop cuts every connection, as when a server goes down.
func (p *port) stop() { p.server.Close() }

// browserAt starts a browser that keeps what it has in a folder; quit ends it.
func browserAt(t testing.TB, dir string) (ctx context.Context, quit func()) {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU, chromedp.ExecPath(chromiumPath(t)), chromedp.UserDataDir(dir),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	ctx, cancel := chromedp.NewExecAllocator(t.Context(), options...)
	ctx, _ = chromedp.NewContext(ctx)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(cancel)
	return ctx, cancel
}

// waits waits until the page says something.
func (w *tab) waits(want ...string) *tab {
	w.Helper()
	for _, words := range want {
		for i := 0; !strings.Contains(w.words(), words); i++ {
			if i == 200 {
				w.Fatalf("the page does not come to say %q: %s", words, w.words())
			}
			time.Sleep(75 * time.Millisecond)
		}
	}
	return w
}

// until waits until a script in the page says yes.
func (w *tab) until(what, expression string) {
	w.Helper()
	for range 200 {
		if step(w, what, chromedp.Evaluate[bool]("(async () => Boolean("+expression+"))()", awaited)) {
			return
		}
		time.Sleep(75 * time.Millisecond)
	}
	w.Fatalf("%s: not so after a while: %s", what, w.words())
}

// settledIn opens the station and waits until its pages are kept on the tablet.
func (w *tab) settledIn(pages ...string) {
	w.Helper()
	w.open("/station")
	for _, path := range pages {
		w.until(path+" is kept", "await (await caches.open('pages')).match('"+path+"')")
	}
	w.until("the worker looks after the page", "navigator.serviceWorker.controller")
}

// cut takes the network away from the page, or gives it back. What its worker
// fetches still arrives: for that a test stops the server.
func (w *tab) cut(off bool) {
	w.Helper()
	w.conditions(off, 0, -1)
	call(w, "telling the browser", network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: off, DownloadThroughput: -1, UploadThroughput: -1})
}

func (w *tab) conditions(off bool, latency, throughput float64) {
	w.Helper()
	call(w, "setting the network", network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{{Offline: off, Latency: latency, DownloadThroughput: throughput, UploadThroughput: throughput}}})
}

// since lists what the log has about an insert after a number of entries.
func (b *bookTest) since(insert string, n int64) []store.Logged {
	b.Helper()
	all, err := b.store.History(b.Context(), "insert/"+insert, n, 100)
	if err != nil {
		b.Fatal(err)
	}
	return all
}

// TestStationWithoutConnection works at a station while the server is down:
// what is pressed survives a reload and the end of the browser, and each act is
// in the book once when the server is back, as the work of who pressed it.
func TestStationWithoutConnection(t *testing.T) {
	t.Parallel()
	b := keeping(t).bookTest
	b.opened("I-0030", "CR40")
	at := newPort(t, b.server.Handler())
	dir := profileDir(t)
	browser, quit := browserAt(t, dir)
	w := openTab(t, browser, "http://"+at.address)
	fast := page.AddScriptToEvaluateOnNewDocumentParams{Source: "const Right = Date; Date = class extends Right { constructor(...a) { a.length ? super(...a) : super(Right.now() + 3600e3); } static now() { return Right.now() + 3600e3; } };"}
	call(w, "setting the tablet's clock", page.AddScriptToEvaluateOnNewDocument, fast)
	b.at(w, "207", "PR1")
	w.open("/station") // who gave their PIN here may come back by a scan
	b.at(w, "204", "PR1")
	w.settledIn("/station", "/station/kept", "/station/I-0029", "/station/I-0029?act=paste", "/station/I-0029?act=layers", "/station/I-0030/sure")
	w.reads("all sent")
	count, err := b.store.Count(t.Context(), "insert/I-0029")
	if err != nil {
		t.Fatal(err)
	}

	at.stop()
	w.open("/station/I-0029?act=paste").waits("No connection. This page is as it was at 2025-10-20 10:00.", "204")
	paste := func(from, to, drawn string) {
		w.fields("Container", "L2509-A/01", "First layer", from, "Last layer", to, "Mass drawn, g", drawn, "Purged, g", "3.1").unfold("Record the paste drawn")
	}
	scans := func(code, says string) {
		t.Helper()
		// On a busy machine the keys come so slowly that they are no scan; people
		// pull the trigger again.
		for try := 0; try == 0 || try < 3 && !strings.Contains(w.words(), says); try++ {
			w.settle()
			step(w, "scanning "+code, chromedp.KeyEvent(code+"\r"))
			for i := 0; i < 60 && !strings.Contains(w.words(), says); i++ {
				time.Sleep(75 * time.Millisecond)
			}
		}
		w.waits(says)
	}
	boxes, err := b.store.CodesOf(t.Context(), "container", []string{"L2509-A/01", "L2509-A/02"}, 2)
	if err != nil {
		t.Fatal(err)
	}
	scans(string(boxes[0].Code), "L2509-A/01 is filled in.")
	if got := w.value("Container"); got != "L2509-A/01" {
		t.Errorf("a scan of the container filled in %q", got)
	}
	scans("http://shop.example/T/"+string(boxes[1].Code), "L2509-A/02 is filled in.")
	scans("CU-11", "This form asks for no cutter")
	scans("4444444444", "is not among what this tablet keeps")
	step(w, "adding cards", chromedp.Evaluate[chromedp.Void](`(async () => {
		const base = await new Promise((done) => { indexedDB.open("sinterbook").onsuccess = (e) => done(e.target.result); });
		const tablet = base.transaction("tablet", "readwrite").objectStore("tablet");
		await new Promise((done) => {
			tablet.get("index").onsuccess = (e) => {
				e.target.result.codes.CARD000001 = {kind: "card", number: "start"};
				e.target.result.codes.CARD000002 = {kind: "card", number: "record"};
				tablet.put(e.target.result, "index").onsuccess = done;
			};
		});
	})()`, awaited))
	scans("card0 00001", "The card “start” does not fit here")
	paste("1", "40", "35.1")
	w.waits("1 not sent", "Not sent yet:", "Draw paste for I-0029", "Mass drawn, g: 35.1")
	w.picture("queue-not-sent")
	if got := w.value("Mass drawn, g"); got != "" {
		t.Errorf("after it was kept the form still has %q", got)
	}
	paste("41", "80", "35.2")
	w.waits("2 not sent")
	w.open("/station").waits("2 not sent", "No connection.", "Not sent yet:")
	w.picture("queue-station")
	badge, err := b.store.Person(t.Context(), "207")
	if err != nil {
		t.Fatal(err)
	}
	scans(string(badge.Code), "Badge 207 works here now")
	w.open("/station/I-0029?act=layers").waits("207")
	w.fields("First layer", "1", "Last layer", "5", "Dried, s", "360", "Drying air, °C", "45")
	step(w, "leaving the field", chromedp.Evaluate[chromedp.Void]("document.querySelector('[data-scan]').focus()"))
	scans("CARD000002", "3 not sent")
	w.waits("badge 207")
	w.open("/station/I-9999").waits("No connection", "This page is not kept on this tablet", "Layers made for I-0029")
	w.picture("queue-missing")
	if got := b.since("I-0029", count); len(got) != 0 {
		t.Errorf("without a server the log grew: %v", got)
	}

	quit()
	browser, _ = browserAt(t, dir)
	w = openTab(t, browser, "http://"+at.address)
	call(w, "setting the tablet's clock", page.AddScriptToEvaluateOnNewDocument, fast)
	w.open("/station").waits("3 not sent", "207")
	b.advance(10 * time.Minute)
	b.server = New(Config{Store: b.store})
	at.handler = b.server.Handler()
	at.start()
	b.at(w, "204", "PR1") // the session may not have been written to disk
	w.open("/station").waits("all sent")
	for i, e := range b.since("I-0029", count) {
		want := []struct{ kind, by string }{{"paste-drawn", "204"}, {"paste-drawn", "204"}, {"layers-made", "207"}}
		if i >= len(want) {
			t.Fatalf("recorded more than once: %s by %s", e.Event.Kind(), e.By)
		}
		waited := e.Kept.SentAt.Sub(e.Kept.DeviceAt)
		if e.Event.Kind() != want[i].kind || e.By != want[i].by || e.Device != "T-1" || e.Kept == nil || waited <= 0 || !e.At.Equal(e.Entered.Add(-waited)) || !e.Entered.Equal(b.now().UTC()) {
			t.Errorf("entry %d is %s by %s at %s of %s, kept %+v", i, e.Event.Kind(), e.By, e.At, e.Device, e.Kept)
		}
		if ahead := time.Until(e.Kept.DeviceAt); ahead < 50*time.Minute || ahead > time.Hour {
			t.Errorf("the tablet's clock is %v ahead; want just under an hour", ahead)
		}
	}
	if got := len(b.since("I-0029", count)); got != 3 {
		t.Errorf("%d acts were recorded; want 3", got)
	}
	w.waits("Badge 207 worked here without connection")
	w.open("/station/I-0029?act=paste")
	paste("81", "120", "35.3")
	w.waits("This was not sent: say first who works here.")
	w.unfold("I am badge 204")
	w.press("Record the paste drawn").reads("35.3 g drawn")
}

// cuttingShort records what a tablet's script sends, and breaks off in the
// middle of the answer when it is told to.
func cuttingShort(lost *atomic.Bool, h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !byScript(r) || !lost.CompareAndSwap(true, false) {
			h.ServeHTTP(w, r)
			return
		}
		h.ServeHTTP(httptest.NewRecorder(), r)
		w.Header().Set("Content-Length", "1000")
		w.WriteHeader(http.StatusCreated)
		io.WriteString(w, `{"entry": `)
		http.NewResponseController(w).Flush()
		panic(http.ErrAbortHandler)
	})
}

// TestKeptConflict loses an answer, and lets a hold come while the network is
// cut: nothing is doubled, nothing is dropped, a person decides.
func TestKeptConflict(t *testing.T) {
	t.Parallel()
	b := keeping(t).bookTest
	b.keyed("601")
	var lost atomic.Bool
	at := newPort(t, cuttingShort(&lost, b.server.Handler()))
	w := newTab(t, chromium(t), "http://"+at.address)
	b.at(w, "204", "PR1")
	w.settledIn("/station/I-0029?act=paste", "/station/I-0029?act=layers")
	count, err := b.store.Count(t.Context(), "insert/I-0029")
	if err != nil {
		t.Fatal(err)
	}

	w.open("/station/I-0029?act=paste").fields("Container", "L2509-A/01", "First layer", "1", "Last layer", "40", "Mass drawn, g", "35.1", "Purged, g", "3.1")
	lost.Store(true)
	w.unfold("Record the paste drawn")
	w.waits("Recorded now: 35.1 g drawn", "nothing was recorded twice", "all sent")
	if got := b.since("I-0029", count); len(got) != 1 || got[0].Kept != nil {
		t.Fatalf("after a lost answer the log has %v", got)
	}

	w.open("/inserts/I-0029/scrap")
	w.cut(true)
	w.fields("Reason", "cracked", "Your PIN", rightPIN).unfold("Scrap I-0029")
	w.waits("No connection. This asks for a PIN")
	if got := w.value("Your PIN"); got != rightPIN {
		t.Errorf("the form lost its PIN: %q", got)
	}
	w.cut(false)

	layers := func(from, to string) {
		w.open("/station/I-0029?act=layers")
		w.cut(true)
		w.fields("First layer", from, "Last layer", to, "Dried, s", "360").unfold("Record the layers")
		w.waits("Not sent yet:")
	}
	layers("1", "5")
	w.fields("First layer", "6", "Last layer", "10", "Dried, s", "361").unfold("Record the layers")
	w.waits("2 not sent")
	w.fields("First layer", "16", "Last layer", "20", "Dried, s", "362").unfold("Record the layers")
	w.waits("3 not sent")
	b.put("601", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0029", Why: "edge chipped"})
	w.cut(false)
	w.waits("3 not sent, 1 stopped")
	// What waits behind the one that is stuck can be left out by itself.
	w.open("/station/kept").waits("It waits behind the act above")
	step(w, "leaving out what waits", chromedp.Evaluate[chromedp.Void](`{
		const forms = [...document.querySelectorAll("[data-leave-out]")].filter((f) => !f.hidden), last = forms[forms.length - 1];
		if (forms.length !== 3) throw new Error(forms.length + " can be left out");
		last.closest("details")?.setAttribute("open", "");
		last.elements.why.value = "typed twice";
		last.querySelector("button").click();
	}`))
	w.waits("2 not sent, 1 stopped", "was left out: the history says so")
	w.open("/station/kept").waits("Recorded here", "In the book now", "edge chipped", "Recorded meanwhile", "badge 601", "Last layer")
	w.picture("queue-kept 1280x800")
	for _, v := range []viewport{{"800x1280", 800, 1280}, {"390x844", 390, 844}} {
		w.look(v)
		w.picture("queue-kept " + v.name)
	}
	w.examine("queue-kept")
	b.sign("601", shop.HoldLifted{Hold: "H-001", OnKind: "insert", OnCode: "I-0029", Why: "looked at under the glass"})
	w.under("Layers made for I-0029").press("Put it right")
	w.waits("Put it right and record it again")
	if got := w.value("Dried, s"); got != "360" {
		t.Errorf("the form to put it right has %q", got)
	}
	w.fill("Last layer", "4").press("Record the layers")
	w.waits("all sent")
	made := b.since("I-0029", count+1)
	made = made[len(made)-2:]
	for i, want := range []shop.LayersMade{{FromLayer: 1, ToLayer: 4}, {FromLayer: 6, ToLayer: 10}} {
		if l, ok := made[i].Event.(shop.LayersMade); !ok || l.FromLayer != want.FromLayer || l.ToLayer != want.ToLayer || made[i].Kept == nil || made[i].By != "204" {
			t.Errorf("put right, entry %d is %+v by %s", i, made[i].Event, made[i].By)
		}
	}

	layers("11", "15")
	b.put("601", shop.HoldSet{Hold: "H-002", OnKind: "insert", OnCode: "I-0029", Why: "edge chipped again"})
	w.cut(false)
	w.waits("1 not sent, 1 stopped")
	w.open("/station/kept").waits("edge chipped again").unfold("Leave it out")
	w.under("Leave it out").fill("Why is it left out?", "made on another insert")
	step(w, "leaving it out", chromedp.Evaluate[chromedp.Void]("document.querySelector('[data-leave-out] button').click()"))
	w.waits("all sent", "was left out: the history says so")
	left := b.since("I-0029", count)
	if out, ok := left[len(left)-1].Event.(shop.KeptActLeftOut); !ok || out.Why != "made on another insert" || out.Whose != "204" || !strings.Contains(out.Said, "First layer: 11") {
		t.Errorf("the history ends with %+v", left[len(left)-1].Event)
	}
	b.get("900", "/history/insert/I-0029").says(http.StatusOK, "was left out", "Kept on T-1 from")
}

// A slow connection is no missing one: an act goes out, and is not doubled.
func TestStationOnSlowNetwork(t *testing.T) {
	t.Parallel()
	b := keeping(t).bookTest
	at := newPort(t, b.server.Handler())
	w := newTab(t, chromium(t), "http://"+at.address)
	b.at(w, "204", "PR1")
	w.settledIn("/station/I-0029?act=layers")
	w.open("/station/I-0029?act=layers")
	count := b.entries()
	w.conditions(false, 2000, 50_000) // as Chromium's own tools name it: slow 3G
	w.fields("First layer", "1", "Last layer", "5", "Dried, s", "360").press("Record the layers").waits("Layers 1 to 5", "all sent")
	if got := b.entries() - count; got != 1 {
		t.Errorf("the log grew by %d", got)
	}
}
