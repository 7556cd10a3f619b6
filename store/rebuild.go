package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Rebuild empties the tables that follow from the log and makes them from it
// again, in one transaction; until that is committed everybody reads the old
// ones. The log, and the tables that do not follow from it, stay as they are.
// It returns how many entries were replayed. progress may be nil.
func (s *Store) Rebuild(ctx context.Context, progress func(done, total int64)) (int64, error) {
	var replayed int64
	err := s.submit(ctx, func(inner context.Context, w *session, size *int64) error {
		w.forget()
		kept, err := keepPrivate(inner, w)
		if err != nil {
			return err
		}
		for _, name := range slices.Backward(projected) {
			if _, err := w.ExecContext(inner, "DELETE FROM "+name); err != nil {
				return fmt.Errorf("emptying %s: %w", name, err)
			}
		}
		if replayed, err = replayAll(ctx, w, *size, progress); err != nil {
			return err
		}
		return givePrivateBack(inner, w, kept)
	})
	if err != nil {
		return 0, fmt.Errorf("rebuilding: %w", err)
	}
	return replayed, nil
}

// replayAll replays the log. It runs in the writer's transaction, which does
// not end with ctx; so it looks itself.
func replayAll(ctx context.Context, w *session, size int64, progress func(done, total int64)) (int64, error) {
	inner := context.WithoutCancel(ctx)
	r := newReplay(inner, w)
	read := func(seq int64) ([]entryRow, error) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		return entriesFrom(inner, w, seq, page)
	}
	var done int64
	err := inPages(read, entryRow.decode, func(p decodedPage) error {
		for _, e := range p.entries {
			if err := r.entry(e); err != nil {
				return err
			}
			done++
		}
		if progress != nil {
			progress(done, size)
		}
		return nil
	})
	if err == nil && done != size {
		err = found("The log's head counts %d entries; %d stand.", size, done)
	}
	return done, errors.Join(err, r.finish())
}

// rowsOf are rows of one table, and the statement that inserts one.
type rowsOf struct {
	table, insert string
	rows          [][]any
}

// keepPrivate puts the private rows aside, which are few: applying an entry may
// sign people out or erase their names, and when it is applied again that was
// long ago.
func keepPrivate(ctx context.Context, q querier) ([]rowsOf, error) {
	var all []rowsOf
	for _, name := range private {
		kept, err := allRows(ctx, q, name)
		if err != nil {
			return nil, fmt.Errorf("putting %s aside: %w", name, err)
		}
		all = append(all, kept)
	}
	return all, nil
}

func givePrivateBack(ctx context.Context, q querier, all []rowsOf) error {
	for _, kept := range all {
		if _, err := q.ExecContext(ctx, "DELETE FROM "+kept.table); err != nil {
			return fmt.Errorf("putting %s back: %w", kept.table, err)
		}
		for _, row := range kept.rows {
			if _, err := q.ExecContext(ctx, kept.insert, row...); err != nil {
				return fmt.Errorf("putting %s back: %w", kept.table, err)
			}
		}
	}
	return nil
}

// allRows reads a whole table into memory.
func allRows(ctx context.Context, q querier, name string) (rowsOf, error) {
	all := rowsOf{table: name}
	rows, err := q.QueryContext(ctx, "SELECT * FROM "+name)
	if err != nil {
		return all, err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return all, err
	}
	var at []string
	for i := range columns {
		at = append(at, fmt.Sprintf("$%d", i+1))
	}
	all.insert = "INSERT INTO " + name + " (" + strings.Join(columns, ", ") + ") VALUES (" + strings.Join(at, ", ") + ")"
	for rows.Next() {
		values, into := make([]any, len(columns)), make([]any, len(columns))
		for i := range values {
			into[i] = &values[i]
		}
		if err := rows.Scan(into...); err != nil {
			return all, err
		}
		all.rows = append(all.rows, values)
	}
	return all, rows.Err()
}
