package store

import (
	"context"
	"testing"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
	"sinterbook/store/yardstick"
)

// working is a seeded book with an insert under print, and a command that a
// station sends all day: layers made.
func working(b *testing.B, address string) (*Store, func(i int) error) {
	s := openAt(b, address, newClock(day))
	seeded(b, s)
	opened(b, s, "I-0001")
	put(b, s, "204", printStart("I-0001", "PL-01"))
	return s, func(i int) error {
		_, err := s.Record(context.Background(), entryBy("204", shop.LayersMade{Insert: "I-0001", FromLayer: 1 + i, ToLayer: 5 + i, Dried: shop.MustReading("90", "s")}))
		return err
	}
}

// BenchmarkWriterLoop is Record from 64 clients against a bare group commit of
// rows of the same size through the same driver. Target: 0.6 or more.
func BenchmarkWriterLoop(b *testing.B) {
	_, record := working(b, liteAddress(b))
	bare := yardstick.NewGroupCommit(b)
	yardstick.SideBySide(b, 4000,
		func(n int) { yardstick.Spread(b, 64, n, record) },
		func(n int) { yardstick.Spread(b, 64, n, func(int) error { return bare.Put() }) })
}

// BenchmarkWriterLoopPostgres is the same loop on PostgreSQL against SQLite.
// Target: 0.8 or more.
func BenchmarkWriterLoopPostgres(b *testing.B) {
	_, lite := working(b, liteAddress(b))
	_, pg := working(b, outside.Schema(b))
	yardstick.SideBySide(b, 4000, func(n int) { yardstick.Spread(b, 64, n, pg) }, func(n int) { yardstick.Spread(b, 64, n, lite) })
}

// BenchmarkOneClient is Record from one client against overwriting 4 KiB and
// syncing it. Target over HTTP: 0.4 or more.
func BenchmarkOneClient(b *testing.B) {
	_, record := working(b, liteAddress(b))
	synced := yardstick.Synced(b)
	yardstick.SideBySide(b, 300,
		func(n int) { yardstick.Spread(b, 1, n, record) },
		func(n int) {
			for range n {
				synced()
			}
		})
}
