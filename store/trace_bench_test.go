package store

import (
	"context"
	"database/sql"
	commandline "flag"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
	"sinterbook/store/yardstick"
)

var grownTo = commandline.Int("inserts", 2_000, "how many inserts the book has in the benchmarks of traces; 100000 and 1000000 are the sizes that are promised")

// A crowd is a book with many inserts, written into the tables as rows: what
// reads them does not ask the log.
type crowd struct {
	*Store
	n     int
	rows  map[string][]string
	args  map[string][]any
	order []string
}

// grown fills a book with n delivered inserts: 500 of a lot in five containers,
// six in a load and in a mould, seven readings each.
func grown(b *testing.B, s *Store, n int) *crowd {
	b.Helper()
	seeded(b, s)
	opened(b, s, "I-0001")
	c := &crowd{Store: s, n: n, rows: map[string][]string{}, args: map[string][]any{}}
	var design, route, machine, furnace, gauge int64
	for query, into := range map[string]*int64{"SELECT min(id) FROM design": &design, "SELECT min(id) FROM route": &route, "SELECT min(id) FROM machine": &machine, "SELECT min(id) FROM furnace": &furnace, "SELECT min(id) FROM gauge": &gauge} {
		if err := s.db.QueryRowContext(b.Context(), query).Scan(into); err != nil {
			b.Fatal(err)
		}
	}
	const first = 1_000_000_000
	id := int64(first)
	next := func() int64 { id++; return id }
	began := time.Date(2024, 1, 1, 6, 0, 0, 0, time.UTC)
	var order, lot, release, load, mould int64
	var boxes [5]int64
	for i := range n {
		at := stamp{began.Add(time.Duration(i) * 20 * time.Minute)}
		if i%500 == 0 {
			lot, release = next(), next()
			name := fmt.Sprintf("LX-%05d", i/500)
			c.add("lot", "id, lot, material, made_day, expires_day, open_life_days, certificate, received_at, released_by, code", lot, name, "HT44 paste", "2024-01-01", "2030-01-01", 30, "", at, "", "")
			for k := range boxes {
				boxes[k] = next()
				c.add("container", "id, container, lot_id, mass_text, mass_unit, mass_g, opened_at, code", boxes[k], fmt.Sprintf("%s/%02d", name, k+1), lot, "2500", "g", 2500.0, at, "")
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
			insert, fmt.Sprintf("IX-%07d", i), design, order, route, release, at, "", "", "", shop.StatusDelivered, at, fmt.Sprintf("MX-%06d at K%d", i/6, i%97), "", load, "T1", mould, fmt.Sprint(i%6), "", 0, 0)
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
	for _, statement := range []string{"ANALYZE"} {
		c.run(b, statement)
	}
	return c
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

// flush writes what was added, many rows a statement.
func (c *crowd) flush(b *testing.B) {
	b.Helper()
	for _, key := range c.order {
		rows, args := c.rows[key], c.args[key]
		for len(rows) > 0 {
			n := min(len(rows), 400)
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
	err := c.submit(context.WithoutCancel(b.Context()), func(ctx context.Context, w *session, _ *int64) error {
		_, err := w.ExecContext(ctx, query, args...)
		return err
	})
	if err != nil {
		b.Fatalf("%.120s: %v", query, err)
	}
}

// bare runs a query and reads its rows.
func (c *crowd) bare(b *testing.B, query string, args ...any) {
	rows, err := c.db.QueryContext(b.Context(), query, args...)
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

// The bare queries: what each trace must read, and nothing else.
const (
	bareForward = `SELECT i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer, min(x.at), max(x.at) FROM lot l JOIN container c ON c.lot_id = l.id JOIN draw x ON x.container_id = c.id AND x.corrected_by IS NULL
		JOIN mould_insert i ON i.id = x.insert_id JOIN design ON design.id = i.design_id JOIN customer_order o ON o.id = i.order_id LEFT JOIN mould m ON m.id = i.mould_id WHERE l.lot = $1 GROUP BY i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer ORDER BY i.serial`
	bareGauge = `SELECT i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer, min(x.at), max(x.at) FROM gauge g JOIN result x ON x.gauge_id = g.id AND x.corrected_by IS NULL AND x.at >= $2 AND x.at < $3
		JOIN mould_insert i ON i.id = x.insert_id JOIN design ON design.id = i.design_id JOIN customer_order o ON o.id = i.order_id LEFT JOIN mould m ON m.id = i.mould_id WHERE g.gauge = $1
		GROUP BY i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer ORDER BY i.serial`
)

func tracesOf(b *testing.B, c *crowd) {
	serial := func(i int) string { return fmt.Sprintf("IX-%07d", i*7919%c.n) }
	lot := func(i int) string { return fmt.Sprintf("LX-%05d", i*31%max(1, c.n/500)) }
	from := time.Date(2024, 1, 1, 6, 0, 0, 0, time.UTC).Add(time.Duration(c.n/2) * 20 * time.Minute)
	week := shop.Window{From: from, Until: from.AddDate(0, 0, 7)}
	gauge, err := one("gauge", "", word, c.db.QueryRowContext(b.Context(), "SELECT gauge FROM gauge ORDER BY id LIMIT 1"))
	if err != nil {
		b.Fatal(err)
	}
	must := func(n int, err error) {
		if err != nil || n == 0 {
			b.Fatalf("%d found, %v", n, err)
		}
	}
	b.Run("backward", func(b *testing.B) {
		ids := map[string]int64{}
		for i := range 50 {
			id, err := thing(b.Context(), c.db, "insert", serial(i))
			if err != nil {
				b.Fatal(err)
			}
			ids[serial(i)] = id
		}
		yardstick.SideBySide(b, 50, func(n int) {
			for i := range n {
				t, err := c.Trace(b.Context(), Thing{Kind: "insert", Number: serial(i)}, shop.Window{})
				must(len(t.Upstream), err)
			}
		}, func(n int) {
			for i := range n {
				query, args := behind(ids[serial(i)], shop.Window{})
				c.bare(b, query, args...)
			}
		})
	})
	b.Run("forward lot", func(b *testing.B) {
		yardstick.SideBySide(b, 20, func(n int) {
			for i := range n {
				all, err := c.Affected(b.Context(), Thing{Kind: "lot", Number: lot(i)}, shop.Window{})
				must(len(all), err)
			}
		}, func(n int) {
			for i := range n {
				c.bare(b, bareForward, lot(i))
			}
		})
	})
	b.Run("gauge in a week", func(b *testing.B) {
		yardstick.SideBySide(b, 20, func(n int) {
			for range n {
				all, err := c.Affected(b.Context(), Thing{Kind: "gauge", Number: gauge}, week)
				must(len(all), err)
			}
		}, func(n int) {
			for range n {
				c.bare(b, bareGauge, gauge, stamp{week.From}, stamp{week.Until})
			}
		})
	})
	b.Run("two hops", func(b *testing.B) {
		first := "SELECT id FROM mould_insert WHERE serial = $1"
		yardstick.SideBySide(b, 10, func(n int) {
			for i := range n {
				all, err := c.Sharing(b.Context(), Thing{Kind: "insert", Number: serial(i)}, shop.Window{})
				must(len(all), err)
			}
		}, func(n int) {
			for i := range n {
				c.bare(b, closureOf(first)+"SELECT i.serial, i.status, i.next_operation, i.place, i.since_at, o.customer, second.kind, second.code FROM second JOIN mould_insert i ON i.id = second.id JOIN customer_order o ON o.id = i.order_id ORDER BY i.serial, second.kind, second.code", serial(i))
			}
		})
	})
}

func BenchmarkTraces(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { tracesOf(b, grown(b, openAt(b, liteAddress(b), newClock(day)), *grownTo)) })
	b.Run("postgres", func(b *testing.B) { tracesOf(b, grown(b, openAt(b, outside.Schema(b), newClock(day)), *grownTo)) })
}
