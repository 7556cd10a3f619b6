package store

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/google/uuid"
)

// What is pending is not in the database yet. It is written before the batch is
// committed, and before anybody reads a table to which some of it goes.
//
// The log's own rows, which every command adds, are written together, with few
// statements. Where statements can share a round trip, others wait for it too.
type pending struct {
	entries, nodes, notes []any            // values of rows
	counts                map[string]int64 // entries about the subjects that got one
	queue                 []command
	tables                map[int]bool // to which all that goes
	failed                error        // why it could not be written
}

func newPending() pending { return pending{counts: map[string]int64{}, tables: map[int]bool{}} }

// pendingAtMost bounds the values of entries, and the statements, that are
// pending: an import has many.
const pendingAtMost = 1024

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
func (b bulk) write(ctx context.Context, w *session, values []any) error {
	for i, size := range bulkSizes {
		for n := size * b.width; len(values) >= n; values = values[n:] {
			if err := w.later(ctx, b.texts[i], values[:n]...); err != nil {
				return err
			}
		}
	}
	return nil
}

// append takes an entry and its hashes in.
func (w *session) append(ctx context.Context, seq int64, id uuid.UUID, kind string, text []byte) error {
	if err := w.grow(ctx, seq, text); err != nil {
		return err
	}
	w.standing[id] = true
	w.entries = append(w.entries, seq, id[:], kind, string(text))
	w.goesTo("entry", "node")
	if len(w.entries) < pendingAtMost {
		return nil
	}
	return w.flush(ctx)
}

// number counts an entry up in the history of each of its subjects.
func (w *session) number(ctx context.Context, seq int64, subjects []string) (map[string]int64, error) {
	numbers := make(map[string]int64, len(subjects))
	for _, name := range subjects {
		if _, twice := numbers[name]; twice {
			continue
		}
		n, err := w.counted(ctx, name)
		if err != nil {
			return nil, fmt.Errorf("counting entries about %s: %w", name, err)
		}
		n++
		numbers[name], w.count[name], w.counts[name] = n, n, n
		w.notes = append(w.notes, name, n, seq)
		w.goesTo("subject", "subject_entry")
	}
	return numbers, nil
}

// counted is how many entries about a subject there are.
func (w *session) counted(ctx context.Context, name string) (n int64, err error) {
	if n, ok := w.count[name]; ok {
		return n, nil
	}
	if len(w.count) >= keptAtMost && len(w.counts) == 0 {
		clear(w.count)
	}
	there, err := list(ctx, w, "subjects", func(row scanner) (n int64, err error) { return n, row.Scan(&n) }, "SELECT n FROM subject WHERE name = $1", name)
	if err == nil && len(there) > 0 {
		n = there[0]
	}
	return n, err
}

// goesTo notes that something is pending for some tables.
func (w *session) goesTo(names ...string) {
	for _, name := range names {
		w.tables[tableNumbers[name]] = true
		w.wrote(tableNumbers[name])
	}
	w.changed = true
}

// later runs a statement that writes: at once, or with others before anybody
// reads what it wrote. Its error may come then.
func (w *session) later(ctx context.Context, query string, args ...any) error {
	if w.pipeline == nil {
		_, err := w.ExecContext(ctx, query, args...)
		return err
	}
	w.queue = append(w.queue, command{query, args})
	w.tables[w.named(query).writes] = true
	if len(w.queue) < pendingAtMost {
		return nil
	}
	return w.flush(ctx)
}

// awaits reports whether a statement needs what is pending. One that writes
// waits for all others, since its rows may refer to theirs.
func (w *session) awaits(p *preparation) bool {
	return p.writes >= 0 && len(w.queue) > 0 || slices.ContainsFunc(p.tables, func(t int) bool { return w.tables[t] })
}

// flush writes what is pending. Where that fails nothing can be committed.
func (w *session) flush(ctx context.Context) error {
	if w.failed != nil || len(w.tables) == 0 {
		return w.failed
	}
	p := w.pending
	w.pending = newPending()
	w.queue = p.queue
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
	if len(w.queue) > 0 {
		w.failed = w.pipeline(ctx, w.conn, w.queue)
	}
	w.queue, w.tables = nil, map[int]bool{}
	return w.failed
}
