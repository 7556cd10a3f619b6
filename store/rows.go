package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"

	"sinterbook/store/shop"
)

// A scanner is one row that can be read.
type scanner interface{ Scan(dest ...any) error }

// list reads all rows of a query.
func list[T any](ctx context.Context, q querier, what string, read func(scanner) (T, error), query string, args ...any) ([]T, error) {
	var all []T
	err := each(ctx, q, func(row scanner) error {
		one, err := read(row)
		if err == nil {
			all = append(all, one)
		}
		return err
	}, query, args)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", what, err)
	}
	return all, nil
}

// each hands on every row of a query, until one is an error.
func each(ctx context.Context, q querier, row func(scanner) error, query string, args []any) error {
	if r, ok := q.(*readers); ok && r.direct != nil {
		return r.direct.each(ctx, row, query, args)
	}
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := row(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// one reads a single row; none is NotFound.
func one[T any](kind, number string, read func(scanner) (T, error), row *sql.Row) (T, error) {
	got, err := read(row)
	if kindOf(err) == shop.ErrNotFound {
		return got, shop.NotFound(kind, number)
	}
	if err != nil {
		return got, fmt.Errorf("reading %s %s: %w", kind, number, err)
	}
	return got, nil
}

// word reads a single text column.
func word(row scanner) (string, error) {
	var s string
	err := row.Scan(&s)
	return s, err
}

// readings builds the readings of a row back once it was scanned.
func readings(into map[*shop.Reading]*readingColumns) error {
	for r, c := range into {
		got, err := c.reading()
		if err != nil {
			return err
		}
		*r = got
	}
	return nil
}

// without is a list without some of its words.
func without(words []string, gone ...string) []string {
	var left []string
	for _, w := range words {
		if !slices.Contains(gone, w) {
			left = append(left, w)
		}
	}
	return left
}

// among is the list of an IN with some numbers, which are the arguments after
// the first few. The last is repeated up to a power of two, so that lists of any
// length need few statements.
func among(first []any, numbers []string) (in string, args []any) {
	args = first
	for i := 0; i < len(numbers) || i&(i-1) != 0; i++ {
		args = append(args, numbers[min(i, len(numbers)-1)])
		in += fmt.Sprintf(", $%d", len(args))
	}
	return "(" + strings.TrimPrefix(in, ", ") + ")", args
}
