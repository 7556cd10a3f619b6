package store

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/google/uuid"
)

// Pending rows are the log's own, which every command adds: they are written
// together, with few statements, before the batch is committed and before
// anybody reads the tables that they go to.
type pending struct {
	entries, nodes, notes []any            // values of rows
	counts                map[string]int64 // entries about the subjects that got one
}

// pendingTables are those that they go to.
var pendingTables = []string{"entry", "node", "subject", "subject_entry"}

// pendingAtMost bounds how many entries are: an import has many.
const pendingAtMost = 256

// A bulk is a statement that inserts rows, for several numbers of them.
type bulk struct {
	width int
	texts [len(bulkSizes)]string
}

var bulkSizes = [...]int{32, 16, 8, 4, 2, 1}

var (
	intoEntry   = newBulk("INSERT INTO entry (seq, id, kind, payload) VALUES ", 4, "")
	intoNode    = newBulk("INSERT INTO node (idx, hash) VALUES ", 2, "")
	intoNotes   = newBulk("INSERT INTO subject_entry (name, n, seq) VALUES ", 3, "")
	intoSubject = newBulk("INSERT INTO subject (name, n) VALUES ", 2, " ON CONFLICT (name) DO UPDATE SET n = excluded.n")
)

func newBulk(into string, width int, after string) bulk {
	b := bulk{width: width}
	for i, size := range bulkSizes {
		rows := make([]string, size)
		for r := range rows {
			rows[r] = "(" + placeholders(r*width+1, width) + ")"
		}
		b.texts[i] = into + strings.Join(rows, ", ") + after
	}
	return b
}

// write inserts the rows that some values make.
func (b bulk) write(ctx context.Context, q querier, values []any) error {
	for i, size := range bulkSizes {
		for n := size * b.width; len(values) >= n; values = values[n:] {
			if _, err := q.ExecContext(ctx, b.texts[i], values[:n]...); err != nil {
				return err
			}
		}
	}
	return nil
}

// append takes an entry and its hashes in.
func (w *session) append(ctx context.Context, seq int64, id uuid.UUID, kind string, text []byte) error {
	w.standing[id] = true
	w.pending.entries = append(w.pending.entries, seq, id[:], kind, string(text))
	w.wrote(tableNumbers["entry"])
	w.changed = true
	if err := w.grow(ctx, seq, text); err != nil {
		return err
	}
	if len(w.pending.entries) >= pendingAtMost*intoEntry.width {
		return w.flush(ctx)
	}
	return nil
}

// number counts an entry up in the history of each of its subjects.
func (w *session) number(ctx context.Context, seq int64, subjects []string) (map[string]int64, error) {
	numbers := make(map[string]int64, len(subjects))
	for _, name := range subjects {
		if _, twice := numbers[name]; twice {
			continue
		}
		n, err := w.count(ctx, name)
		if err != nil {
			return nil, fmt.Errorf("counting entries about %s: %w", name, err)
		}
		n++
		numbers[name], w.counts[name], w.pending.counts[name] = n, n, n
		w.pending.notes = append(w.pending.notes, name, n, seq)
		w.wrote(tableNumbers["subject_entry"])
		w.changed = true
	}
	return numbers, nil
}

// count is how many entries about a subject there are.
func (w *session) count(ctx context.Context, name string) (n int64, err error) {
	if n, ok := w.counts[name]; ok {
		return n, nil
	}
	if len(w.counts) >= keptAtMost && len(w.pending.counts) == 0 {
		clear(w.counts)
	}
	found, err := list(ctx, w, "subjects", func(row scanner) (n int64, err error) { return n, row.Scan(&n) }, "SELECT n FROM subject WHERE name = $1", name)
	if err == nil && len(found) > 0 {
		n = found[0]
	}
	return n, err
}

// flush writes what is pending. Where that fails nothing can be committed.
func (w *session) flush(ctx context.Context) error {
	p := w.pending
	if w.failed != nil || len(p.entries) == 0 {
		return w.failed
	}
	w.pending = pending{counts: map[string]int64{}}
	defer func(before bool) { w.changed = before }(w.changed) // a command that only reads may be who flushes
	var counts []any
	for _, name := range slices.Sorted(maps.Keys(p.counts)) {
		counts = append(counts, name, p.counts[name])
	}
	for _, rows := range []struct {
		into   bulk
		values []any
	}{{intoEntry, p.entries}, {intoNode, p.nodes}, {intoSubject, counts}, {intoNotes, p.notes}} {
		if err := rows.into.write(ctx, w, rows.values); err != nil {
			w.failed = fmt.Errorf("writing the log: %w", err)
			return w.failed
		}
	}
	return nil
}
