package store

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"slices"
)

// A replay applies the entries of a log once more, by the same code that
// applied them when they were recorded.
type replay struct {
	ctx   context.Context
	w     *session
	n     map[string]int64 // entries about each subject so far; written when all are known
	noted []any            // rows of subject_entry, which are written many at a time
}

func newReplay(ctx context.Context, w *session) *replay {
	return &replay{ctx: ctx, w: w, n: map[string]int64{}}
}

// entry applies the next entry of the log.
func (r *replay) entry(e Logged) error {
	numbers := make(map[string]int64, len(e.Numbers))
	for _, name := range e.Subjects() {
		if _, twice := numbers[name]; twice {
			continue
		}
		r.n[name]++
		numbers[name] = r.n[name]
		if err := r.note(name, r.n[name], e.Seq); err != nil {
			return err
		}
	}
	if !maps.Equal(numbers, e.Numbers) {
		return found("Entry %d says that it is number %v; counted from the log it is number %v.", e.Seq, e.Numbers, numbers)
	}
	if err := apply(r.ctx, r.w, e.Seq, e.Entry); err != nil {
		return found("Entry %d does not follow from those before it: %v.", e.Seq, err)
	}
	return nil
}

// note writes down, soon, that an entry is the n-th about a subject.
func (r *replay) note(name string, n, seq int64) error {
	if r.noted = append(r.noted, name, n, seq); len(r.noted) < intoNotes.width*bulkSizes[0] {
		return nil
	}
	if err := intoNotes.write(r.ctx, r.w, r.noted); err != nil {
		return fmt.Errorf("noting the entries before %d: %w", seq, err)
	}
	r.noted = nil // what it held may be written later
	return nil
}

// finish writes the last notes, and how many entries there are about each
// subject.
func (r *replay) finish() error {
	if err := intoNotes.write(r.ctx, r.w, r.noted); err != nil {
		return fmt.Errorf("noting the last entries: %w", err)
	}
	var counts []any
	for _, name := range slices.Sorted(maps.Keys(r.n)) {
		counts = append(counts, name, r.n[name])
	}
	if err := intoSubject.write(r.ctx, r.w, counts); err != nil {
		return fmt.Errorf("counting entries about each subject: %w", err)
	}
	return r.w.flush(r.ctx)
}

// page is how many entries are read at a time: a connection to PostgreSQL can
// read from one query only, so that entries are read and applied in turns.
const page = 100

// A decodedPage is some entries in a row, as they are stored and as they are
// read.
type decodedPage struct {
	rows    []entryRow
	entries []Logged
	err     error // of the entry behind the last of entries
}

// inPages goes through the log from its beginning. It decodes each page on
// another processor while do has the one before.
func inPages(read func(seq int64) ([]entryRow, error), decode func(r entryRow, seq int64) (Logged, error), do func(decodedPage) error) error {
	var before chan decodedPage
	for seq := int64(0); ; {
		rows, err := read(seq)
		if err != nil {
			return err
		}
		next, first := make(chan decodedPage, 1), seq
		go func() { next <- decodePage(rows, first, decode) }()
		if before != nil {
			p := <-before
			if err := do(p); err != nil || p.err != nil {
				return cmp.Or(err, p.err)
			}
		}
		if len(rows) == 0 {
			return nil
		}
		before = next
		seq += int64(len(rows))
	}
}

func decodePage(rows []entryRow, seq int64, decode func(r entryRow, seq int64) (Logged, error)) decodedPage {
	p := decodedPage{rows: rows, entries: make([]Logged, 0, len(rows))}
	for i, r := range rows {
		e, err := decode(r, seq+int64(i))
		if err != nil {
			p.err = err
			return p
		}
		p.entries = append(p.entries, e)
	}
	return p
}

// A scratch is a set of empty tables into which the log is replayed beside the
// book. It is an SQLite database without a name, which is gone when it is
// closed, also where the program is killed.
type scratch struct {
	db *sql.DB
	w  *session
	*replay
}

func newScratch(ctx context.Context) (*scratch, error) {
	lite, err := dialectOf("scratch")
	if err != nil {
		return nil, err
	}
	db, err := sql.Open(lite.driver, sqliteAddress("", "journal_mode(OFF)", "synchronous(OFF)", "cache_size(-65536)"))
	if err != nil {
		return nil, fmt.Errorf("making room for a replay: %w", err)
	}
	db.SetMaxOpenConns(1) // each connection would have tables of its own
	if err := migrate(ctx, lite, db); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	t := &scratch{db: db, w: newSession(conn, nil)}
	t.replay = newReplay(ctx, t.w)
	if err := t.w.exec(ctx, "BEGIN"); err != nil {
		return nil, errors.Join(err, t.close())
	}
	return t, nil
}

func (t *scratch) close() error { return errors.Join(t.w.close(), t.db.Close()) }
