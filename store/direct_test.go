package store

import (
	"context"
	"database/sql"
	"errors"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// anyRow reads a row of some columns as the driver gives it.
func anyRow(columns int) func(scanner) ([]any, error) {
	return func(row scanner) ([]any, error) {
		values, into := make([]any, columns), make([]any, columns)
		for i := range values {
			into[i] = &values[i]
		}
		return values, row.Scan(into...)
	}
}

// The direct reader tells of every table what database/sql tells.
func TestDirectReadsTheSame(t *testing.T) {
	s := openAt(t, liteAddress(t), newClock(day))
	seeded(t, s)
	opened(t, s, "I-0001")
	printed(t, s, "I-0001", "PL-01")
	filled := 0
	for _, name := range slices.Concat(logged, projected) {
		of, err := tableNamed(t.Context(), s.db, name)
		if err != nil {
			t.Fatal(err)
		}
		query := "SELECT " + strings.Join(of.columns, ", ") + " FROM " + name
		ours, err := list(t.Context(), s.db, name, anyRow(len(of.columns)), query)
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := list(t.Context(), s.db.DB, name, anyRow(len(of.columns)), query)
		if err != nil || !reflect.DeepEqual(ours, theirs) {
			t.Errorf("%s is read as %v; want %v, %v", name, ours, theirs, err)
		}
		if len(ours) > 0 {
			filled++
		}
	}
	if filled < 20 {
		t.Errorf("%d tables had rows; the test wants more", filled)
	}
}

// Values go into the types that we read them into as database/sql puts them
// there. Nothing is turned about: a number is not read as a text.
func TestDirectScan(t *testing.T) {
	s := openAt(t, liteAddress(t), newClock(day))
	text := []any{"", shop.Date(""), (*string)(nil), sql.NullString{}}
	whole := []any{int64(0), 0, (*int64)(nil), sql.NullInt64{}, 0.0, sql.NullFloat64{}, sql.Null[time.Duration]{}}
	types := slices.Concat(text, whole, []any{int8(0), false, (*float64)(nil), stamp{}, []byte{}})
	for query, goes := range map[string][]any{
		"SELECT 7": append(whole, int8(0)), "SELECT -1": append(whole, int8(0)), "SELECT 1": append(whole, false), "SELECT 0": append(whole, false), "SELECT 300": whole,
		"SELECT 2.5": {0.0, (*float64)(nil), sql.NullFloat64{}}, "SELECT 'M3'": text, "SELECT ''": text, "SELECT '2026-11-26T10:00:00.000000Z'": append(text, stamp{}),
		"SELECT x'00ff'": {[]byte{}}, "SELECT x''": {[]byte{}},
		"SELECT NULL": {(*string)(nil), (*int64)(nil), (*float64)(nil), sql.NullString{}, sql.NullInt64{}, sql.NullFloat64{}, stamp{}, []byte{}},
	} {
		for _, zero := range types {
			read := func(row scanner) (any, error) {
				v := reflect.New(reflect.TypeOf(zero))
				err := row.Scan(v.Interface())
				return v.Elem().Interface(), err
			}
			ours, err := list(t.Context(), s.db, "a value", read, query)
			theirs, theirErr := list(t.Context(), s.db.DB, "a value", read, query)
			if err == nil && (theirErr != nil || !reflect.DeepEqual(ours, theirs)) {
				t.Errorf("%s into a %T is %#v; want %#v, %v", query, zero, ours, theirs, theirErr)
			}
			must := slices.ContainsFunc(goes, func(g any) bool { return reflect.TypeOf(g) == reflect.TypeOf(zero) })
			if err != nil && must {
				t.Errorf("%s into a %T is refused: %v; want %#v", query, zero, err, theirs)
			}
		}
	}
}

func TestDirectArguments(t *testing.T) {
	s := openAt(t, liteAddress(t), newClock(day))
	got, err := list(t.Context(), s.db, "arguments", anyRow(5), "SELECT $2, $1, $3, $2, $4", "one", int64(2), 2.5, []byte{1, 2})
	if want := [][]any{{int64(2), "one", 2.5, int64(2), []byte{1, 2}}}; err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
	at := time.Date(2026, 11, 26, 10, 0, 0, 0, time.UTC)
	got, err = list(t.Context(), s.db, "arguments", anyRow(4), "SELECT $1, $2, $3, $4", stamp{at}, shop.Date("2026-11-26"), true, nil)
	if want := [][]any{{"2026-11-26T10:00:00.000000Z", "2026-11-26", int64(1), nil}}; err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
	for query, why := range map[string]string{"SELECT $1, $2": "no argument for $2", "SELECT": "incomplete input", "SELECT $1 FROM dragon": "no such table"} {
		if _, err := list(t.Context(), s.db, "arguments", anyRow(1), query, "one"); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: %v; want %q", query, err, why)
		}
	}
	if _, err := list(t.Context(), s.db, "arguments", anyRow(1), "SELECT 1, 2"); err == nil {
		t.Error("two columns are read into one value")
	}
	if _, err := list(t.Context(), s.db, "arguments", anyRow(1), "DELETE FROM book"); err == nil {
		t.Error("a reader writes")
	}
}

// Readers who hang up give their connection back, however many they are; and
// more of them than there are connections wait for one.
func TestDirectHangUp(t *testing.T) {
	s := openAt(t, liteAddress(t), newClock(day))
	const endless = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i FROM n"
	var wg sync.WaitGroup
	for range 40 {
		wg.Go(func() {
			ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
			defer cancel()
			if err := each(ctx, s.db, func(scanner) error { return nil }, endless, nil); !errors.Is(err, context.DeadlineExceeded) {
				t.Errorf("a read that was given up says %v", err)
			}
		})
	}
	wg.Wait()
	enough := errors.New("enough")
	for range 40 {
		if err := each(t.Context(), s.db, func(scanner) error { return enough }, endless, nil); !errors.Is(err, enough) {
			t.Fatal(err)
		}
		if got, err := list(t.Context(), s.db, "a number", anyRow(1), "SELECT 1"); err != nil || len(got) != 1 {
			t.Fatal(got, err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := list(t.Context(), s.db, "a number", anyRow(1), "SELECT 1"); !errors.Is(err, sql.ErrConnDone) {
		t.Errorf("a closed book is read: %v", err)
	}
}

// Queries of their own kind beyond those that a connection keeps are read too.
func TestDirectManyQueries(t *testing.T) {
	d := newDirect(fileOf(liteAddress(t)), nil, 1)
	defer d.Close()
	if _, err := d.take(t.Context()); err == nil {
		t.Error("a file that is not there is opened")
	}
	s := openAt(t, liteAddress(t), newClock(day))
	for i := range 2 * preparedAtMost {
		query := "SELECT 1" + strings.Repeat(" ", i)
		if got, err := list(t.Context(), s.db, "a number", anyRow(1), query); err != nil || len(got) != 1 {
			t.Fatal(got, err)
		}
	}
	for c := range cap(s.db.direct.slots) {
		if l := <-s.db.direct.slots; l != nil && len(l.kept) > preparedAtMost {
			t.Errorf("connection %d keeps %d statements", c, len(l.kept))
		} else {
			defer func() { s.db.direct.slots <- l }()
		}
	}
}
