// Package crowd fills a book with many inserts, for benchmarks that ask how
// reading grows with it. The rows are written into the tables, not recorded:
// what reads them does not ask the log.
package crowd

import (
	"database/sql"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the drivers of both databases
	_ "modernc.org/sqlite"

	"sinterbook/store/shop"
)

// A crowd is what is still to be written, by table and columns.
type crowd struct {
	db    *sql.DB
	rows  map[string][]string
	args  map[string][]any
	order []string
}

// Lot is the number of the crowd's lot i, Insert that of its insert i.
func Lot(i int) string    { return fmt.Sprintf("LX-%05d", i) }
func Insert(i int) string { return fmt.Sprintf("IX-%07d", i) }

// OfLot is how many inserts a lot of the crowd has.
const OfLot = 500

// Began is when the first insert was made; another follows every Apart.
var Began = time.Date(2020, 1, 1, 6, 0, 0, 0, time.UTC)

// Apart is how long after one insert the next was made.
const Apart = 20 * time.Minute

// Into fills the book at an address (a file, or a PostgreSQL URL), which has a
// design, a route, a machine, a furnace and a gauge, with n delivered inserts:
// OfLot of a lot in five containers that are gone, six in a load and in a mould, seven
// readings each.
func Into(b *testing.B, address string, n int) {
	b.Helper()
	c := &crowd{db: open(b, address), rows: map[string][]string{}, args: map[string][]any{}}
	var design, route, machine, furnace, gauge int64
	for query, into := range map[string]*int64{"SELECT min(id) FROM design": &design, "SELECT min(id) FROM route": &route, "SELECT min(id) FROM machine": &machine, "SELECT min(id) FROM furnace": &furnace, "SELECT min(id) FROM gauge": &gauge} {
		if err := c.db.QueryRowContext(b.Context(), query).Scan(into); err != nil {
			b.Fatal(err)
		}
	}
	const first = 1_000_000_000
	id := int64(first)
	next := func() int64 { id++; return id }
	var order, lot, release, load, mould int64
	var boxes [5]int64
	for i := range n {
		at := Began.Add(time.Duration(i) * Apart).Format("2006-01-02T15:04:05.000000Z") // as the store keeps times
		if i%OfLot == 0 {
			lot, release = next(), next()
			name := Lot(i / OfLot)
			c.add("lot", "id, lot, material, made_day, expires_day, open_life_days, certificate, received_at, released_by, code", lot, name, "HT44 paste", at[:10], Began.Add(time.Duration(i)*Apart).AddDate(0, 6, 0).Format(time.DateOnly), 30, "", at, "", "")
			for k := range boxes {
				boxes[k] = next()
				c.add("container", "id, container, lot_id, mass_text, mass_unit, mass_g, opened_at, scrapped_at, code", boxes[k], fmt.Sprintf("%s/%02d", name, k+1), lot, "30000", "g", 30000.0, at, at, "")
			}
			c.add("design_release", "id, release, design_id, lot_id, machine_id, recipe, orientation, kx_text, ky_text, kz_text, evidence, program, program_sha256, supersedes, superseded_by",
				release, "DX-"+name, design, lot, machine, "SR-1340 C", "+Z up", "1.2", "1.2", "1.2", "", name+".pgm", "", "", "")
		}
		if i%6 == 0 {
			order, load, mould = next(), next(), next()
			c.add("mould", "id, mould, customer, shipped_at, code", mould, fmt.Sprintf("MX-%06d", i/6), fmt.Sprintf("K%d", i%97), at, "")
			c.add("customer_order", "id, order_no, customer, design, quantity, due_day, unit, mould_id, remark", order, fmt.Sprintf("OX-%06d", i/6), fmt.Sprintf("K%d", i%97), "CR40", 6, "2030-01-01", "mm", mould, "")
			c.add("furnace_load", "id, load, furnace_id, recipe, opened_by, door_closed_at, door_closed_by, door_opened_at, door_opened_by, code", load, fmt.Sprintf("FX-%06d", i/6), furnace, "SR-1340 C", "311", at, "311", at, "311", "")
		}
		insert := next()
		c.add("mould_insert", "id, serial, design_id, order_id, route_id, release_id, opened_at, replaces, scratch, code, status, since_at, place, carrier, load_id, position, mould_id, mould_place, next_operation, next_begun, open",
			insert, Insert(i), design, order, route, release, at, "", "", "", shop.StatusDelivered, at, fmt.Sprintf("MX-%06d at K%d", i/6, i%97), "", load, "T1", mould, fmt.Sprint(i%6), "", 0, 0)
		for step, operation := range shop.Operations {
			c.add("insert_step", "insert_id, pass, step, operation, optional, state, started_at, started_by, finished_at, finished_by", insert, 1, step+1, operation, 0, shop.Finished, at, "204", at, "204")
		}
		c.add("print", "id, insert_id, release_id, machine_id, program_sha256, carrier, kx_text, ky_text, kz_text, layers, started_at, started_by, layers_done, finished_at, finished_by",
			next(), insert, release, machine, "", fmt.Sprintf("PL-%02d", i%20), "1.2", "1.2", "1.2", 300, at, "204", 300, at, "204")
		c.add("draw", "id, container_id, insert_id, from_layer, to_layer, drawn_text, drawn_unit, drawn_g, at, by_badge", next(), boxes[i%5], insert, 1, 300, "280", "g", 280.0, at, "204")
		c.add("drying", "id, insert_id, oven, shelf, air_text, air_unit, air_c, wet_text, wet_unit, wet_g, started_at, started_by, finished_at, finished_by", next(), insert, "D1", "1", "65", "C", 65.0, "256", "g", 256.0, at, "204", at, "204")
		c.add("load_item", "load_id, insert_id, position, setter, placed_at, placed_by, scanned_out", load, insert, fmt.Sprint("T", i%6), fmt.Sprintf("ST-%02d", i%24), at, "311", 1)
		for k := range 7 {
			size := []float64{40, 30, 25, 48, 96.6, 5, 1}[k]
			if k < 3 { // as it shrank, with its scatter
				size += float64(i*7919%41-20) / 1000
				green := 1.2 * []float64{40, 30, 25}[k]
				c.add("green_size", "id, insert_id, axis, size_text, size_unit, size_mm, gauge_id, at, by_badge", next(), insert, shop.Axes[k], fmt.Sprint(green), "mm", green, gauge, at, "204")
			}
			c.add("result", "id, insert_id, characteristic, value_text, value_unit, value_base, gauge_id, purpose, verdict, at, by_badge", next(), insert, fmt.Sprint("CR40.", k+1), fmt.Sprintf("%.3f", size), "mm", size, gauge, "inspection", "pass", at, "402")
		}
		if i%2000 == 1999 || i == n-1 {
			c.flush(b)
		}
	}
	if isFile(address) { // in part and without histograms, as the book does it
		c.run(b, "PRAGMA analysis_limit = 1000; ANALYZE")
	} else {
		c.run(b, "ANALYZE")
	}
}

