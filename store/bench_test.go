package store

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

	"sinterbook/store/shop"
)

// Each benchmark measures ours and its yardstick side by side, in interleaved
// rounds, and reports the median of the ratios: lone times on a shared disk
// mean nothing.

const rounds = 5

// sideBySide reports how often per second ours runs against the yardstick.
func sideBySide(b *testing.B, n int, ours, yardstick func(n int)) {
	b.Helper()
	per := func(f func(int)) float64 {
		start := time.Now()
		f(n)
		return float64(n) / time.Since(start).Seconds()
	}
	for b.Loop() {
		var ratios, mine, theirs []float64
		for range rounds {
			o, y := per(ours), per(yardstick)
			ratios, mine, theirs = append(ratios, o/y), append(mine, o), append(theirs, y)
		}
		b.ReportMetric(median(ratios), "ratio")
		b.ReportMetric(median(mine), "ours/s")
		b.ReportMetric(median(theirs), "yardstick/s")
	}
	b.ReportMetric(0, "ns/op")
}

func median(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	return s[len(s)/2]
}

// spread runs n commands from some clients at once.
func spread(b *testing.B, clients, n int, do func(i int) error) {
	var wg sync.WaitGroup
	for c := range clients {
		wg.Go(func() {
			for i := c; i < n; i += clients {
				if err := do(i); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	wg.Wait()
}

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
	bare := newGroupCommit(b)
	sideBySide(b, 4000,
		func(n int) { spread(b, 64, n, record) },
		func(n int) { spread(b, 64, n, func(int) error { return bare.put() }) })
}

// BenchmarkWriterLoopPostgres is the same loop on PostgreSQL against SQLite.
// Target: 0.8 or more.
func BenchmarkWriterLoopPostgres(b *testing.B) {
	_, lite := working(b, liteAddress(b))
	_, pg := working(b, schemaAddress(b))
	sideBySide(b, 4000, func(n int) { spread(b, 64, n, pg) }, func(n int) { spread(b, 64, n, lite) })
}

// BenchmarkOneClient is Record from one client against overwriting 4 KiB and
// syncing it. Target over HTTP: 0.4 or more.
func BenchmarkOneClient(b *testing.B) {
	_, record := working(b, liteAddress(b))
	f := syncFile(b)
	sideBySide(b, 300,
		func(n int) { spread(b, 1, n, record) },
		func(n int) {
			for range n {
				overwrite(b, f)
			}
		})
}

func syncFile(b *testing.B) *os.File {
	f, err := os.Create(filepath.Join(b.TempDir(), "sync"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { f.Close() })
	return f
}

func overwrite(b *testing.B, f *os.File) {
	if _, err := f.WriteAt(make([]byte, 4096), 0); err != nil {
		b.Fatal(err)
	}
	if err := f.Sync(); err != nil {
		b.Fatal(err)
	}
}

// groupCommit is the yardstick: the least that a group commit can be.
type groupCommit struct {
	jobs chan chan error
	text string
}

func newGroupCommit(b *testing.B) *groupCommit {
	db, err := sql.Open("sqlite", sqliteAddress(filepath.Join(b.TempDir(), "bare.db"), "journal_mode(WAL)", "cache_size(-65536)", "wal_autocheckpoint(16000)"))
	if err != nil {
		b.Fatal(err)
	}
	conn, err := db.Conn(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	g := &groupCommit{jobs: make(chan chan error, waiting), text: strings.Repeat("x", 600)}
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

func (g *groupCommit) put() error {
	done := make(chan error, 1)
	g.jobs <- done
	return <-done
}

func (g *groupCommit) work(conn *sql.Conn, st *sql.Stmt) {
	ctx := context.Background()
	for first := range g.jobs {
		batch := []chan error{first}
		for len(batch) < together {
			select {
			case j, ok := <-g.jobs:
				if !ok {
					break
				}
				batch = append(batch, j)
				continue
			default:
			}
			break
		}
		err := g.commit(ctx, conn, st, len(batch))
		for _, done := range batch {
			done <- err
		}
	}
}

func (g *groupCommit) commit(ctx context.Context, conn *sql.Conn, st *sql.Stmt, n int) error {
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
	_, err := conn.ExecContext(ctx, "COMMIT")
	if err != nil {
		return fmt.Errorf("bare commit: %w", err)
	}
	return nil
}
