// Package store keeps the book: one log of events, the tables that follow from
// it, and the people's secrets beside it, in SQLite or PostgreSQL.
//
// Record is the only way to write what the book knows. Everything else reads,
// or serves signing in.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/google/uuid"
	"github.com/pressly/goose/v3"
	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/migrations"
)

// Options say which book to open and with what.
type Options struct {
	DB  string           // path of an SQLite file, or a postgres:// address
	Now func() time.Time // the clock; nil means time.Now
	Log *slog.Logger     // nil means slog.Default()

	// Signer is the private key of package note that signs checkpoints and
	// proof bundles, "" where nothing is to be signed.
	Signer string
}

// A Store is an open book. Its methods may be called from many goroutines.
type Store struct {
	dialect dialect
	address string
	db      *readers
	write   *sql.DB // the writer's connection, and the checkpointer's
	now     func() time.Time
	log     *slog.Logger
	signer  string

	presence *presence // nil on PostgreSQL
	watch    *watch
	zone     atomic.Pointer[time.Location]
	others   others
	recent   recent

	jobs  chan *job
	quit  chan struct{}
	ended sync.WaitGroup
	once  sync.Once
}

// Open opens the book, brings its tables up to date and starts the one writer.
func Open(ctx context.Context, o Options) (*Store, error) {
	d, err := dialectOf(o.DB)
	if err != nil {
		return nil, err
	}
	s := &Store{
		dialect: d, address: o.DB, now: o.Now, log: o.Log, signer: o.Signer,
		watch: newWatch(), jobs: make(chan *job, waiting), quit: make(chan struct{}),
	}
	if s.now == nil {
		s.now = time.Now
	}
	if s.log == nil {
		s.log = slog.Default()
	}
	if s.presence, err = enter(ctx, o.DB); err != nil {
		return nil, err
	}
	if s.write, err = sql.Open(d.driver, d.writing(o.DB)); err != nil {
		return nil, errors.Join(fmt.Errorf("opening the book: %w", err), s.Close())
	}
	s.write.SetMaxOpenConns(2)
	if err := s.begin(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// begin migrates, opens the readers and starts the writer.
func (s *Store) begin(ctx context.Context) error {
	if err := migrate(ctx, s.dialect, s.write); err != nil {
		return err
	}
	if err := s.dialect.assert(ctx, s.write); err != nil {
		return err
	}
	var err error
	if s.db, err = newReaders(s.dialect, s.address); err != nil {
		return err
	}
	conn, err := s.write.Conn(ctx)
	if err != nil {
		return fmt.Errorf("taking the writer's connection: %w", err)
	}
	s.ended.Go(func() { s.work(newSession(conn, s.dialect.pipeline)) })
	if s.dialect.checkpoint != "" {
		s.ended.Go(s.checkpointer)
	}
	return nil
}

// Close lets the writer finish what it took on and closes the book.
func (s *Store) Close() error {
	s.watch.close()
	s.once.Do(func() { close(s.quit) })
	s.ended.Wait()
	var err error
	if s.db != nil {
		err = s.db.Close()
	}
	if s.write != nil {
		err = errors.Join(err, s.write.Close())
	}
	return errors.Join(err, s.presence.leave())
}

// Now is the store's clock, in UTC and cut to microseconds, so that what is
// checked, hashed and stored is one value on both databases.
func (s *Store) Now() time.Time { return s.now().UTC().Truncate(time.Microsecond) }

// migrate brings the tables to the newest form.
func migrate(ctx context.Context, d dialect, db *sql.DB) error {
	files, err := fs.Sub(migrations.FS, d.folder)
	if err != nil {
		return fmt.Errorf("finding the migrations: %w", err)
	}
	p, err := goose.NewProvider(d.goose, db, files, goose.WithLogger(goose.NopLogger()))
	if err != nil {
		return fmt.Errorf("reading the migrations: %w", err)
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("bringing the tables up to date: %w", err)
	}
	return nil
}

// A querier is a connection, a transaction or a pool.
type querier interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// session is the writer's own connection with its statements prepared once.
type session struct {
	conn     *sql.Conn
	pipeline func(context.Context, *sql.Conn, []command) error // nil where none helps
	stmts    map[string]*preparation
	edge     map[int64]tlog.Hash // right edge of the tree, so that growing it reads little
	size     int64               // of the log after this writer's last commit
	memory
	pending
	count    map[string]int64   // of entries about subjects
	standing map[uuid.UUID]bool // ids of this batch's commands that are in the log
	changed  bool               // a command wrote something since that was set to false
}

func newSession(conn *sql.Conn, pipeline func(context.Context, *sql.Conn, []command) error) *session {
	w := &session{conn: conn, stmts: map[string]*preparation{}, standing: map[uuid.UUID]bool{}, memory: memory{written: make([]int64, len(tableNumbers))}}
	w.pipeline = pipeline
	w.forget()
	return w
}

// named finds the tables in a query, once, and notes that they are read or
// written to.
func (w *session) named(query string) *preparation {
	p, ok := w.stmts[query]
	if !ok {
		p = newPreparation(query)
		w.stmts[query] = p
	}
	w.read(p.tables)
	if p.writes >= 0 {
		w.wrote(p.writes)
		w.changed = true
	}
	return p
}

// prepare makes a query ready to run, now that it is its turn.
func (w *session) prepare(ctx context.Context, query string) (*sql.Stmt, error) {
	p := w.named(query)
	if w.awaits(p) {
		if err := w.flush(ctx); err != nil {
			return nil, err
		}
	}
	var err error
	if p.st == nil {
		p.st, err = w.conn.PrepareContext(ctx, query)
	}
	return p.st, err
}

func (w *session) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	st, err := w.prepare(ctx, query)
	if err != nil {
		return nil, err
	}
	return st.ExecContext(ctx, args...)
}

func (w *session) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	st, err := w.prepare(ctx, query)
	if err != nil {
		return nil, err
	}
	return st.QueryContext(ctx, args...)
}

func (w *session) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	st, err := w.prepare(ctx, query)
	if err != nil {
		return w.conn.QueryRowContext(ctx, query, args...) // fails again, and says why
	}
	return st.QueryRowContext(ctx, args...)
}

func (w *session) close() error {
	var errs []error
	for _, p := range w.stmts {
		if p.st != nil {
			errs = append(errs, p.st.Close())
		}
	}
	return errors.Join(append(errs, w.conn.Close())...)
}

// exec runs plain statements such as BEGIN.
func (w *session) exec(ctx context.Context, query string) error {
	_, err := w.ExecContext(ctx, query)
	return err
}

// isPostgres reports whether an address names a PostgreSQL server.
func isPostgres(address string) bool {
	return strings.HasPrefix(address, "postgres://") || strings.HasPrefix(address, "postgresql://")
}
