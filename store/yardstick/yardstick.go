// Package yardstick is what benchmarks measure against. Each runs the program
// and a few lines of plain library code in interleaved rounds and reports the
// median of the ratios: lone times on a shared disk mean nothing.
package yardstick

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	_ "modernc.org/sqlite" // the bare driver
)

// Rounds is how often both are measured, in turn.
const Rounds = 5

// SideBySide reports how often per second ours runs against the yardstick:
// ratio is ours over the yardstick, above one is faster. Each is called with
// the number of times to run.
func SideBySide(b *testing.B, n int, ours, yardstick func(n int)) {
	b.Helper()
	per := func(f func(int)) float64 {
		start := time.Now()
		f(n)
		return float64(n) / time.Since(start).Seconds()
	}
	for b.Loop() {
		var ratios, mine, theirs []float64
		for range Rounds {
			o, y := per(ours), per(yardstick)
			ratios, mine, theirs = append(ratios, o/y), append(mine, o), append(theirs, y)
		}
		b.ReportMetric(Median(ratios), "ratio")
		b.ReportMetric(Median(mine), "ours/s")
		b.ReportMetric(Median(theirs), "yardstick/s")
	}
	b.ReportMetric(0, "ns/op")
}

// Read runs a bare query and reads its rows, as text.
func Read(b *testing.B, db interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}, query string, args ...any) {
	b.Helper()
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

// Median is the middle one of some numbers.
func Median(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	return s[len(s)/2]
}

// Spread runs n commands from some clients at once and returns how long each
// took.
func Spread(b *testing.B, clients, n int, do func(i int) error) []time.Duration {
	b.Helper()
	took := make([]time.Duration, n)
	var wg sync.WaitGroup
	for c := range clients {
		wg.Go(func() {
			for i := c; i < n; i += clients {
				start := time.Now()
				if err := do(i); err != nil {
					b.Error(err)
					return
				}
				took[i] = time.Since(start)
			}
		})
	}
	wg.Wait()
	return took
}

// P99 is the time that one in a hundred exceeds.
func P99(took []time.Duration) time.Duration {
	s := slices.Sorted(slices.Values(took))
	return s[len(s)*99/100]
}

// Synced is a function that overwrites 4 KiB of a file and syncs it.
func Synced(b *testing.B) func() {
	b.Helper()
	f, err := os.Create(filepath.Join(b.TempDir(), "sync"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { f.Close() })
	return func() {
		if _, err := f.WriteAt(make([]byte, 4096), 0); err != nil {
			b.Fatal(err)
		}
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
	}
}

// A GroupCommit is the least that a durable group commit in SQLite can be:
// each command is a savepoint with one row.
type GroupCommit struct {
	jobs chan chan error
	text string
}

const (
	waiting  = 1024
	together = 128
)

// NewGroupCommit starts one with rows of 600 characters.
func NewGroupCommit(b *testing.B) *GroupCommit {
	b.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(b.TempDir(), "bare.db")+
		"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=cache_size(-65536)&_pragma=wal_autocheckpoint(16000)")
	if err != nil {
		b.Fatal(err)
	}
	conn, err := db.Conn(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	g := &GroupCommit{jobs: make(chan chan error, waiting), text: strings.Repeat("x", 600)}
	if _, err := conn.ExecContext(b.Context(), "CREATE TABLE entry (seq INTEGER PRIMARY KEY, id BLOB NOT NULL UNIQUE, kind TEXT NOT NULL, payload TEXT NOT NULL) STRICT"); err != nil {
		b.Fatal(err)
	}
	st, err := conn.PrepareContext(b.Context(), "INSERT INTO entry (id, kind, payload) VALUES ($1, $2, $3)")
	if err != nil {
		b.Fatal(err)
	}
	var ended sync.WaitGroup
	ended.Go(func() { g.work(conn, st) })
	b.Cleanup(func() { close(g.jobs); ended.Wait(); st.Close(); conn.Close(); db.Close() })
	return g
}

// Put stores one row durably.
func (g *GroupCommit) Put() error {
	done := make(chan error, 1)
	g.jobs <- done
	return <-done
}

func (g *GroupCommit) work(conn *sql.Conn, st *sql.Stmt) {
	for first := range g.jobs {
		batch := g.gather(first)
		err := g.commit(context.Background(), conn, st, len(batch))
		for _, done := range batch {
			done <- err
		}
	}
}

func (g *GroupCommit) gather(first chan error) []chan error {
	batch := []chan error{first}
	for len(batch) < together {
		select {
		case j, ok := <-g.jobs:
			if !ok {
				return batch
			}
			batch = append(batch, j)
		default:
			return batch
		}
	}
	return batch
}

func (g *GroupCommit) commit(ctx context.Context, conn *sql.Conn, st *sql.Stmt, n int) error {
	if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return err
	}
	for range n {
		if _, err := conn.ExecContext(ctx, "SAVEPOINT one"); err != nil {
			return err
		}
		id := uuid.Must(uuid.NewV7())
		if _, err := st.ExecContext(ctx, id[:], "layers-made", g.text); err != nil {
			return err
		}
		if _, err := conn.ExecContext(ctx, "RELEASE SAVEPOINT one"); err != nil {
			return err
		}
	}
	if _, err := conn.ExecContext(ctx, "COMMIT"); err != nil {
		return fmt.Errorf("bare commit: %w", err)
	}
	return nil
}
