package store

import (
	"database/sql"
	"slices"
	"strings"
)

// The writer keeps in memory what acts ask for all day: the zone, people,
// releases, lots, holds, the insert that lies on the bench. With each answer it
// notes from which tables it was read, and asks anew once one of them was
// written to. All of it is dropped when a command was undone, and when another
// server wrote to the same book.
type memory struct {
	known   map[string]answer
	writes  int64   // statements that wrote, so far
	written []int64 // the last of them, by table
	asking  []*answer
}

// An answer is what was read, from which tables, after how many writes.
type answer struct {
	value  any
	tables []int
	writes int64
}

// keptAtMost bounds what is kept.
const keptAtMost = 10_000

// tableNumbers numbers all tables.
var tableNumbers = func() map[string]int {
	numbers := map[string]int{}
	for _, name := range slices.Concat(logged, hashed, private, projected) {
		numbers[name] = len(numbers)
	}
	return numbers
}()

// wrote notes that a table was written to.
func (m *memory) wrote(table int) {
	m.writes++
	m.written[table] = m.writes
}

// read notes that the answers which are being put together rest on some tables.
// How many entries there are about a thing is no reason to ask anew.
func (m *memory) read(tables []int) {
	for _, a := range m.asking {
		for _, t := range tables {
			if t != tableNumbers["subject"] && !slices.Contains(a.tables, t) {
				a.tables = append(a.tables, t)
			}
		}
	}
}

// wroteTo reports whether one of some tables was written to after so many writes.
func (m *memory) wroteTo(tables []string, after int64) bool {
	return slices.ContainsFunc(tables, func(name string) bool { return m.written[tableNumbers[name]] > after })
}

// stands reports whether an answer would be the same today.
func (m *memory) stands(a answer) bool {
	for _, t := range a.tables {
		if m.written[t] > a.writes {
			return false
		}
	}
	return true
}

// kept answers from the writer's memory, or loads and keeps. Readers always
// load. How many entries there are about a thing may be of an earlier day in
// what is kept: no gate asks it.
func kept[T any](q querier, key string, load func() (T, error)) (T, error) {
	return fromMemory(q, key, load, true)
}

// fixed is kept for what never becomes another, whatever is written: the id of
// a thing.
func fixed[T any](q querier, key string, load func() (T, error)) (T, error) {
	return fromMemory(q, key, load, false)
}

func fromMemory[T any](q querier, key string, load func() (T, error), changes bool) (T, error) {
	w, ok := q.(*session)
	if !ok {
		return load()
	}
	if a, ok := w.known[key]; ok && w.stands(a) {
		w.read(a.tables)
		return a.value.(T), nil
	}
	a := &answer{writes: w.writes}
	if changes {
		w.asking = append(w.asking, a)
	}
	v, err := load()
	if changes {
		w.asking = w.asking[:len(w.asking)-1]
	}
	if err != nil {
		return v, err
	}
	if len(w.known) >= keptAtMost {
		clear(w.known)
	}
	a.value = v
	w.known[key] = *a
	return v, nil
}

// A preparation is a statement, with the tables that it names.
type preparation struct {
	st     *sql.Stmt // nil before it is run by itself
	tables []int
	writes int // to which of them, -1 for none
}

// newPreparation looks for the tables in a statement. A word that only looks like
// a table does no harm.
func newPreparation(query string) *preparation {
	p := &preparation{writes: -1}
	verb, _, _ := strings.Cut(query, " ")
	writes := verb == "INSERT" || verb == "UPDATE" || verb == "DELETE"
	for word := range strings.FieldsFuncSeq(query, func(r rune) bool { return r != '_' && (r < 'a' || r > 'z') }) {
		n, ok := tableNumbers[word]
		if !ok || slices.Contains(p.tables, n) {
			continue
		}
		if writes && p.writes < 0 {
			p.writes = n
		}
		p.tables = append(p.tables, n)
	}
	return p
}
