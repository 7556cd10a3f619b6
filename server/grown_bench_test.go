package server

import (
	"bytes"
	"database/sql"
	commandline "flag"
	"net/http"
	"net/http/httptest"
	"testing"

	"sinterbook/store/crowd"
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
	crowd.Into(b, book.path, *grownTo)
	db, err := sql.Open("sqlite", "file:"+book.path+"?_pragma=query_only(1)&_pragma=cache_size(-16384)")
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	return book, db
}

// bare runs a query and reads its rows.
func bare(b *testing.B, db *sql.DB, query string, args ...any) {
	rows, err := db.QueryContext(b.Context(), query, args...)
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		b.Fatal(err)
	}
	into := make([]any, len(columns))
	for i := range into {
		into[i] = new(sql.NullString)
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			b.Fatal(err)
		}
	}
	if err := rows.Err(); err != nil {
		b.Fatal(err)
	}
}

// pageAgainst measures a page with all it reads against some bare queries and
// a page of two hundred rows from memory. Target: 0.67 or more.
func pageAgainst(b *testing.B, path func(i int) string, bareQueries func(db *sql.DB, i int)) {
	book, db := grown(b)
	pages, lines := book.pages("601"), book.floorLines(0)
	var w bytes.Buffer
	yardstick.SideBySide(b, 10,
		func(n int) {
			for i := range n {
				got := httptest.NewRecorder()
				pages.ServeHTTP(got, httptest.NewRequest(http.MethodGet, path(i), nil))
				if got.Code != http.StatusOK {
					b.Fatalf("%s: %d %.300s", path(i), got.Code, got.Body)
				}
			}
		},
		func(n int) {
			for i := range n {
				bareQueries(db, i)
				w.Reset()
				if err := render(lines, &w); err != nil {
					b.Fatal(err)
				}
			}
		})
}

// lotOf is one of the crowd's lots.
func lotOf(i int) string { return crowd.Lot(i * 31 % max(1, *grownTo/crowd.OfLot)) }

// BenchmarkLotPage is the page of a lot of 500 inserts.
func BenchmarkLotPage(b *testing.B) {
	pageAgainst(b, func(i int) string { return "/lots/" + lotOf(i) }, func(db *sql.DB, i int) {
		for _, query := range []string{bareLengths, bareMade, bareMadeCount, bareBalances} {
			bare(b, db, query, lotOf(i))
		}
	})
}

// BenchmarkAskPage is the page that says what has paste of a lot in it.
func BenchmarkAskPage(b *testing.B) {
	pageAgainst(b, func(i int) string { return "/trace?q=" + lotOf(i) }, func(db *sql.DB, i int) { bare(b, db, bareAffected, lotOf(i)) })
}

// BenchmarkFloorPage is the floor with two hundred open inserts.
func BenchmarkFloorPage(b *testing.B) {
	pageAgainst(b, func(int) string { return "/floor" }, func(db *sql.DB, _ int) {
		bare(b, db, bareBoard)
		bare(b, db, bareTallies)
	})
}
