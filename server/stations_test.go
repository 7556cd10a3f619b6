package server

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/net/html"

	"sinterbook/store/shop"
)

var (
	stationCount  = flag.Int("stations", 20, "stations that scan at once")
	stationRounds = flag.Int("rounds", 3, "scans of each station")
	stationEvery  = flag.Duration("every", 0, "time between two scans of a station; 5s is a busy shop")
)

// TestManyStations lets many tablets scan at once over real HTTP: a plate, then
// RECORD with a mass. A third of the cards are read twice, and a third of the
// answers are not waited for and asked again. Every act is in the book once. The
// whole of it: -stations 200 -rounds 12 -every 5s.
func TestManyStations(t *testing.T) {
	b := staffed(t)
	b.keyed("204")
	b.put("601", shop.StationAdded{Station: "DRY", Name: "Drying room", Operation: shop.OpDry, Equipment: "D1", Code: shop.NewScanCode()})
	b.put("402", shop.GaugeAdded{Gauge: "BAL-9", Type: "balance", Range: "0-2000 g", Code: shop.NewScanCode()})
	b.put("601", shop.GaugeCalibrated{Gauge: "BAL-9", Points: []shop.CalibrationPoint{{Point: readingOf("1000", "g"), AsFound: readingOf("0", "g")}}, Certificate: "CAL-BAL-9", Verdict: "pass", Due: "2030-12-31"})
	codes := b.manyDrying(*stationCount)
	at := b.serve()
	stations := make([]*simulated, *stationCount)
	for i := range stations {
		stations[i] = b.simulated(at.URL, i, codes[i])
	}
	before := b.entries()
	var wg sync.WaitGroup
	for _, s := range stations {
		wg.Go(s.shift)
	}
	wg.Wait()
	var took []time.Duration
	for _, s := range stations {
		if s.err != nil {
			t.Error(s.err)
		}
		took = append(took, s.took...)
	}
	want := *stationCount * *stationRounds
	if got := int(b.entries() - before); got != want {
		t.Errorf("%d entries were made by %d acts", got, want)
	}
	for i, s := range stations {
		weighings, err := b.store.Weighings(t.Context(), s.insert)
		if err != nil || len(weighings) != *stationRounds {
			t.Errorf("station %d: %d weighings of %s (%v); want %d", i, len(weighings), s.insert, err, *stationRounds)
		}
	}
	slices.Sort(took)
	t.Logf("%d stations, %d scans: from scan to next page p50 %v, p99 %v", *stationCount, len(took), took[len(took)/2].Round(time.Millisecond), took[len(took)*99/100].Round(time.Millisecond))
}

