package server

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// A tabletTest is a printer's tablet that is signed in, with an insert in
// print.
type tabletTest struct {
	*bookTest
	*browser
}

func keeping(t *testing.T) tabletTest {
	t.Helper()
	b := staffed(t)
	b.put("601", shop.PersonAdded{Badge: "207", Roles: []shop.Role{shop.PrintOperator}, From: "2025-01-01", Code: shop.NewScanCode()})
	b.put("601", shop.PersonAuthorised{Badge: "207", Operation: shop.OpPrint, From: "2025-01-01", Evidence: "TR-001"})
	b.put("601", shop.StationAdded{Station: "PR1", Name: "Printer P1", Operation: shop.OpPrint, Equipment: "P1", Code: shop.NewScanCode()})
	b.tabletAt("PR1", "T-1")
	b.opened("I-0029", "CR40")
	b.put("204", shop.PrintStarted{Insert: "I-0029", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: "PL-01",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304})
	w := tabletTest{b, b.browser(b.serve())}
	w.as("204")
	b.advance(2 * time.Hour)
	return w
}

// as signs a badge in at the tablet; whoever was there is parked.
func (w tabletTest) as(badge string) {
	w.bookTest.Helper()
	token := store.NewToken()
	s := store.Session{Badge: badge, Station: "PR1", Device: "T-1", How: "PIN", Began: w.now(), Ends: w.now().Add(shift)}
	if err := w.store.BeginSession(w.bookTest.Context(), s, token, w.cookie(sessionCookie)); err != nil {
		w.bookTest.Fatal(err)
	}
	w.setCookie(sessionCookie, token)
}

// kept are the fields of a draw that was pressed some time ago on a tablet
// whose clock is fast by some time.
func (w tabletTest) kept(badge string, ago, fast time.Duration) url.Values {
	return url.Values{"command": {uuid.Must(uuid.NewV7()).String()}, "container": {"L2509-A/01"}, "from_layer": {"1"}, "to_layer": {"40"}, "drawn": {"35.1"}, "purged": {"3.1"},
		"kept_by": {badge}, "kept_at": {w.now().Add(fast - ago).Format(time.RFC3339Nano)}, "kept_sent": {w.now().Add(fast).Format(time.RFC3339Nano)}}
}

