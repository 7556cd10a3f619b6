package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"sinterbook/store/shop"
)

// A presence says that a book in SQLite is in use. It is a lock on an empty
// SQLite database beside the book, so that it can be had also where the book
// itself is damaged, and ends with the program, however that ends.
type presence struct {
	db   *sql.DB
	conn *sql.Conn
}

// lockOf is the file beside a book that carries the locks.
func lockOf(book string) string { return book + "-lock" }

// enter shares the book with others who enter it; it is ErrBusy while somebody
// has it alone. A book in PostgreSQL needs no presence.
func enter(ctx context.Context, book string) (*presence, error) {
	if isPostgres(book) {
		return nil, nil
	}
	p, err := lock(ctx, book, "BEGIN", "SELECT count(*) FROM sqlite_master") // a read lock begins with reading
	if errors.Is(kindOf(err), shop.ErrBusy) {
		return nil, &shop.Refusal{Kind: shop.ErrBusy, Why: "The book at " + book + " is being restored. Try again when that is done."}
	}
	if err != nil {
		return nil, err
	}
	if err := ownersOnly(book); err != nil {
		return nil, errors.Join(err, p.leave())
	}
	return p, nil
}

// ownersOnly makes a file that only its owner can read, unless it is there:
// SQLite would let everybody read it, and what it puts beside it is as open as
// the file itself.
func ownersOnly(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("opening the book: %w", err)
	}
	return f.Close()
}

// alone keeps everybody else out; it is ErrBusy while somebody is in.
func alone(ctx context.Context, book string) (*presence, error) {
	p, err := lock(ctx, book, "BEGIN EXCLUSIVE")
	if errors.Is(kindOf(err), shop.ErrBusy) {
		return nil, &shop.Refusal{Kind: shop.ErrBusy, Why: "The book at " + book + " is in use. Stop the service first; nothing was changed."}
	}
	return p, err
}

func lock(ctx context.Context, book string, statements ...string) (*presence, error) {
	if err := ownersOnly(lockOf(book)); err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite", sqliteAddress(lockOf(book), "busy_timeout(1000)", "journal_mode(DELETE)"))
	if err != nil {
		return nil, fmt.Errorf("locking the book: %w", err)
	}
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, fmt.Errorf("locking the book: %w", errors.Join(err, db.Close()))
	}
	p := &presence{db: db, conn: conn}
	for _, query := range statements {
		if _, err := conn.ExecContext(ctx, query); err != nil {
			return nil, fmt.Errorf("locking the book: %w", errors.Join(err, p.leave()))
		}
	}
	return p, nil
}

// leave gives the lock back; once more is no harm.
func (p *presence) leave() error {
	if p == nil {
		return nil
	}
	if err := p.conn.Close(); err != nil && !errors.Is(err, sql.ErrConnDone) {
		return errors.Join(err, p.db.Close())
	}
	return p.db.Close()
}
