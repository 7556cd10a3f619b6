package store

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"sinterbook/store/shop"
)

// Backup copies the whole book into a new file, while others may go on
// writing, and proves the copy: a backup that fails its own check is an error,
// and no file is left. From SQLite the file is a book like this one; from
// PostgreSQL it is what Export writes. It never overwrites a file. progress
// may be nil.
func (s *Store) Backup(ctx context.Context, to string, progress func(done, total int64)) (Report, error) {
	var before int64
	if err := s.db.QueryRowContext(ctx, "SELECT size FROM head WHERE id = 1").Scan(&before); err != nil {
		return Report{}, fmt.Errorf("backing up: %w", err)
	}
	f, err := newFile(to)
	if err != nil {
		return Report{}, err
	}
	r, err := s.copyInto(ctx, f, progress)
	if err = errors.Join(err, f.Close()); err == nil {
		r, err = prove(ctx, to, r, progress)
	}
	if err == nil && r.Entries < before {
		err = found("The copy has %d entries; the book had %d before it was begun.", r.Entries, before)
	}
	if err != nil {
		return Report{}, fmt.Errorf("backing up: %w", errors.Join(err, os.Remove(to)))
	}
	return r, syncFolder(to)
}

// newFile makes a file that only its owner can read, for it carries names and
// hashes of passwords.
func newFile(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil, &shop.Refusal{Kind: shop.ErrConflict, Why: "There is a file " + path + " already, and it is never overwritten. Name another one."}
	}
	return f, err
}

// copyInto fills the file and waits until it is on the disk. The report is that
// of an export.
func (s *Store) copyInto(ctx context.Context, f *os.File, progress func(done, total int64)) (Report, error) {
	if isPostgres(s.address) {
		r, err := s.Export(ctx, f, progress)
		return r, errors.Join(err, f.Sync())
	}
	db, err := sql.Open(s.dialect.driver, sqliteAddress(s.address)) // the readers' connections may write nothing, also no copy
	if err != nil {
		return Report{}, err
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, "VACUUM INTO $1", f.Name()); err != nil {
		return Report{}, err
	}
	return Report{}, f.Sync()
}

// prove reads a copy from the disk again: an export by its sums, a book by the
// database's own check and by verifying it.
func prove(ctx context.Context, path string, exported Report, progress func(done, total int64)) (r Report, err error) {
	f, err := os.Open(path)
	if err != nil {
		return Report{}, err
	}
	defer f.Close()
	if kind, err := kindOfFile(f); err != nil || kind == anExport {
		return exported, errors.Join(err, readBook(f, func(line) error { return ctx.Err() }))
	}
	s, err := OpenToRead(ctx, Options{DB: path})
	if err != nil {
		return Report{}, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if err := errors.Join(uncut(f), sound(ctx, s.db)); err != nil {
		return Report{}, err
	}
	return s.Verify(ctx, progress)
}

// uncut checks that an SQLite file has the length that its first page states:
// SQLite reads what is missing at the end of the last page as zeros.
func uncut(f *os.File) error {
	head := make([]byte, 100) // https://www.sqlite.org/fileformat.html, section 1.3
	if _, err := f.ReadAt(head, 0); err != nil {
		return found("The file is damaged: it has no whole first page (%v).", err)
	}
	size := int64(binary.BigEndian.Uint16(head[16:]))
	if size == 1 {
		size = 65536
	}
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if want := size * int64(binary.BigEndian.Uint32(head[28:])); info.Size() != want {
		return found("The file is damaged: it has %d bytes, and says that it has %d.", info.Size(), want)
	}
	return nil
}

// sound asks SQLite whether the file is whole.
func sound(ctx context.Context, q querier) error {
	said, err := list(ctx, q, "the file", word, "PRAGMA integrity_check(1)")
	if err != nil {
		return err
	}
	if len(said) != 1 || said[0] != "ok" {
		return found("The file is damaged: %v.", said)
	}
	var broken int64
	if err := q.QueryRowContext(ctx, "SELECT count(*) FROM pragma_foreign_key_check()").Scan(&broken); err != nil {
		return fmt.Errorf("checking the file: %w", err)
	}
	if broken > 0 {
		return found("The file is damaged: %d rows refer to what is not there.", broken)
	}
	return nil
}

// syncFolder waits until the name of a new file is on the disk too.
func syncFolder(path string) error {
	d, err := os.Open(filepath.Dir(path))
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
