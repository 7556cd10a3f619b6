package server

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/go-chi/chi/v5"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// crammed is a book with something of everything: inserts at each operation, a
// mould that was delivered, holds that stand and that were lifted, attempts
// that were stopped, corrections, and a gate that asks.
func crammed(t testing.TB) *bookTest {
	t.Helper()
	b := staffed(t)
	b.keyed("601")
	b.put("601", shop.PersonAdded{Badge: "777", Roles: shop.Roles[:len(shop.Roles)-1], From: "2025-01-01", Code: shop.NewScanCode()})
	for _, op := range []string{shop.OpRelease, shop.OpPrint, shop.OpDry, shop.OpSinter, shop.OpTemper, shop.OpInspect, shop.OpFit, shop.OpDeliver} {
		b.put("601", shop.PersonAuthorised{Badge: "777", Operation: op, From: "2025-01-01", Evidence: "TR-001"})
	}
	b.put("601", shop.StationAdded{Station: "PR1", Name: "Printer P1", Operation: shop.OpPrint, Equipment: "P1", Code: shop.NewScanCode()})
	b.put("601", shop.MouldReceived{Mould: "M302", Customer: "K2", Code: shop.NewScanCode()})
	b.put("700", shop.OrderTaken{Order: "O-3", Customer: "K2", Design: "CR40", Quantity: 9, Due: "2025-12-15", Unit: "mm", Mould: "M302"})
	b.enter(shop.Entry{By: "700", Seen: 1, Event: shop.OrderChanged{Order: "O-2", Changes: []shop.Change{{Field: "remark", From: "", To: "use setter B"}}}})
	b.put("101", shop.ReleaseDrafted{Release: "DR-09 A", Design: "CR40", Revision: "B", Lot: "L2509-A", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Evidence: "receipt coupons", Program: "CR40.pgm", ProgramHash: testProgram})
	b.put("101", shop.LotReceived{Lot: "L2510-B", Material: "HT44 paste", MadeOn: "2025-10-01", ExpiresOn: "2026-02-01", OpenLifeDays: 30, Certificate: "C-120", Code: shop.NewScanCode()})
	for n, insert := range []string{"I-0029", "I-0030", "I-0031", "I-0032"} {
		b.opened(insert, "CR40")
		b.dried(insert, fmt.Sprintf("PL-%02d", n+1))
	}
	b.sintered("F2-05", "I-0029", "I-0030", "I-0031")
	for _, insert := range []string{"I-0029", "I-0030", "I-0031"} {
		b.enter(shop.Entry{By: "311", Reason: "hard enough", Event: shop.StepLeftOut{Insert: insert, Op: shop.OpTemper}})
	}
	for _, insert := range []string{"I-0029", "I-0030"} {
		b.measured(insert)
		b.put("402", shop.InspectionFinished{Insert: insert})
	}
	b.put("402", shop.ResultRecorded{Insert: "I-0031", Characteristic: "3", Value: readingOf("24.766", "mm"), Gauge: "M-12", Purpose: "inspection"})
	photo := asJPEG(t, 1)
	of := func(kind, number, name string) shop.DocumentAdded {
		return shop.DocumentAdded{Document: shop.DocumentNamed(photo), MediaType: "image/jpeg", Size: int64(len(photo)), Name: name, OnKind: kind, OnCode: number, Shows: "contact on +X, spotted twice", Bytes: photo}
	}
	b.put("101", of("lot", "L2509-A", "Label of the tub.jpg"))
	b.put("101", filedOn("lot", "L2509-A", "safety data sheet", ""))
	misread := b.put("101", filedOn("lot", "L2509-A", "certificate of analysis", "C-181"))
	b.enter(shop.Entry{By: "101", Corrects: misread, Reason: "digits swapped", Event: filedOn("lot", "L2509-A", "certificate of analysis", "C-118")})
	b.put("101", shop.FilingWithdrawn{OnKind: "lot", OnCode: "L2509-A", Filing: misread - 1, Why: "it is that of another paste"})
	b.put("501", shop.FitUpDone{Insert: "I-0029", Mould: "M301", Place: "C2", Shim: readingOf("20", "um"), PocketX: readingOf("40.000", "mm"), Spotting: readingOf("85", "%"), Hours: readingOf("1.5", "h"), Note: "dropped in by hand",
		Faces:  []shop.Face{{Face: shop.Faces[0], Removed: readingOf("30", "um")}, {Face: shop.Faces[1], Removed: readingOf("2.5", "um"), Added: readingOf("350", "um")}},
		Photos: []shop.DocumentAdded{of("insert", "I-0029", "IMG_2031.jpg")}})
	b.sign("601", shop.MouldShipped{Mould: "M301", Note: "DN-7", Inserts: []string{"I-0029"}})
	b.put("311", shop.LoadOpened{Load: "F2-06", Furnace: "F2", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	b.put("311", shop.LoadPlaced{Load: "F2-06", Insert: "I-0032", Position: "T1"})
	b.underWay()
	return b
}

// measured reads every characteristic of an insert of CR40, one of them twice.
func (b *bookTest) measured(insert string) {
	b.Helper()
	wrong := b.put("402", shop.ResultRecorded{Insert: insert, Characteristic: "1", Value: readingOf("39.696", "mm"), Gauge: "M-12", Purpose: "inspection"})
	b.enter(shop.Entry{By: "402", Corrects: wrong, Reason: "digits swapped", Event: shop.ResultRecorded{Insert: insert, Characteristic: "1", Value: readingOf("39.969", "mm"), Gauge: "M-12", Purpose: "inspection"}})
	for characteristic, value := range map[string]shop.Reading{"2": readingOf("30.012", "mm"), "3": readingOf("24.990", "mm"), "9": readingOf("48.2", "HRC")} {
		gauge := "M-12"
		if characteristic == "9" {
			gauge = "HT-1"
		}
		b.put("402", shop.ResultRecorded{Insert: insert, Characteristic: characteristic, Value: value, Gauge: gauge, PartTemp: readingOf("20.4", "C"), Purpose: "inspection"})
	}
}

// underWay leaves one insert in print, one to be printed, one without a
// release, and one that is held.
func (b *bookTest) underWay() {
	b.Helper()
	for _, insert := range []string{"I-0033", "I-0034"} {
		b.put("700", shop.TravelerOpened{Insert: insert, Design: "CR40", Revision: "B", Order: "O-3", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
		b.put("101", shop.ReleaseAssigned{Insert: insert, Release: "DR-02 A"})
	}
	b.put("700", shop.TravelerOpened{Insert: "I-0035", Design: "CR40", Revision: "B", Order: "O-3", Template: "RT-1", Version: 1, Scratch: "two notches", Code: shop.NewScanCode()})
	b.put("204", shop.PrintStarted{Insert: "I-0033", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: "PL-09",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304})
	b.put("204", shop.PasteDrawn{Container: "L2509-A/01", Insert: "I-0033", FromLayer: 1, ToLayer: 304, Drawn: readingOf("280.5", "g"), Purged: readingOf("3.1", "g")})
	b.put("204", shop.LayersMade{Insert: "I-0033", FromLayer: 1, ToLayer: 304, Dried: readingOf("360", "s"), Pass: 1, Cutter: "CU-11", Remark: "edge of layer 4 looks dry"})
	b.put("601", shop.PolicySet{Gate: shop.MachineFree.Name, Op: shop.OpPrint, From: b.now(), Mode: shop.Warn})
	b.put("402", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0031", Why: "height is out of its limits"})
	b.refuse("402", shop.ResultRecorded{Insert: "I-0031", Characteristic: "2", Value: readingOf("30.012", "mm"), Gauge: "M-12", Purpose: "inspection"})
	b.put("402", shop.NonconformanceRaised{Nonconformance: "NC-001", Insert: "I-0031", What: "height is 0.4 mm small, limit 0.220 mm"})
	b.put("501", shop.NonconformanceRaised{Nonconformance: "NC-002", Insert: "I-0032", What: "shut-off edge chipped"})
	b.sign("601", shop.NonconformanceCancelled{Nonconformance: "NC-002", Inserts: []string{"I-0032"}, Why: "the chipped piece was a practice block"})
	b.sign("601", shop.ConcessionGiven{Concession: "CN-01", Nonconformance: "NC-001", Inserts: []string{"I-0031"}, What: "height 24.5 mm or more", Limits: []shop.ConcessionLimit{{Of: "height Z", Lower: readingOf("24.5", "mm")}},
		Mould: "M301", Customer: "K1", CustomerReference: "letter of 2025-10-14", Quantity: 1, ExpiresOn: "2026-12-31"})
	for _, revision := range []string{"A", "B"} {
		b.sign("601", shop.InstructionReleased{Instruction: "WI-20", Revision: revision, Op: shop.OpPrint, Title: "Print, shape and dry by layer", Text: "Home the machine.\nPrime the nozzle.", From: b.now()})
	}
	b.sign("601", shop.InstructionReleased{Instruction: "WI-50", Revision: "A", Op: shop.OpInspect, Title: "Inspect an insert", Text: "Let it cool.", From: b.now()})
	for _, badge := range []string{"204", "777"} { // WI-50 is left to be read
		b.put(badge, shop.InstructionAcknowledged{Instruction: "WI-20", Revision: "B", Badge: badge})
	}
	b.put("204", shop.CouponMade{Coupon: "CP-0001", For: shop.ReceiptCoupon, Design: "CR40", Revision: "B", Container: "L2509-A/01", Machine: "P1", Release: "DR-02 A", Layers: 146, Drawn: readingOf("56.0", "g"), Purged: readingOf("2.5", "g"), Code: shop.NewScanCode()})
	misread := b.put("402", shop.CouponMeasured{Coupon: "CP-0001", Stage: "green", Characteristic: "1", Value: readingOf("48.010", "mm"), Gauge: "M-12"})
	b.enter(shop.Entry{By: "402", Corrects: misread, Reason: "digits swapped", Event: shop.CouponMeasured{Coupon: "CP-0001", Stage: "green", Characteristic: "1", Value: readingOf("48.100", "mm"), Gauge: "M-12"}})
	b.put("311", shop.CouponPlaced{Load: "F2-06", Coupon: "CP-0001", Position: "M3", Setter: "ST-17", Lying: "flat", Loss: readingOf("8.56", "%")})
	b.put("204", shop.PasteWasted{Container: "L2509-A/01", Mass: readingOf("8.4", "g"), Why: "wiped off the paddle"})
	b.enter(shop.Entry{By: "204", Answers: map[string]string{shop.WeighingAsExpected.Name: "weighed twice"}, Event: shop.ContainerWeighed{Container: "L2509-A/01", Left: readingOf("950", "g")}}) // short
	b.put("601", shop.LimitSet{Limit: shop.DrawOff, Value: readingOf("25", "%"), From: b.now(), Basis: "our own draws"})
	b.put("101", shop.FactorProposed{Proposal: "FA-002", Lot: "L2509-A", Basis: "fourteen pieces", Lines: []shop.ProposedFactor{{Axis: "Z", S: readingOf("18.38", "%"), K: readingOf("1.2252", "1"), Low: readingOf("18.31", "%"), High: readingOf("18.44", "%"), N: 14, Method: shop.Measured}}})
	b.put("101", shop.CertificateEntered{Lot: "L2509-A", Lines: []shop.CertificateLine{{Property: "carbon", Value: "0.46", Unit: "wt%", Lower: "0.38", Upper: "0.44"}, {Property: "D50", Value: "7.4", Unit: "um"}}})
	b.sign("601", shop.PermitGiven{Permit: "DP-001", Insert: "I-0034", Gate: shop.OversizeOfRelease.Name, Op: shop.OpPrint, Why: "trial of one piece", ExpiresOn: "2026-12-31"})
	b.put("204", shop.FormsIssued{Op: shop.OpPrint, First: 7, Count: 3})
	b.put("601", shop.OutageNoted{From: b.now().Add(-5 * time.Hour), Until: b.now().Add(-2 * time.Hour), Note: "paper forms PF-0001 on"})
	b.enter(shop.Entry{By: "204", At: b.now().Add(-3 * time.Hour), Paper: &shop.Paper{Form: "PF-0007", TypedBy: "402"}, Event: shop.HoldSet{Hold: "H-003", OnKind: "container", OnCode: "L2509-A/01", Why: "stood open"}})
	b.put("601", shop.TraceDrilled{Insert: "I-0029", Upstream: 12, Downstream: 4, Missing: []string{"gauge of inspection"}, Took: 1500})
	b.put("204", shop.HoldSet{Hold: "H-002", OnKind: "machine", OnCode: "P1", Why: "nozzle looks worn"})
	b.sign("601", shop.HoldLifted{Hold: "H-002", OnKind: "machine", OnCode: "P1", Why: "nozzle was measured"})
	b.put("601", shop.ContainmentBegun{Containment: "CA-001", OfKind: "load", OfCode: "F2-05", Narrowed: "since 2025-09-01", Why: "soft", Inserts: []string{"I-0029", "I-0031"}})
}

// kinds are addresses of one page of every kind. Whatever route has none here
// fails the test.
func (b *bookTest) kinds() []string {
	b.Helper()
	written := strings.NewReplacer("{insert}", "I-0029", "{lot}", "L2509-A", "{order}", "O-3", "{release}", "DR-02%20A", "{mould}", "M301", "{badge}", "402", "{design}", "CR40", "{load}", "F2-06", "{hold}", "H-001", "{gauge}", "M-12", "{machine}", "P1", "{coupon}", "CP-0001", "{furnace}", "F2", "{nonconformance}", "NC-001", "{concession}", "CN-01", "{form}", "PF-0007", "{instruction}", "WI-20", "{containment}", "CA-001", "{factor}", "FA-001", "{customer}", "K1",
		"/history/{kind}/*", "/history/insert/I-0029", "/containers/*", "/containers/L2509-A/01")
	var paths []string
	err := chi.Walk(b.server.router().(chi.Routes), func(method, route string, _ http.Handler, _ ...func(http.Handler) http.Handler) error {
		if method != http.MethodGet || slices.Contains(noPages, route) {
			return nil
		}
		path := written.Replace(route)
		if strings.ContainsAny(path, "{*") {
			b.Errorf("no page of the kind %s is looked at", route)
		}
		paths = append(paths, path)
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	paths = append(paths, b.states()...)
	return paths
}

// noPages are routes that show nothing, or are looked at at the door.
var noPages = []string{"/", "/livez", "/readyz", "/sw.js", "/station/keep.json", "/static/*", "/sign-in", "/set-up", "/tablet", "/t/{code}", "/T/{code}", "/t/{code}/*", "/T/{code}/*", "/find", "/trace.csv", "/trace.json", "/live", "/documents/{document}", "/proof/{kind}/*", "/checkpoints/{size}"}

// states are pages that look different in another state of their thing.
var states = []string{
	"/factors/FA-002", "/nowhere", "/lots/L2509-A/account?container=L2509-A/01", "/lots/L2509-A/account?print=1", "/gauges/HT-1", "/find?q=I-9999", "/people/777", "/releases/DR-09%20A", "/lots/L2510-B", "/moulds/M302", "/orders/O-2", "/new/insert?order=O-3", "/holds/H-002", "/loads/F2-05", "/loads/F2-06?place=M1",
	"/inserts/I-0029?print=1", "/history/insert/I-0029?print=1", "/inserts/I-0031", "/inserts/I-0033", "/inserts/I-0035/release", "/inserts/I-0032/leave-out", "/station/I-0031", "/station/I-0034", "/station/I-0034/sure",
	"/station/I-0033?act=paste", "/station/I-0033?act=layers", "/station/I-0033?act=print-finish", "/station/I-0033?act=hold", "/station/I-0030", "/station/I-0030?act=result", "/station/I-0030?act=fit", "/inserts/I-0033/scrap",
	"/paper/PF-0008", "/paper/PF-0008/enter?on=I-0033", "/paper/PF-0007/enter?on=I-9999", "/paper/blank/PF-0007?last=PF-0009", "/labels?kind=container&symbol=bars&layout=letter-30&skip=1", "/labels?kind=insert&symbol=qr&layout=a4-24", "/labels?kind=dragon",
	"/trace?q=L2509-A", "/trace?q=I-0029", "/trace?q=F2&shared=1", "/trace?q=nothing", "/compare?b=I-0031&a=I-0030", "/compare?a=I-0029",
	"/new/lot-change?insert=I-0033", "/new/document?on_kind=insert&on_code=I-0029", "/station/I-0030?act=photo", "/history/lot/L2509-A", "/new/filing?on_kind=lot&on_code=L2509-A", "/new/filing?corrects={filed}", "/new/filing-withdrawal?filing={filed}", "/nonconformances/NC-002", "/new/concession?nonconformance=NC-001", "/new/nonconformance?insert=I-0031", "/inserts/I-0032",
}

// states are the addresses of those states.
func (b *bookTest) states() []string {
	b.Helper()
	filed, err := b.store.FilingsOn(b.Context(), "lot", "L2509-A")
	if err != nil {
		b.Fatal(err)
	}
	var paths []string
	for _, state := range states {
		paths = append(paths, strings.ReplaceAll(state, "{filed}", fmt.Sprint(filed[len(filed)-1].Seq)))
	}
	return paths
}

// TestStatesStand: the states that are looked at are pages of the crammed book,
// and those that show more than a bare form show it.
func TestStatesStand(t *testing.T) {
	b := crammed(t)
	for _, path := range b.states() {
		if p := b.get("777", path); !slices.Contains([]int{http.StatusOK, http.StatusNotFound, http.StatusUnprocessableEntity}, p.status) {
			t.Errorf("%s answers with %d", path, p.status)
		}
	}
	for path, says := range map[string][]string{"/new/lot-change?insert=I-0033": {"It is printed of L2509-A.", "Machine P1", "1.2180"}} {
		if !slices.Contains(states, path) {
			t.Errorf("%s is not looked at", path)
		}
		b.get("777", path).says(http.StatusOK, says...)
	}
}

// at signs a tab in, at a station or, where it is "", in the office.
func (b *bookTest) at(w *tab, badge, station string) {
	b.Helper()
	token, s := store.NewToken(), store.Session{Badge: badge, How: "password", Began: b.now(), Ends: b.now().Add(shift)}
	if station != "" {
		s.Station, s.Device, s.How = station, "T-1", "PIN"
	}
	if err := b.store.BeginSession(b.Context(), s, token, ""); err != nil {
		b.Fatal(err)
	}
	call(w, "signing in", network.SetCookie, network.SetCookieParams{Name: sessionCookie, Value: token, URL: w.at})
}

// TestEveryPageIsAccessible looks at a page of every kind, as it is opened and
// as its form comes back empty, in the office and at a station, on a desk and
// on a phone, light and dark.
func TestEveryPageIsAccessible(t *testing.T) {
	chromiumPath(t)
	b := crammed(t)
	if err := b.store.Checkpoint(t.Context()); err != nil {
		t.Fatal(err)
	}
	b.tabletAt("PR1", "T-1")
	token := b.tabletAt("PR1", "T-2")
	browser := chromium(t)
	paths := b.kinds()
	for _, at := range []struct {
		name, station string
	}{{"office", ""}, {"station", "PR1"}} {
		t.Run(at.name, func(t *testing.T) {
			t.Parallel()
			config := Config{Store: b.store}
			if at.station != "" {
				config.Demo, config.Pass = true, b.advance
			}
			s := New(config)
			server := httptest.NewServer(s.Handler())
			t.Cleanup(server.Close)
			t.Cleanup(s.EndStreams)
			w := newTab(t, browser, server.URL)
			b.at(w, "777", at.station)
			before := b.entries()
			if config.Demo {
				w.open("/pass").examine(at.name + "/pass")
			}
			for _, path := range paths {
				w.open(path).examine(at.name + path)
				if script[bool](w, "emptied") {
					w.refused().examine(at.name + path + " refused")
				}
			}
			if after := b.entries(); after != before {
				t.Errorf("empty forms brought the log from %d to %d entries", before, after)
			}
		})
	}
	t.Run("door", func(t *testing.T) {
		t.Parallel()
		atTheDoor(t, token, newTab(t, browser, b.serve().URL))
	})
}

// refused sends the form that was emptied, and wants to hear what is missing.
func (w *tab) refused() *tab {
	w.Helper()
	w.loaded("sending an empty form", chromedp.Evaluate[chromedp.Void]("document.querySelector('[data-emptied]').click()"))
	if !strings.Contains(w.words(), "Nothing was") && !strings.Contains(w.words(), "This asks for a reason") {
		w.Errorf("an empty form does not say what is wrong: %s", w.words())
	}
	return w
}

// atTheDoor looks at the pages for nobody in particular.
func atTheDoor(t *testing.T, token string, w *tab) {
	for _, path := range []string{"/sign-in", "/sign-in?badge=402&next=/floor", "/tablet?token=" + token, "/tablet?token=none", "/set-up"} {
		w.open(path).examine("door" + path)
	}
	w.open("/sign-in").press("Sign in").examine("door/sign-in refused")
	w.open("/tablet?token=" + token).press("Register this tablet").examine("door/sign-in at a tablet")

	empty, verifier := unopened(t, filepath.Join(t.TempDir(), "book.db"))
	empty.server = New(Config{Store: empty.store, SetupToken: setUpToken, Verifier: verifier})
	w = newTab(t, w.ctx, empty.serve().URL)
	w.open("/sign-in").examine("door/empty")
	w.open("/set-up?token=" + setUpToken).examine("door/set-up")
	w.press("Open the book").reads("Nothing was stored").examine("door/set-up refused")
}

// examine looks at a page at both sizes, light and dark.
func (w *tab) examine(page string) {
	w.Helper()
	w.quiet(page)
	step(w, "loading axe", chromedp.Evaluate[chromedp.Void](axe()))
	for _, v := range viewports {
		w.look(v)
		if v.height > v.width { // at its end the main act of a station stands over nothing
			step(w, "scrolling", chromedp.Evaluate[chromedp.Void]("scrollTo({top: document.body.scrollHeight, behavior: 'instant'})"))
		}
		for _, contrast := range []string{"plain", "high"} {
			where := page + " " + v.name + " " + contrast
			for _, said := range step(w, "axe on "+where, chromedp.Evaluate[[]string](fmt.Sprintf("(async () => {%s\nreturn violations(%q)})()", rules, contrast), awaited)) {
				w.Errorf("%s: %s", where, said)
			}
			w.picture(where)
		}
		for _, said := range append(script[[]string](w, "measures"), script[[]string](w, "parted")...) {
			w.Errorf("%s %s: %s", page, v.name, said)
		}
	}
	w.look(viewports[0])
	w.quiet(page)
}

func awaited(p *runtime.EvaluateParams) { p.AwaitPromise = new(true) }

// axe is the accessibility checker, as its makers publish it.
func axe() string {
	source, err := os.ReadFile(filepath.Join("..", "testdata", "axe", "axe.min.js"))
	if err != nil {
		panic(err)
	}
	return string(source)
}

// rules run all of axe in the light, and what depends on colour in the dark.
const rules = `
function measures(heading) {
  const said = [];
  const page = document.documentElement;
  if (page.scrollWidth > innerWidth) {
    const wide = [...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".wide *"));
    said.push("the page scrolls sideways: " + page.scrollWidth + " px; " + (wide.at(-1)?.outerHTML ?? "").slice(0, 160));
  }
  if (!document.body.classList.contains("station")) return said;
  for (const e of document.querySelectorAll("a[href], button, summary, input:not([type=hidden]), select, textarea")) {
    // forms with a table are filled in at a desk; the points of a picture stand as links in the table behind it
    if (!seen(e) || e.closest(".skip, footer, table.lines, .plot")) continue;
    const least = e.matches(".go") ? 84 : e.matches("a") && !e.matches(".quiet") ? 44 : 64;
    const box = (e.closest(".tick, .reasons label") ?? e).getBoundingClientRect();
    if (box.height < least - 0.5) said.push(box.height.toFixed(0) + " px high, should be " + least + ": " + e.outerHTML.slice(0, 160));
  }
  return said;
}
// parted are the days, and the figures with their units, over whose middle a
// line of a table or of a list of facts breaks.
function parted(heading) {
  const whole = /\d{4}-\d\d-\d\d|\d[ \u00a0](?:g|kg|mm|µm(?:\/mm)?|mL|°C|K|h|min|s|%|ppm|bar|HRC|days?|hours?|minutes?)(?![\w/])/g;
  const said = [];
  for (const cell of document.querySelectorAll("main :is(td, th, dd)")) {
    if (!cell.checkVisibility()) continue;
    const texts = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    while (texts.nextNode()) {
      for (const m of texts.currentNode.data.matchAll(whole)) {
        const r = document.createRange();
        r.setStart(texts.currentNode, m.index);
        r.setEnd(texts.currentNode, m.index + m[0].length);
        const lines = new Set([...r.getClientRects()].filter((b) => b.width > 0).map((b) => Math.round(b.top / 8)));
        if (lines.size > 1) said.push("a line breaks within " + m[0] + " of " + wordsOf(cell).slice(0, 80));
      }
    }
  }
  return said;
}
function emptied(heading) {
  const form = [...document.querySelectorAll("main form[method=post]:not(.scan)")].find((f) => [...f.querySelectorAll("[required]")].some(seen));
  if (!form) return false;
  for (const e of form.querySelectorAll("input:not([type=hidden]), select, textarea")) {
    if (["checkbox", "radio"].includes(e.type)) e.checked = false; else e.value = "";
  }
  form.querySelector("button:not([name=more]):not([type=button]):not([formaction])").dataset.emptied = "yes";
  return true;
}
async function violations(contrast) {
  document.documentElement.dataset.contrast = contrast;
  const tags = {type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]};
  const colours = {type: "rule", values: ["color-contrast", "link-in-text-block"]};
  const found = await axe.run(document, {runOnly: contrast === "plain" ? tags : colours, resultTypes: ["violations"]});
  if (!found.passes.length) return ["axe looked at nothing"];
  return found.violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + n.html.slice(0, 160) + " " + n.failureSummary.replace(/\s+/g, " ").slice(0, 300)));
}
`
