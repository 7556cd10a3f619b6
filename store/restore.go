package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Restored says what a restore did.
type Restored struct {
	Report
	Aside string // where the book that stood before is now, "" if none stood
}

// Restore puts a backup in the place of the book at o.DB, which nobody may have
// open. It works on a copy of the backup: that is checked by the database,
// brought up to date and verified whole before anything is replaced. The book
// that stood there is moved aside under a dated name, never deleted. Everybody
// has to sign in again. progress may be nil.
//
// The error is a *Finding when the backup is not good, and a *shop.Refusal
// when this is not the place for it.
func Restore(ctx context.Context, o Options, from string, progress func(done, total int64)) (r Restored, err error) {
	if err := restorable(o.DB, from); err != nil {
		return r, err
	}
	p, err := alone(ctx, o.DB)
	if err != nil {
		return r, err
	}
	defer func() { err = errors.Join(err, p.leave()) }()
	fresh := o.DB + ".restoring"
	defer removeBook(fresh) // it is gone, or good for nothing
	if err := copyFile(ctx, from, fresh); err != nil {
		return r, fmt.Errorf("restoring: %w", err)
	}
	if r.Report, err = proveFresh(ctx, o, fresh, progress); err != nil {
		return r, fmt.Errorf("restoring %s: %w", from, err)
	}
	now := time.Now
	if o.Now != nil {
		now = o.Now
	}
	if r.Aside, err = swap(o.DB, fresh, now()); err != nil {
		return r, fmt.Errorf("restoring: %w", err)
	}
	return r, nil
}

// restorable refuses what cannot be restored, or not there.
func restorable(to, from string) error {
	if isPostgres(to) {
		return &shop.Refusal{Kind: shop.ErrConflict, Why: "A book in PostgreSQL is restored by importing its backup into an empty database: its backup is an export. Nothing was changed."}
	}
	if err := standing(from); err != nil {
		return err
	}
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	kind, err := kindOfFile(f)
	if err != nil {
		return err
	}
	switch kind {
	case anExport:
		return found("%s is an export, not a backup of this kind of database: import it into an empty book. Nothing was changed.", from)
	case "":
		return found("%s is not a backup of a book. Nothing was changed.", from)
	}
	if err := uncut(f); err != nil {
		return err
	}
	backup, err := f.Stat()
	if err != nil {
		return err
	}
	if old, err := os.Stat(to); err == nil && os.SameFile(old, backup) {
		return found("%s is the book itself. Nothing was changed.", from)
	}
	return inUse(from)
}

// inUse refuses a book with a write-ahead log beside it: its newest entries
// are in there, and the file alone is no copy.
func inUse(from string) error {
	if info, err := os.Stat(from + "-wal"); err == nil && info.Size() > 0 {
		return found("%s has a write-ahead log beside it: it is a book in use, or a copy of half of one. Make a copy with the command backup. Nothing was changed.", from)
	}
	return nil
}

// The kinds of files in which a book may be.
const (
	anExport  = "export"
	aDatabase = "database"
)

// kindOfFile looks at how a file begins, and goes back to its beginning.
func kindOfFile(f *os.File) (string, error) {
	head := make([]byte, 16)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return "", err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return "", err
	}
	switch head = head[:n]; {
	case bytes.Equal(head, []byte("SQLite format 3\x00")):
		return aDatabase, nil
	case bytes.HasPrefix(head, []byte(`{"header":`)):
		return anExport, nil
	}
	return "", nil
}

// copyFile copies the bytes of a backup to where it can be brought up to date.
func copyFile(ctx context.Context, from, to string) (err error) {
	if err := removeBook(to); err != nil { // left by one that was killed
		return err
	}
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := newFile(to)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := io.CopyN(out, in, 16<<20)
		if errors.Is(err, io.EOF) || err == nil && n == 0 {
			return out.Sync()
		}
		if err != nil {
			return err
		}
	}
}

// proveFresh checks the copy, brings it up to date, signs everybody out and
// verifies it. When it is closed all of it is in the one file.
func proveFresh(ctx context.Context, o Options, fresh string, progress func(done, total int64)) (Report, error) {
	if err := soundFile(ctx, fresh); err != nil {
		return Report{}, err
	}
	s, err := Open(ctx, Options{DB: fresh, Now: o.Now, Log: o.Log})
	if err != nil {
		return Report{}, err
	}
	err = s.submit(ctx, func(ctx context.Context, w *session, _ *int64) error {
		_, err := w.ExecContext(ctx, "DELETE FROM session")
		return err
	})
	var r Report
	if err == nil {
		r, err = s.Verify(ctx, progress)
	}
	if err = errors.Join(err, s.Close()); err != nil {
		return Report{}, err
	}
	return r, inUse(fresh)
}

// soundFile checks a database before it is opened as a book.
func soundFile(ctx context.Context, path string) error {
	db, err := sql.Open("sqlite", sqliteAddress(path, "query_only(1)"))
	if err != nil {
		return err
	}
	defer db.Close()
	return damaged(sound(ctx, db))
}

// swap puts the fresh book in the place of the old one. What SQLite keeps beside
// a book that was not closed goes with it.
func swap(book, fresh string, now time.Time) (aside string, err error) {
	if _, err := os.Stat(book); errors.Is(err, fs.ErrNotExist) {
		return "", errors.Join(os.Rename(fresh, book), syncFolder(book))
	} else if err != nil {
		return "", err
	}
	aside = asideName(book, now)
	if err := os.Link(book, aside); err != nil { // so that there is a book at every moment
		if err := os.Rename(book, aside); err != nil {
			return "", err
		}
	}
	for _, part := range []string{"-wal", "-shm"} {
		if err := os.Rename(book+part, aside+part); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return aside, err
		}
	}
	return aside, errors.Join(os.Rename(fresh, book), syncFolder(book))
}

// asideName is a name that no file has yet.
func asideName(book string, now time.Time) string {
	stem := strings.TrimSuffix(book, ".db") + "-until-" + now.UTC().Format("20060102T150405Z")
	for i := 0; ; i++ {
		name := stem + ".db"
		if i > 0 {
			name = fmt.Sprintf("%s-%d.db", stem, i)
		}
		if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) {
			return name
		}
	}
}

// removeBook takes away a copy that was being made, with what SQLite put
// beside it.
func removeBook(path string) error {
	for _, part := range []string{"", "-wal", "-shm", "-journal", "-lock"} {
		if err := os.Remove(path + part); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}
