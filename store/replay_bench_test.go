package store

import (
	"database/sql"
	"fmt"
	"testing"

	"sinterbook/store/shop"
	"sinterbook/store/yardstick"
)

// busy is a book in which many inserts went from their release into a mould.
func busy(b *testing.B) *Store {
	b.Helper()
	s := openAt(b, liteAddress(b), newClock(day))
	seeded(b, s)
	for i := range 60 {
		inspected(b, s, i)
	}
	return s
}

// inspected takes one insert from its traveler to the end of its inspection.
func inspected(b *testing.B, s *Store, i int) {
	b.Helper()
	insert, load := fmt.Sprintf("I-%04d", i+1), fmt.Sprintf("F1-%02d", i+1)
	opened(b, s, insert)
	put(b, s, "204", printStart(insert, "PL-01"))
	for from := 1; from <= 300; from += 30 {
		put(b, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: insert, FromLayer: from, ToLayer: from + 29, Drawn: gram("4.1")})
		put(b, s, "204", shop.LayersMade{Insert: insert, FromLayer: from, ToLayer: from + 29, Dried: shop.MustReading("90", "s"), Pass: 1 + from/30, Cutter: "CU-11", Probe: mm("0.501")})
	}
	put(b, s, "204", shop.PrintFinished{Insert: insert, LayersDone: 300, Printed: gram("40.3")})
	put(b, s, "204", shop.DryingStarted{Insert: insert, Oven: "D1", Shelf: "2", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")})
	dryOut(b, s, insert)
	put(b, s, "311", shop.LoadOpened{Load: load, Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
	put(b, s, "311", shop.LoadPlaced{Load: load, Insert: insert, Position: "T1"})
	put(b, s, "311", shop.LoadClosed{Load: load})
	put(b, s, "311", shop.LoadUnloaded{Load: load, Inserts: []string{insert}})
	put(b, s, "311", shop.TemperingStarted{Insert: insert, Recipe: "TR-590 A", Oven: "H1"})
	put(b, s, "311", shop.TemperingFinished{Insert: insert})
	put(b, s, "402", shop.ResultRecorded{Insert: insert, Characteristic: "CR40.1", Value: mm("39.987"), Gauge: "M-12", Purpose: "inspection"})
	put(b, s, "402", shop.ResultRecorded{Insert: insert, Characteristic: "CR40.2", Value: shop.MustReading("48.1", "HRC"), Gauge: "HT-1", Purpose: "inspection"})
	put(b, s, "402", shop.InspectionFinished{Insert: insert})
}

// BenchmarkRebuild is Rebuild against the bare insertion of the rows that it
// makes, by prepared statements in one durable transaction through the same
// driver, after the same rows were deleted. Target: 0.5 or more.
func BenchmarkRebuild(b *testing.B) {
	s := busy(b)
	bare := newBare(b, s)
	yardstick.SideBySide(b, 1, func(int) { rebuilt(b, s) }, func(int) { bare.insert(b) })
	b.ReportMetric(float64(size(b, s)), "entries")
	b.ReportMetric(float64(bare.rows), "rows")
}

// BenchmarkVerify is Verify against Rebuild alone. Target: 0.5 or more, which
// is twice the time at the most.
func BenchmarkVerify(b *testing.B) {
	s := busy(b)
	yardstick.SideBySide(b, 1, func(int) {
		if _, err := s.Verify(b.Context(), nil); err != nil {
			b.Fatal(err)
		}
	}, func(int) { rebuilt(b, s) })
}

func rebuilt(b *testing.B, s *Store) {
	if _, err := s.Rebuild(b.Context(), nil); err != nil {
		b.Fatal(err)
	}
}

// A bare book gets the rows of another one and nothing else.
type bare struct {
	db     *sql.DB
	tables []rowsOf
	rows   int
}

func newBare(b *testing.B, from *Store) *bare {
	b.Helper()
	path := liteAddress(b)
	db, err := sql.Open("sqlite", sqliteAddress(path, "journal_mode(WAL)", "cache_size(-65536)", "wal_autocheckpoint(16000)"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	if err := migrate(b.Context(), from.dialect, db); err != nil {
		b.Fatal(err)
	}
	x := &bare{db: db}
	for _, name := range projected {
		t, err := allRows(b.Context(), from.db, name)
		if err != nil {
			b.Fatal(err)
		}
		x.tables, x.rows = append(x.tables, t), x.rows+len(t.rows)
	}
	return x
}

func (x *bare) insert(b *testing.B) {
	tx, err := x.db.Begin()
	if err != nil {
		b.Fatal(err)
	}
	defer tx.Rollback()
	for i := range x.tables {
		if _, err := tx.Exec("DELETE FROM " + x.tables[len(x.tables)-1-i].table); err != nil {
			b.Fatal(err)
		}
	}
	for _, t := range x.tables {
		st, err := tx.Prepare(t.insert)
		if err != nil {
			b.Fatal(err)
		}
		for _, row := range t.rows {
			if _, err := st.Exec(row...); err != nil {
				b.Fatal(err)
			}
		}
	}
	if err := tx.Commit(); err != nil {
		b.Fatal(err)
	}
}
