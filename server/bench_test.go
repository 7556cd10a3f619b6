package server

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/store/yardstick"
	"sinterbook/views"
)

// pressing is a signed-in client that notes layers at a printer all day.
func pressing(b *testing.B) func(i int) error {
	book := staffed(b)
	book.opened("I-0001", "CR40")
	i, err := book.store.Insert(b.Context(), "I-0001")
	if err != nil {
		b.Fatal(err)
	}
	book.put("204", shop.PrintStarted{Insert: "I-0001", Release: i.Release, Machine: "P1", ProgramHash: testProgram, Carrier: "PL-01",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304, Plate: readingOf("41.5", "C")})
	book.keyed("204")
	token := store.NewToken()
	if err := book.store.BeginSession(b.Context(), store.Session{Badge: "204", How: "password", Began: morning, Ends: morning.Add(shift)}, token, ""); err != nil {
		b.Fatal(err)
	}
	at := book.serve()
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 64}, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	return func(i int) error {
		fields := url.Values{"command": {uuid.Must(uuid.NewV7()).String()}, "from_layer": {strconv.Itoa(1 + i%300)}, "to_layer": {strconv.Itoa(5 + i%300)},
			"dried": {"90"}}
		r, err := http.NewRequestWithContext(context.Background(), http.MethodPost, at.URL+"/station/I-0001/layers", strings.NewReader(fields.Encode()))
		if err != nil {
			return err
		}
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.AddCookie(&http.Cookie{Name: sessionCookie, Value: token})
		return answered(client, r, http.StatusSeeOther)
	}
}

func answered(client *http.Client, r *http.Request, want int) error {
	got, err := client.Do(r)
	if err != nil {
		return err
	}
	defer got.Body.Close()
	text, err := io.ReadAll(got.Body)
	if err == nil && got.StatusCode != want {
		err = fmt.Errorf("status %d; want %d: %.200s", got.StatusCode, want, text)
	}
	return err
}

// BenchmarkCommandOneClient is a durable command over HTTP against overwriting
// 4 KiB and syncing it. Target: 0.4 or more.
func BenchmarkCommandOneClient(b *testing.B) {
	press, synced := pressing(b), yardstick.Synced(b)
	yardstick.SideBySide(b, 200,
		func(n int) { yardstick.Spread(b, 1, n, press) },
		func(n int) {
			for range n {
				synced()
			}
		})
}

// BenchmarkCommand64Clients is the same from 64 clients. Target: 1.2 or more.
func BenchmarkCommand64Clients(b *testing.B) {
	press, synced := pressing(b), yardstick.Synced(b)
	yardstick.SideBySide(b, 2000,
		func(n int) { yardstick.Spread(b, 64, n, press) },
		func(n int) {
			for range n {
				synced()
			}
		})
}

// BenchmarkCommandP99 is the slowest hundredth of the commands of 64 clients
// against that of a bare group commit: target, at most 2.
func BenchmarkCommandP99(b *testing.B) {
	press, bare := pressing(b), yardstick.NewGroupCommit(b)
	for b.Loop() {
		var ratios []float64
		for range yardstick.Rounds {
			ours := yardstick.P99(yardstick.Spread(b, 64, 2000, press))
			theirs := yardstick.P99(yardstick.Spread(b, 64, 2000, func(int) error { return bare.Put() }))
			ratios = append(ratios, float64(ours)/float64(theirs))
		}
		b.ReportMetric(yardstick.Median(ratios), "times-slower")
	}
	b.ReportMetric(0, "ns/op")
}

// BenchmarkEmptyRoute is a route that does nothing, through everything that
// stands before a page, against a bare net/http handler. Target: 0.5 or more.
func BenchmarkEmptyRoute(b *testing.B) {
	book := newBook(b)
	ours := book.serve()
	bare := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, "alive\n") }))
	b.Cleanup(bare.Close)
	get := func(address string) func(n int) {
		client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 4}}
		return func(n int) {
			yardstick.Spread(b, 2, n, func(int) error {
				r, err := http.NewRequestWithContext(context.Background(), http.MethodGet, address, nil)
				if err != nil {
					return err
				}
				return answered(client, r, http.StatusOK)
			})
		}
	}
	yardstick.SideBySide(b, 5000, get(ours.URL+"/livez"), get(bare.URL))
}

const rowsOfPage = 200