// sends posts as the tablet's script does, and reads the answer into into.
func (w tabletTest) sends(path string, fields url.Values, into any) int {
	w.bookTest.Helper()
	r, err := http.NewRequestWithContext(w.bookTest.Context(), http.MethodPost, w.browser.at.URL+path, strings.NewReader(fields.Encode()))
	if err != nil {
		w.bookTest.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set(scriptHeader, "1")
	got, err := w.client.Do(r)
	if err != nil {
		w.bookTest.Fatal(err)
	}
	defer got.Body.Close()
	raw, err := io.ReadAll(got.Body)
	if err != nil {
		w.bookTest.Fatal(err)
	}
	if err := json.Unmarshal(raw, into); err != nil {
		w.bookTest.Fatalf("POST %s answers %d %s: %v", path, got.StatusCode, raw, err)
	}
	if _, no := into.(*problem); no != strings.HasPrefix(got.Header.Get("Content-Type"), "application/problem+json") {
		w.bookTest.Fatalf("POST %s answers %d with %s: %s", path, got.StatusCode, got.Header.Get("Content-Type"), raw)
	}
	return got.StatusCode
}

// What a tablet kept is recorded once, as the work of who pressed, when it was
// pressed; the history says how it came.
func TestKeptActIsRecordedOnce(t *testing.T) {
	w := keeping(t)
	pressed := w.now().Add(-12 * time.Minute)
	draw := w.kept("204", 12*time.Minute, time.Hour)
	w.as("207")
	var first, again receipt
	before := w.entries()
	if status := w.sends("/station/I-0029/paste", draw, &first); status != http.StatusCreated || first.Repeat || !first.At.Equal(pressed) || first.By != "204" {
		t.Errorf("%d, %+v", status, first)
	}
	w.advance(time.Minute)
	draw.Set("kept_sent", w.now().Add(time.Hour).Format(time.RFC3339Nano))
	if status := w.sends("/station/I-0029/paste", draw, &again); status != http.StatusOK || !again.Repeat || again.Entry != first.Entry {
		t.Errorf("sent again: %d, %+v", status, again)
	}
	if got := w.entries() - before; got != 1 {
		t.Errorf("the log grew by %d", got)
	}
	w.bookTest.get("900", "/history/insert/I-0029").says(http.StatusOK, "Kept on T-1 from "+pressed.In(viennaOf(t)).Format("15:04")+" without connection", "1 h fast")
}

// A kept act that cannot be taken stays with the tablet: the answer says why,
// how the insert stands and what came meanwhile. Nothing but the no is stored.
func TestKeptActIsRefused(t *testing.T) {
	w := keeping(t)
	ago := func(change func(url.Values)) url.Values {
		f := w.kept("204", 12*time.Minute, 0)
		change(f)
		return f
	}
	for _, tt := range []struct {
		name   string
		fields url.Values
		status int
		says   string
	}{
		{"nobody's time", ago(func(f url.Values) { f.Set("kept_at", "just now") }), 422, "was not understood"},
		{"a clock that was set back", ago(func(f url.Values) { f.Set("kept_at", w.now().Add(time.Hour).Format(time.RFC3339)) }), 422, "was set back"},
		{"three weeks", ago(func(f url.Values) { f.Set("kept_at", w.now().Add(-21*24*time.Hour).Format(time.RFC3339)) }), 422, "more than 14 days"},
		{"a stranger's", ago(func(f url.Values) { f.Set("kept_by", "207") }), 403, "Badge 207 must scan in here"},
		{"nobody's", ago(func(f url.Values) { f.Del("kept_by") }), 403, "must scan in here"},
		{"a figure in words", ago(func(f url.Values) { f.Set("drawn", "a lot") }), 422, "a lot"},
		{"from a form too", ago(func(f url.Values) { f.Set("paper_form", "PF-0001"); f.Set("paper_by", "204") }), 422, "leave one of the two out"},
	} {
		var no problem
		if status := w.sends("/station/I-0029/paste", tt.fields, &no); status != tt.status || no.Status != tt.status || !strings.Contains(no.Detail+fmtErrors(no), tt.says) || no.Title == "" || !strings.HasPrefix(no.Type, views.KeptPath) {
			t.Errorf("%s: %d %+v; want %d saying %q", tt.name, status, no, tt.status, tt.says)
		}
	}
	draw := w.kept("204", 12*time.Minute, 0)
	w.put("402", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0029", Why: "edge chipped"})
	before := w.entries()
	var no problem
	if status := w.sends("/station/I-0029/paste", draw, &no); status != http.StatusConflict || !strings.Contains(no.Detail, "edge chipped") || w.entries() != before+1 {
		t.Errorf("held meanwhile: %d %+v, %d new entries", status, no, w.entries()-before)
	}
	if !strings.Contains(strings.Join(no.Meanwhile, " "), "badge 402") || !slices.ContainsFunc(no.Stands, func(s standing) bool { return s.Name == "Held" && strings.Contains(s.Value, "edge chipped") }) || len(no.Objections) != 1 || no.Objections[0].Field != "" {
		t.Errorf("beside it stands %+v", no)
	}
	w.setCookie(sessionCookie, "")
	if status := w.sends("/station/I-0029/paste", w.kept("204", time.Minute, 0), &no); status != http.StatusUnauthorized {
		t.Errorf("nobody is signed in: %d %+v", status, no)
	}
}

func fmtErrors(p problem) (all string) {
	for _, e := range p.Errors {
		all += " " + e.Detail
	}
	return all
}

// What was put right is the work of whoever put it right: a parked session is
// not enough for that.
func TestKeptActIsPutRightByWhoseItIs(t *testing.T) {
	w := keeping(t)
	draw := w.kept("204", time.Minute, 0)
	draw.Set("kept_right", "1")
	w.as("207")
	var no problem
	if status := w.sends("/station/I-0029/paste", draw, &no); status != http.StatusForbidden {
		t.Errorf("put right by another: %d %+v", status, no)
	}
	w.as("204")
	var did receipt
	if status := w.sends("/station/I-0029/paste", draw, &did); status != http.StatusCreated {
		t.Errorf("put right: %d %+v", status, did)
	}
}

// Work is never put down to a badge that came to the tablet after it was done:
// where it is theirs all the same, they scan in and send it themselves.
func TestKeptActIsOfWhoWasThere(t *testing.T) {
	w := keeping(t)
	w.as("207")
	w.advance(10 * time.Minute)
	w.as("204")
	for _, tt := range []struct {
		ago    time.Duration
		status int
	}{{9 * time.Minute, http.StatusCreated}, {11 * time.Minute, http.StatusForbidden}} {
		draw := w.kept("207", tt.ago, time.Hour)
		if tt.status == http.StatusCreated {
			draw.Set("from_layer", "41")
			draw.Set("to_layer", "80")
		}
		var into any = &receipt{}
		if tt.status != http.StatusCreated {
			into = &problem{}
		}
		if status := w.sends("/station/I-0029/paste", draw, into); status != tt.status {
			t.Errorf("pressed %v ago: %d %+v; want %d", tt.ago, status, into, tt.status)
		}
		if tt.status == http.StatusForbidden {
			w.as("207")
			var did receipt
			if status := w.sends("/station/I-0029/paste", draw, &did); status != http.StatusCreated || did.By != "207" {
				t.Errorf("sent by whose it is: %d %+v", status, did)
			}
		}
	}
}

// A hold is never lost for its number: that is given out anew, once.
func TestKeptHoldIsRenumbered(t *testing.T) {
	w := keeping(t)
	hold := w.kept("204", time.Minute, 0)
	hold.Set("hold", "H-001")
	hold.Set("why", "nozzle clogged")
	w.put("402", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L2509-A", Why: "coupons are small"})
	var first, again receipt
	if status := w.sends("/station/I-0029/hold", hold, &first); status != http.StatusCreated || !strings.Contains(first.Said, "H-002") {
		t.Errorf("%d %+v", status, first)
	}
	if status := w.sends("/station/I-0029/hold", hold, &again); status != http.StatusOK || again.Entry != first.Entry {
		t.Errorf("again: %d %+v", status, again)
	}
}

// What is signed is not kept, whatever a request says.
func TestSignedActIsNotKept(t *testing.T) {
	w := keeping(t)
	stock := w.kept("204", time.Minute, 0)
	stock.Set("place", "shelf 4")
	stock.Set("pin", rightPIN)
	var no problem
	if status := w.sends("/station/I-0029/stock", stock, &no); status != http.StatusUnprocessableEntity || !strings.Contains(fmtErrors(no), "signed with a PIN") {
		t.Errorf("%d %+v", status, no)
	}
}

// An act that the script sends at once goes as ever; the next page says it.
func TestScriptSendsAtOnce(t *testing.T) {
	w := keeping(t)
	draw := w.kept("204", time.Minute, 0)
	for _, field := range []string{"kept_by", "kept_at", "kept_sent"} {
		draw.Del(field)
	}
	var did receipt
	if status := w.sends("/station/I-0029/paste", draw, &did); status != http.StatusCreated || did.To != "/station/I-0029" || !did.At.Equal(w.now().UTC()) {
		t.Fatalf("%d %+v", status, did)
	}
	w.header.Set(keepHeader, "1")
	w.browser.get(did.To).silent("35.1 g drawn from L2509-A/01 for layers 1 to 40 of I-0029 at")
	w.header.Del(keepHeader)
	w.browser.get(did.To).says(http.StatusOK, "35.1 g drawn from L2509-A/01 for layers 1 to 40 of I-0029 at")
	w.browser.get("/history/insert/I-0029").silent("Kept on")
}

func TestKeptActLeftOut(t *testing.T) {
	w := keeping(t)
	var did receipt
	draw := w.kept("204", time.Minute, 0)
	out := url.Values{"command": {uuid.Must(uuid.NewV7()).String()}, "of": draw["command"], "insert": {"I-0029"}, "act": {"Draw paste"}, "said": {"Container: L2509-A/01"}, "whose": {"204"}, "pressed": draw["kept_at"], "why": {""}}
	var no problem
	if status := w.sends(views.KeptPath, out, &no); status != http.StatusUnprocessableEntity || !strings.Contains(fmtErrors(no), "The reason to leave it out is missing") {
		t.Errorf("without a reason: %d %+v", status, no)
	}
	out.Set("why", "drawn for another insert")
	if status := w.sends(views.KeptPath, out, &did); status != http.StatusCreated {
		t.Errorf("%d %+v", status, did)
	}
	w.bookTest.get("900", "/history/insert/I-0029").says(http.StatusOK, "“Draw paste” for I-0029, pressed by 204", "Container: L2509-A/01", "drawn for another insert")
	if status := w.sends("/station/I-0029/paste", draw, &did); status != http.StatusCreated {
		t.Fatalf("%d %+v", status, did)
	}
	out.Set("command", uuid.Must(uuid.NewV7()).String())
	before := w.entries()
	if status := w.sends(views.KeptPath, out, &did); status != http.StatusOK || !did.Repeat || w.entries() != before {
		t.Errorf("what stands was left out: %d %+v", status, did)
	}
}

// What a tablet keeps is of its station, small, and names nobody by their code.
func TestToKeep(t *testing.T) {
	w := keeping(t)
	w.as("207")
	for _, insert := range []string{"I-0030", "I-0031"} {
		w.opened(insert, "CR40")
	}
	var k keepsake
	raw := w.browser.get("/station/keep.json")
	if err := json.Unmarshal([]byte(raw.raw), &k); err != nil {
		t.Fatal(err)
	}
	for _, badge := range []string{"204", "207"} {
		p, err := w.store.Person(t.Context(), badge)
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256([]byte(p.Code))
		if k.People[hex.EncodeToString(sum[:])] != badge || strings.Contains(raw.raw, string(p.Code)) {
			t.Errorf("badge %s with code %s is not known by its hash alone: %v", badge, p.Code, k.People)
		}
	}
	if len(k.People) != 2 {
		t.Errorf("known are %v; want those who signed in here", k.People)
	}
	have := map[string]string{}
	for _, c := range k.Codes {
		have[c.Kind+" "+c.Number] = c.Href
	}
	for thing, href := range map[string]string{"insert I-0029": "/station/I-0029", "insert I-0030": "/station/I-0030", "container L2509-A/01": "", "cutter CU-11": "", "machine P1": ""} {
		if got, ok := have[thing]; !ok || got != href {
			t.Errorf("%s leads to %q, %v; want %q", thing, got, ok, href)
		}
	}
	for _, path := range []string{"/station", views.KeptPath, "/station/I-0029", "/station/I-0029?act=paste", "/station/I-0029?act=layers", "/station/I-0029?act=hold", "/station/I-0030", "/station/I-0030/sure"} {
		if !slices.Contains(k.Pages, path) {
			t.Errorf("%s is not kept: %v", path, k.Pages)
		}
	}
	if slices.Contains(k.Pages, "/station/I-0030?act=paste") || len(raw.raw) > 16<<10 {
		t.Errorf("it keeps too much, %d bytes: %v", len(raw.raw), k.Pages)
	}
}
