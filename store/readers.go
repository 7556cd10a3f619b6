package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"runtime"
	"sync"
)

// readers is the pool that reads. Each of its connections parses a query once.
type readers struct {
	*sql.DB
	direct *direct // for what has many rows; nil where database/sql reads them too
	mu     sync.Mutex
	stmts  map[string]*sql.Stmt
	seen   seen
}

// preparedAtMost bounds what is kept: queries are few, and those with lists of
// their own length in them are not worth keeping beyond it.
const preparedAtMost = 400

// newReaders opens the pool that reads the book at an address.
func newReaders(d dialect, address string) (*readers, error) {
	db, err := sql.Open(d.driver, d.reading(address))
	if err != nil {
		return nil, fmt.Errorf("opening the readers: %w", err)
	}
	n := max(8, 4*runtime.NumCPU())
	db.SetMaxOpenConns(n)
	db.SetMaxIdleConns(n)
	r := &readers{DB: db, stmts: map[string]*sql.Stmt{}}
	if d.direct != nil {
		r.direct = d.direct(address, n)
	}
	return r, nil
}

// prepared is the statement of a query, nil where it is to be sent as it is.
func (r *readers) prepared(ctx context.Context, query string) *sql.Stmt {
	r.mu.Lock()
	defer r.mu.Unlock()
	if st, ok := r.stmts[query]; ok {
		return st
	}
	if len(r.stmts) >= preparedAtMost {
		return nil
	}
	st, err := r.DB.PrepareContext(ctx, query)
	if err != nil {
		return nil // sent as it is it fails again, and says why
	}
	r.stmts[query] = st
	return st
}

func (r *readers) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	if st := r.prepared(ctx, query); st != nil {
		return st.QueryContext(ctx, args...)
	}
	return r.DB.QueryContext(ctx, query, args...)
}

func (r *readers) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	if st := r.prepared(ctx, query); st != nil {
		return st.QueryRowContext(ctx, args...)
	}
	return r.DB.QueryRowContext(ctx, query, args...)
}

// Close closes the statements and the pool.
func (r *readers) Close() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	var errs []error
	for _, st := range r.stmts {
		errs = append(errs, st.Close())
	}
	if r.direct != nil {
		errs = append(errs, r.direct.Close())
	}
	return errors.Join(append(errs, r.DB.Close())...)
}