// manyDrying puts n inserts into the oven and says their scan codes.
func (b *bookTest) manyDrying(n int) []string {
	b.Helper()
	b.put("700", shop.OrderTaken{Order: "O-9", Customer: "K1", Design: "CR40", Quantity: n, Due: "2026-10-15", Unit: "mm", Mould: "M301"})
	b.put("601", shop.PolicySet{Gate: shop.ContainerEnoughLeft.Name, Op: shop.OpPrint, From: b.now(), Mode: shop.Silent})
	var codes []string
	for i := range n {
		insert := fmt.Sprintf("I-%04d", 1000+i)
		plate := fmt.Sprintf("PX-%03d", i)
		b.put("204", shop.CarrierAdded{Carrier: plate, Type: "plate", Code: shop.NewScanCode()})
		b.put("700", shop.TravelerOpened{Insert: insert, Design: "CR40", Revision: "B", Order: "O-9", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
		b.put("101", shop.ReleaseAssigned{Insert: insert, Release: "DR-02 A"})
		b.put("204", shop.PrintStarted{Insert: insert, Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: plate,
			KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304})
		b.put("204", shop.PasteDrawn{Container: "L2509-A/01", Insert: insert, FromLayer: 1, ToLayer: 304, Drawn: readingOf("280.5", "g")})
		b.put("204", shop.LayersMade{Insert: insert, FromLayer: 1, ToLayer: 304})
		b.put("204", shop.PrintFinished{Insert: insert, LayersDone: 304, Printed: readingOf("254.3", "g")})
		b.put("204", shop.DryingStarted{Insert: insert, Oven: "D1", Air: readingOf("65", "C"), Wet: readingOf("254.82", "g"), Constant: readingOf("0.05", "%")})
		codes = append(codes, b.codeOf(insert))
	}
	return codes
}

// A simulated station is a tablet whose operator scans without rest.
type simulated struct {
	at, insert, code, balance string
	client                    *http.Client
	took                      []time.Duration
	err                       error
}

func (b *bookTest) simulated(at string, n int, code string) *simulated {
	b.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	s := &simulated{at: at, insert: fmt.Sprintf("I-%04d", 1000+n), code: code, client: &http.Client{Jar: jar, Transport: &http.Transport{}}}
	b.Cleanup(s.client.CloseIdleConnections)
	balance, err := b.store.Gauge(b.Context(), "BAL-9")
	if err != nil {
		b.Fatal(err)
	}
	s.balance = string(balance.Code)
	token := b.tabletAt("DRY", fmt.Sprintf("T-%d", n))
	for path, fields := range map[string]url.Values{"/tablet": {"token": {token}}} {
		if _, err := s.send(path, fields); err != nil {
			b.Fatal(err)
		}
	}
	if _, err := s.send("/sign-in", url.Values{"badge": {"204"}, "pin": {rightPIN}, "next": {"/station"}}); err != nil {
		b.Fatal(err)
	}
	return s
}

// send posts fields and follows to the page behind.
func (s *simulated) send(path string, fields url.Values) (*html.Node, error) {
	r, err := s.client.PostForm(s.at+path, fields)
	if err != nil {
		return nil, err
	}
	defer r.Body.Close()
	if r.StatusCode != http.StatusOK {
		page, _ := html.Parse(r.Body)
		return nil, fmt.Errorf("%s: %d %s", path, r.StatusCode, wordsIn(page))
	}
	return html.Parse(r.Body)
}

// shift is what the operator does: round after round.
func (s *simulated) shift() {
	for round := range *stationRounds {
		began := time.Now()
		if err := s.round(round); err != nil {
			s.err = fmt.Errorf("%s, round %d: %w", s.insert, round, err)
			return
		}
		time.Sleep(max(0, *stationEvery-time.Since(began)))
	}
}

func (s *simulated) round(round int) error {
	page, err := s.timed("/station/scan", url.Values{"scan": {s.code}})
	if err != nil {
		return err
	}
	path := "/station/" + s.insert + "/scan"
	if page, err = s.timed(path, s.bench(page, s.balance, "")); err != nil {
		return err
	}
	card, _ := shop.CardNamed("RECORD")
	fields := s.bench(page, string(card.Code), fmt.Sprintf("%.2f", 240-float64(round)/10))
	if fields.Get("act") != "weigh" || fields.Get("gauge") != "BAL-9" {
		return fmt.Errorf("the bench is at %q with %q", fields.Get("act"), fields.Get("gauge"))
	}
	again := rand.IntN(3)
	if again == 1 { // read twice
		var wg sync.WaitGroup
		var second error
		wg.Go(func() { _, second = s.send(path, fields) })
		_, err = s.timed(path, fields)
		wg.Wait()
		if err != nil {
			return err
		}
		return second
	}
	if again == 2 { // the answer is lost: the same is sent again
		if _, err := s.send(path, fields); err != nil {
			return err
		}
	}
	_, err = s.timed(path, fields)
	return err
}

func (s *simulated) timed(path string, fields url.Values) (*html.Node, error) {
	began := time.Now()
	page, err := s.send(path, fields)
	s.took = append(s.took, time.Since(began))
	return page, err
}

// bench is the form on a page with something in the scan box.
func (s *simulated) bench(page *html.Node, scan, mass string) url.Values {
	fields := url.Values{}
	for _, n := range elements(page, "input", "textarea", "select") {
		if name := attrOf(n, "name"); name != "" && attrOf(n, "type") != "checkbox" && !strings.HasPrefix(name, "photo") {
			fields.Add(name, valueOf(n))
		}
	}
	fields.Set("scan", scan)
	if mass != "" {
		fields.Set("mass", mass)
	}
	return fields
}
