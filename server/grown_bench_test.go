package server

import (
	"bytes"
	"database/sql"
	commandline "flag"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"sinterbook/store/crowd"
	"sinterbook/store/shop"
	"sinterbook/store/yardstick"
)

var grownTo = commandline.Int("inserts", 2_000, "how many inserts the book has in the benchmarks of pages; 100000 is the size that is promised")

// The bare queries: what each page must read, and nothing else.
const (
	bareLengths = `SELECT i.serial, ch.axis, ch.nominal, p.kx_text, g.size_mm, v.value_base, v.at, f.load FROM lot l JOIN container c ON c.lot_id = l.id
		JOIN draw d ON d.container_id = c.id AND d.corrected_by IS NULL JOIN mould_insert i ON i.id = d.insert_id JOIN design ON design.id = i.design_id
		JOIN characteristic ch ON ch.design_id = i.design_id AND ch.quantity = 'length' AND ch.axis <> ''
			AND ch.nominal = CASE ch.axis WHEN 'X' THEN design.x_mm WHEN 'Y' THEN design.y_mm ELSE design.z_mm END
		JOIN result v ON v.id = (SELECT max(q.id) FROM result q WHERE q.insert_id = i.id AND q.characteristic = ch.number AND q.purpose = 'inspection' AND q.corrected_by IS NULL)
		JOIN green_size g ON g.id = (SELECT max(q.id) FROM green_size q WHERE q.insert_id = i.id AND q.axis = ch.axis AND q.corrected_by IS NULL)
		JOIN print p ON p.id = (SELECT max(q.id) FROM print q WHERE q.insert_id = i.id)
		LEFT JOIN furnace_load f ON f.id = (SELECT max(q.load_id) FROM load_item q WHERE q.insert_id = i.id)
		WHERE l.lot = $1 ORDER BY v.id`
	bareMade = `SELECT i.id, i.serial, design.design, i.status, i.since_at, i.place, sum(draw.drawn_g) FROM lot JOIN container c ON c.lot_id = lot.id
		JOIN draw ON draw.container_id = c.id AND draw.corrected_by IS NULL JOIN mould_insert i ON i.id = draw.insert_id JOIN design ON design.id = i.design_id
		WHERE lot.lot = $1 GROUP BY i.id, i.serial, design.design, i.status, i.since_at, i.place ORDER BY i.id LIMIT 200`
	bareMadeCount = `SELECT count(DISTINCT draw.insert_id) FROM lot JOIN container c ON c.lot_id = lot.id JOIN draw ON draw.container_id = c.id AND draw.corrected_by IS NULL WHERE lot.lot = $1`
	bareBalances  = `SELECT c.container, c.mass_g, sum(draw.drawn_g), count(*) FROM lot JOIN container c ON c.lot_id = lot.id LEFT JOIN draw ON draw.container_id = c.id AND draw.corrected_by IS NULL
		WHERE lot.lot = $1 GROUP BY c.container, c.mass_g ORDER BY c.container`
	bareAffected = `SELECT i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer, min(x.at), max(x.at) FROM lot l JOIN container c ON c.lot_id = l.id
		JOIN draw x ON x.container_id = c.id AND x.corrected_by IS NULL JOIN mould_insert i ON i.id = x.insert_id JOIN design ON design.id = i.design_id
		JOIN customer_order o ON o.id = i.order_id LEFT JOIN mould m ON m.id = i.mould_id
		WHERE l.lot = $1 GROUP BY i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer ORDER BY i.serial`
	bareBoard = `SELECT i.id, i.serial, design.design, design.name, o.order_no, o.due_day, o.customer, i.status, i.since_at, i.place, i.next_operation, i.next_begun
		FROM mould_insert i JOIN design ON design.id = i.design_id JOIN customer_order o ON o.id = i.order_id WHERE i.open = 1 ORDER BY i.id LIMIT 200`
	bareTallies = "SELECT status, count(*) FROM mould_insert WHERE open = 1 GROUP BY status"
)

// grown is a book with two hundred open inserts and many delivered ones, and
// its file.
func grown(b *testing.B) (*bookTest, *sql.DB) {
	b.Helper()
	book := crowded(b)
	book.put("101", shop.ReleaseAssigned{Insert: "I-1000", Release: "DR-02 A"})
	book.put("204", shop.PrintStarted{Insert: "I-1000", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: "PL-01",
		KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304})
	crowd.Into(b, book.path, *grownTo)
	db, err := sql.Open("sqlite", "file:"+book.path+"?_pragma=query_only(1)&_pragma=cache_size(-16384)")
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	return book, db
}

// BenchmarkGrownPages measures pages of a book of many inserts, with all they
// read, against some bare queries and a page of two hundred rows from memory.
// Target: 0.67 or more. What was read is told again until the log grows; so each
// page is also measured where an entry came in between.
func BenchmarkGrownPages(b *testing.B) {
	book, db := grown(b)
	pages, lines := book.pages("601"), book.floorLines(0)
	var w bytes.Buffer
	lot := func(i int) string { return crowd.Lot(i * 31 % max(1, *grownTo/crowd.OfLot)) }
	for _, page := range []struct {
		name  string
		path  func(i int) string
		reads []string
	}{
		{"lot", func(i int) string { return "/lots/" + lot(i) }, []string{bareLengths, bareMade, bareMadeCount, bareBalances}},
		{"ask", func(i int) string { return "/trace?q=" + lot(i) }, []string{bareAffected}},
		{"floor", func(int) string { return "/floor" }, []string{bareBoard, bareTallies}},
	} {
		get := func(i int) {
			got := httptest.NewRecorder()
			pages.ServeHTTP(got, httptest.NewRequest(http.MethodGet, page.path(i), nil))
			if got.Code != http.StatusOK {
				b.Fatalf("%s: %d %.300s", page.path(i), got.Code, got.Body)
			}
		}
		bareOf := func(i int) {
			for _, query := range page.reads {
				var args []any
				if strings.Contains(query, "$1") {
					args = append(args, lot(i))
				}
				yardstick.Read(b, db, query, args...)
			}
			w.Reset()
			if err := render(lines, &w); err != nil {
				b.Fatal(err)
			}
		}
		for _, between := range []struct {
			name string
			put  func()
		}{
			{"nothing recorded", func() {}},
			{"after an entry", func() { book.put("204", shop.LayersMade{Insert: "I-1000", FromLayer: 1, ToLayer: 5}) }},
		} {
			b.Run(page.name+"/"+between.name, func(b *testing.B) {
				var ratios []float64
				for b.Loop() {
					for range yardstick.Rounds {
						var ours, theirs time.Duration
						for i := range 10 {
							between.put()
							start := time.Now()
							get(i)
							ours += time.Since(start)
							start = time.Now()
							bareOf(i)
							theirs += time.Since(start)
						}
						ratios = append(ratios, theirs.Seconds()/ours.Seconds())
					}
				}
				b.ReportMetric(yardstick.Median(ratios), "ratio")
				b.ReportMetric(0, "ns/op")
			})
		}
	}
}
