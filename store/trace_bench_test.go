package store

import (
	commandline "flag"
	"testing"
	"time"

	"sinterbook/store/crowd"
	"sinterbook/store/outside"
	"sinterbook/store/shop"
	"sinterbook/store/yardstick"
)

var grownTo = commandline.Int("inserts", 2_000, "how many inserts the book has in the benchmarks of traces; 100000 and 1000000 are the sizes that are promised")

// A grown book is one with n inserts of a crowd.
type grown struct {
	*Store
	n int
}

func grow(b *testing.B, address string, n int) grown {
	b.Helper()
	s := openAt(b, address, newClock(day))
	seeded(b, s)
	opened(b, s, "I-0001")
	crowd.Into(b, address, n)
	return grown{s, n}
}

// The bare queries: what each trace must read, and nothing else.
const (
	bareForward = `SELECT i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer, min(x.at), max(x.at) FROM lot l JOIN container c ON c.lot_id = l.id JOIN draw x ON x.container_id = c.id AND x.corrected_by IS NULL
		JOIN mould_insert i ON i.id = x.insert_id JOIN design ON design.id = i.design_id JOIN customer_order o ON o.id = i.order_id LEFT JOIN mould m ON m.id = i.mould_id WHERE l.lot = $1 GROUP BY i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer ORDER BY i.serial`
	bareGauge = `SELECT i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer, min(x.at), max(x.at) FROM gauge g JOIN result x ON x.gauge_id = g.id AND x.corrected_by IS NULL AND x.at >= $2 AND x.at < $3
		JOIN mould_insert i ON i.id = x.insert_id JOIN design ON design.id = i.design_id JOIN customer_order o ON o.id = i.order_id LEFT JOIN mould m ON m.id = i.mould_id WHERE g.gauge = $1
		GROUP BY i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, m.mould, o.customer ORDER BY i.serial`
)

func tracesOf(b *testing.B, c grown) {
	serial := func(i int) string { return crowd.Insert(i * 7919 % c.n) }
	lot := func(i int) string { return crowd.Lot(i * 31 % max(1, c.n/crowd.OfLot)) }
	from := crowd.Began.Add(time.Duration(c.n/2) * crowd.Apart)
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
				yardstick.Read(b, c.db, query, args...)
			}
		})
	})
	b.Run("forward lot", func(b *testing.B) {
		yardstick.SideBySide(b, 20, func(n int) {
			for i := range n {
				c.db.seen.get(-1, "") // nothing is told again
				all, err := c.Affected(b.Context(), Thing{Kind: "lot", Number: lot(i)}, shop.Window{})
				must(len(all), err)
			}
		}, func(n int) {
			for i := range n {
				yardstick.Read(b, c.db, bareForward, lot(i))
			}
		})
	})
	b.Run("gauge in a week", func(b *testing.B) {
		yardstick.SideBySide(b, 20, func(n int) {
			for range n {
				c.db.seen.get(-1, "")
				all, err := c.Affected(b.Context(), Thing{Kind: "gauge", Number: gauge}, week)
				must(len(all), err)
			}
		}, func(n int) {
			for range n {
				yardstick.Read(b, c.db, bareGauge, gauge, stamp{week.From}, stamp{week.Until})
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
				yardstick.Read(b, c.db, closureOf(first)+"SELECT i.serial, i.status, i.next_operation, i.place, i.since_at, o.customer, second.kind, second.code FROM second JOIN mould_insert i ON i.id = second.id JOIN customer_order o ON o.id = i.order_id ORDER BY i.serial, second.kind, second.code", serial(i))
			}
		})
	})
}

func BenchmarkTraces(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { tracesOf(b, grow(b, liteAddress(b), *grownTo)) })
	b.Run("postgres", func(b *testing.B) { tracesOf(b, grow(b, outside.Schema(b), *grownTo)) })
}
