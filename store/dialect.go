package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib" // driver pgx
	"github.com/pressly/goose/v3"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
	zombiezen "zombiezen.com/go/sqlite"

	"sinterbook/store/shop"
)

// A dialect is all that differs between the two databases.
type dialect struct {
	driver     string
	folder     string // of the migrations
	goose      goose.Dialect
	begin      string // opens a writing transaction
	checkpoint string // statement of the checkpointer, "" where the server has its own
	plan       string // statement that looks how many rows there are, so that queries are planned well; "" where the server does by itself
	writing    func(address string) string
	reading    func(address string) string
	direct     func(address string, n int) *direct // reads rows faster than database/sql does; nil where there is none
	assert     func(context.Context, *sql.DB) error

	// pipeline runs statements in one round trip; nil where there is none to save.
	pipeline func(context.Context, *sql.Conn, []command) error
}

// A command is a statement whose result is not waited for.
type command struct {
	query string
	args  []any
}

func dialectOf(address string) (dialect, error) {
	switch {
	case address == "":
		return dialect{}, fmt.Errorf("no database was named")
	case isPostgres(address):
		return dialect{
			driver: "pgx", folder: "postgres", goose: goose.DialectPostgres, begin: "BEGIN",
			writing: func(a string) string { return a }, reading: func(a string) string { return a },
			assert: func(ctx context.Context, db *sql.DB) error { return db.PingContext(ctx) }, pipeline: pipelined,
		}, nil
	}
	return dialect{
		driver: "sqlite", folder: "sqlite", goose: goose.DialectSQLite3, begin: "BEGIN IMMEDIATE",
		checkpoint: "PRAGMA wal_checkpoint(PASSIVE)",
		plan:       "PRAGMA analysis_limit = 1000; PRAGMA optimize = 0x10002", // all tables that grew much since it looked, each in part and without histograms
		writing: func(path string) string {
			return sqliteAddress(path, "journal_mode(WAL)", "cache_size(-65536)", "wal_autocheckpoint(16000)")
		},
		reading: func(path string) string { return sqliteAddress(path, forReaders...) },
		direct: func(path string, n int) *direct {
			return newDirect(fileOf(path), append(slices.Clone(pragmas), forReaders...), n)
		},
		assert: assertSQLite,
	}, nil
}

// pipelined sends statements to PostgreSQL together; those behind one that fails
// are not run.
func pipelined(ctx context.Context, conn *sql.Conn, statements []command) error {
	var batch pgx.Batch
	for _, st := range statements {
		batch.Queue(st.query, st.args...)
	}
	return conn.Raw(func(c any) error { return c.(*stdlib.Conn).Conn().SendBatch(ctx, &batch).Close() })
}

// What every connection to SQLite is told, and what a reader's is told further.
var (
	pragmas    = []string{"busy_timeout(5000)", "foreign_keys(1)", "synchronous(FULL)", "temp_store(MEMORY)", "mmap_size(0)"}
	forReaders = []string{"cache_size(-16384)", "query_only(1)"}
)

// sqliteAddress puts the pragmas into the address, where every connection of
// the pool gets them.
func sqliteAddress(path string, further ...string) string {
	v := url.Values{"_txlock": {"immediate"}}
	for _, p := range append(slices.Clone(pragmas), further...) {
		v.Add("_pragma", p)
	}
	return fileOf(path) + "?" + v.Encode()
}

// fileOf is the address of a file in the form that SQLite reads.
func fileOf(path string) string { return "file:" + (&url.URL{Path: path}).EscapedPath() }

// assertSQLite reads back the pragmas on which "acknowledged means durable"
// rests, since drivers differ in what they make of an address.
func assertSQLite(ctx context.Context, db *sql.DB) error {
	for _, p := range []struct{ name, want string }{{"journal_mode", "wal"}, {"synchronous", "2"}, {"foreign_keys", "1"}} {
		var got string
		if err := db.QueryRowContext(ctx, "PRAGMA "+p.name).Scan(&got); err != nil {
			return fmt.Errorf("reading pragma %s: %w", p.name, err)
		}
		if !strings.EqualFold(got, p.want) {
			return fmt.Errorf("the database opened with %s %s, not %s", p.name, got, p.want)
		}
	}
	return nil
}

