package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"strconv"
	"strings"

	"sinterbook/migrations"
	"sinterbook/store/shop"
)

// OpenToRead opens a book that must be there already and writes nothing into
// it, not even a newer form of its tables: for checking it and copying it,
// also while a service writes. Nothing can be recorded in it.
func OpenToRead(ctx context.Context, o Options) (*Store, error) {
	d, err := dialectOf(o.DB)
	if err != nil {
		return nil, err
	}
	if !isPostgres(o.DB) {
		if err := standing(o.DB); err != nil {
			return nil, err
		}
	}
	s := &Store{dialect: d, address: o.DB, now: o.Now, log: o.Log, signer: o.Signer, watch: newWatch(), quit: make(chan struct{})}
	if s.log == nil {
		s.log = slog.Default()
	}
	if _, err := os.Stat(lockOf(o.DB)); err == nil { // a copy that nobody ever served has none, and needs none
		if s.presence, err = enter(ctx, o.DB); err != nil {
			return nil, err
		}
	}
	if s.db, err = newReaders(d, o.DB); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	if err := sameForm(ctx, d, s.db); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// standing refuses a path where no file is: SQLite would make one.
func standing(path string) error {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return &shop.Refusal{Kind: shop.ErrNotFound, Why: "There is no book at " + path + "."}
	}
	if err != nil {
		return fmt.Errorf("opening the book: %w", err)
	}
	if !info.Mode().IsRegular() {
		return &shop.Refusal{Kind: shop.ErrNotFound, Why: path + " is not a file with a book."}
	}
	return nil
}

// sameForm refuses a book whose tables are of another version than ours.
func sameForm(ctx context.Context, d dialect, q querier) error {
	var has int64
	if err := q.QueryRowContext(ctx, "SELECT max(version_id) FROM goose_db_version").Scan(&has); err != nil {
		return fmt.Errorf("opening the book: %w", damaged(err))
	}
	ours, err := newestForm(d)
	if err != nil {
		return err
	}
	switch {
	case has > ours:
		return found("This book was written by a newer version of this program: its tables are of form %d, ours of form %d.", has, ours)
	case has < ours:
		return found("This book was written by an older version of this program: its tables are of form %d, ours of form %d. Serve it once to bring them up to date.", has, ours)
	}
	return nil
}

// newestForm is the number of the last migration.
func newestForm(d dialect) (int64, error) {
	files, err := fs.ReadDir(migrations.FS, d.folder)
	if err != nil {
		return 0, fmt.Errorf("finding the migrations: %w", err)
	}
	number, _, _ := strings.Cut(files[len(files)-1].Name(), "_")
	return strconv.ParseInt(number, 10, 64)
}