// crowded is a book with two hundred open inserts.
func crowded(b *testing.B) *bookTest {
	book := staffed(b)
	book.put("700", shop.OrderTaken{Order: "O-9", Customer: "K1", Design: "CR40", Quantity: rowsOfPage, Due: "2025-11-14", Unit: "mm"})
	for i := range rowsOfPage {
		book.put("700", shop.TravelerOpened{Insert: fmt.Sprintf("I-%04d", 1000+i), Design: "CR40", Revision: "B", Order: "O-9", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
	}
	return book
}

// floorLines reads the rows of the floor's page. Each anew is another question,
// to which the store has no answer yet.
func (b *bookTest) floorLines(anew int) []views.FloorLine {
	rows, err := b.store.Board(b.Context(), store.Board{Limit: rowsOfPage + anew%10_000})
	if err != nil || len(rows) != rowsOfPage {
		b.Fatalf("%d rows, %v", len(rows), err)
	}
	return floorLines(rows, b.now(), time.UTC)
}

// byHand writes the table of the floor's page as plain appends do.
func byHand(w *bytes.Buffer, lines []views.FloorLine) {
	for _, l := range lines {
		w.WriteString(`<tr><th scope="row"><a class="num" href="`)
		w.WriteString(html.EscapeString(views.PageOf("insert", l.Insert)))
		w.WriteString(`">`)
		w.WriteString(html.EscapeString(l.Insert))
		w.WriteString(`</a></th><td>`)
		w.WriteString(html.EscapeString(l.Design))
		w.WriteString(" ")
		w.WriteString(html.EscapeString(l.Name))
		w.WriteString(`<br><span class="soft num">`)
		w.WriteString(html.EscapeString(l.Order))
		w.WriteString(`</span></td><td>`)
		w.WriteString(html.EscapeString(l.Status))
		w.WriteString(`<br><span class="soft">`)
		w.WriteString(html.EscapeString(l.Place))
		w.WriteString(`</span> </td><td><span title="`)
		w.WriteString(html.EscapeString("since " + l.Since))
		w.WriteString(`">`)
		w.WriteString(html.EscapeString(l.Stays))
		w.WriteString(`</span></td><td><span class="num">`)
		w.WriteString(html.EscapeString(l.Due))
		w.WriteString(`</span> </td><td>`)
		w.WriteString(html.EscapeString(l.NextWords()))
		w.WriteString(`</td></tr>`)
	}
}

// render shows the floor's page with some lines, and only them.
func render(lines []views.FloorLine, w *bytes.Buffer) error {
	return views.FloorPage(views.Floor{Lines: lines, Total: len(lines)}).Render(context.Background(), w)
}

// BenchmarkPageFromMemory is the floor with 200 rows against the same page
// appended by hand. Target: 0.4 or more.
func BenchmarkPageFromMemory(b *testing.B) {
	lines := crowded(b).floorLines(0)
	var page, around, rows bytes.Buffer
	if err := errors.Join(render(lines, &page), render(lines[:1], &around)); err != nil {
		b.Fatal(err)
	}
	byHand(&rows, lines)
	if !strings.Contains(page.String(), rows.String()) {
		b.Fatalf("the rows written by hand are not those of the page: %.600s\nbut %.600s", rows.String(), page.String()[strings.Index(page.String(), "<tbody>"):])
	}
	rest := around.String()
	var w bytes.Buffer
	yardstick.SideBySide(b, 200,
		func(n int) {
			for range n {
				w.Reset()
				if err := render(lines, &w); err != nil {
					b.Fatal(err)
				}
			}
		},
		func(n int) {
			for range n {
				w.Reset()
				w.WriteString(rest)
				byHand(&w, lines)
			}
		})
}

// BenchmarkPageWithRead is the floor with 200 rows and the read of them
// against the page from memory. Target: 0.6 or more.
func BenchmarkPageWithRead(b *testing.B) {
	book := crowded(b)
	lines := book.floorLines(0)
	var w bytes.Buffer
	var times int
	page := func(read bool) func(n int) {
		return func(n int) {
			for range n {
				w.Reset()
				if read {
					times++
					lines = book.floorLines(times)
				}
				if err := render(lines, &w); err != nil {
					b.Fatal(err)
				}
			}
		}
	}
	yardstick.SideBySide(b, 200, page(true), page(false))
}

// BenchmarkPageAllocations counts what a row of that page costs in
// allocations, its read included. Target: 45 or fewer.
func BenchmarkPageAllocations(b *testing.B) {
	book := crowded(b)
	var w bytes.Buffer
	var times int
	n := testing.AllocsPerRun(20, func() {
		w.Reset()
		times++
		if err := render(book.floorLines(times), &w); err != nil {
			b.Fatal(err)
		}
	})
	for b.Loop() {
	}
	b.ReportMetric(n/rowsOfPage, "allocs/row")
	b.ReportMetric(0, "ns/op")
}