func isFile(address string) bool { return !strings.Contains(address, "://") }

// open opens the book beside whoever has it open. On a power cut the rows may
// be lost: they are a benchmark's.
func open(b *testing.B, address string) *sql.DB {
	b.Helper()
	driver := "pgx"
	if isFile(address) {
		driver, address = "sqlite", "file:"+(&url.URL{Path: address}).EscapedPath()+"?_pragma=busy_timeout(5000)&_pragma=synchronous(OFF)&_txlock=immediate"
	}
	db, err := sql.Open(driver, address)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	return db
}

func (c *crowd) add(table, columns string, values ...any) {
	key := table + " (" + columns + ")"
	if c.rows[key] == nil && !slices.Contains(c.order, key) {
		c.order = append(c.order, key)
	}
	var marks []string
	for range values {
		marks = append(marks, "?")
	}
	c.rows[key] = append(c.rows[key], "("+strings.Join(marks, ", ")+")")
	c.args[key] = append(c.args[key], values...)
}

// atOnce is how many rows a statement has: SQLite looks for each parameter among
// all others.
const atOnce = 40

// flush writes what was added, some rows a statement.
func (c *crowd) flush(b *testing.B) {
	b.Helper()
	for _, key := range c.order {
		rows, args := c.rows[key], c.args[key]
		for len(rows) > 0 {
			n := min(len(rows), atOnce)
			per := len(args) / len(rows)
			text, at := strings.Join(rows[:n], ", "), 0
			var numbered strings.Builder
			for _, r := range text {
				if r == '?' {
					at++
					fmt.Fprintf(&numbered, "$%d", at)
					continue
				}
				numbered.WriteRune(r)
			}
			c.run(b, "INSERT INTO "+key+" VALUES "+numbered.String(), args[:n*per]...)
			rows, args = rows[n:], args[n*per:]
		}
		c.rows[key], c.args[key] = nil, nil
	}
}

func (c *crowd) run(b *testing.B, query string, args ...any) {
	b.Helper()
	if _, err := c.db.ExecContext(b.Context(), query, args...); err != nil {
		b.Fatalf("%.120s: %v", query, err)
	}
}