// kindOf turns a driver's error into one of the shop's kinds. It is the only
// code that looks inside one; nil means that the error is no kind of no.
func kindOf(err error) error {
	if lite, ok := liteCode(err); ok {
		switch lite {
		case sqlite3.SQLITE_CONSTRAINT_UNIQUE, sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY:
			return shop.ErrConflict
		case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_BUSY_SNAPSHOT, sqlite3.SQLITE_LOCKED:
			return shop.ErrBusy
		}
	}
	if pg, ok := errors.AsType[*pgconn.PgError](err); ok {
		switch pg.Code {
		case "23505":
			return shop.ErrConflict
		case "40001", "40P01":
			return shop.ErrBusy
		}
	}
	if errors.Is(err, sql.ErrNoRows) {
		return shop.ErrNotFound
	}
	return nil
}

// liteCode is SQLite's extended result code of an error of either of its drivers.
func liteCode(err error) (int, bool) {
	if lite, ok := errors.AsType[*sqlite.Error](err); ok {
		return lite.Code(), true
	}
	code := zombiezen.ErrCode(err)
	return int(code), code != zombiezen.ResultOK && code != zombiezen.ResultError
}

// damaged turns what a driver says of a database that is broken, or is none of
// ours, into a *Finding, and leaves all else as it is.
func damaged(err error) error {
	if lite, ok := liteCode(err); ok {
		switch lite & 0xff { // without the details
		case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
			return errors.Join(found("The database is damaged: %v.", err), err)
		case sqlite3.SQLITE_ERROR:
			return errors.Join(found("The database is not a book of this program: %v.", err), err)
		}
	}
	if pg, ok := errors.AsType[*pgconn.PgError](err); ok && pg.Code == "42P01" { // no such table
		return errors.Join(found("The database is not a book of this program: %s.", pg.Message), err)
	}
	return err
}

// stampForm is RFC 3339 of one width, so that text sorts as time does.
const stampForm = "2006-01-02T15:04:05.000000Z"

// stamp carries a time to and from both databases. The zero time is NULL.
type stamp struct{ time.Time }

// Value is fixed-width text, which PostgreSQL takes for a TIMESTAMPTZ too.
func (t stamp) Value() (driver.Value, error) {
	if t.IsZero() {
		return nil, nil
	}
	return t.UTC().Format(stampForm), nil
}

// Scan reads the text or the time that a driver gives.
func (t *stamp) Scan(v any) error {
	switch v := v.(type) {
	case nil:
		t.Time = time.Time{}
	case time.Time:
		t.Time = v.UTC()
	case string:
		at, err := time.Parse(stampForm, v)
		if err != nil {
			return fmt.Errorf("a time in the book: %w", err)
		}
		t.Time = at
	default:
		return fmt.Errorf("a time in the book is a %T", v)
	}
	return nil
}

// reading carries a shop.Reading through its three columns; the unit and the
// value are NULL where nothing was measured.
type readingColumns struct {
	text, unit sql.NullString
	base       sql.NullFloat64
}

func (c *readingColumns) scan() []any { return []any{&c.text, &c.unit, &c.base} }

// reading builds the reading back from its text and unit.
func (c *readingColumns) reading() (shop.Reading, error) {
	if !c.text.Valid {
		return shop.Reading{}, nil
	}
	return shop.ReadingOf(c.text.String, c.unit.String)
}

// columns is a reading as the three values of its columns.
func columns(r shop.Reading) [3]any {
	if !r.Taken() {
		return [3]any{}
	}
	return [3]any{r.Text, r.Unit, r.Value()}
}
