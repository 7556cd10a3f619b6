package store

import (
	"bytes"
	"cmp"
	"context"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"
)

// A cursor goes through the rows of a table; its values are of the same types
// whichever database they come from.
type cursor struct {
	table
	rows   *sql.Rows
	values []any
	into   []any
	more   bool
}

func openCursor(ctx context.Context, q querier, t table) (*cursor, error) {
	rows, err := t.all(ctx, q)
	if err != nil {
		return nil, err
	}
	c := &cursor{table: t, rows: rows, values: make([]any, len(t.columns)), into: make([]any, len(t.columns))}
	for i := range c.values {
		c.into[i] = &c.values[i]
	}
	return c, nil
}

// next goes to the next row; more says whether there is one.
func (c *cursor) next() error {
	if c.more = c.rows.Next(); !c.more {
		return c.rows.Err()
	}
	if err := c.rows.Scan(c.into...); err != nil {
		return fmt.Errorf("reading table %s: %w", c.name, err)
	}
	for i, v := range c.values {
		if t, ok := v.(time.Time); ok {
			c.values[i] = t.UTC().Format(stampForm)
		}
	}
	return nil
}

// where names the row in words.
func (c *cursor) where() string {
	var parts []string
	for _, i := range c.key {
		parts = append(parts, c.columns[i]+" "+plain(c.values[i]))
	}
	return strings.Join(parts, ", ")
}

// plain is a value as a sentence shows it.
func plain(v any) string {
	switch v := v.(type) {
	case nil:
		return "nothing"
	case string:
		return fmt.Sprintf("%q", v)
	case []byte:
		return hex.EncodeToString(v)
	}
	return fmt.Sprint(v)
}

// same compares two values of one column.
func same(a, b any) bool {
	x, okX := a.([]byte)
	y, okY := b.([]byte)
	if okX || okY {
		return okX && okY && bytes.Equal(x, y)
	}
	return a == b
}

// order compares the keys of two rows as both databases sort them.
func order(a, b *cursor) int {
	for _, i := range a.key {
		x, isText := a.values[i].(string)
		if isText {
			y, _ := b.values[i].(string)
			if c := strings.Compare(x, y); c != 0 {
				return c
			}
			continue
		}
		m, _ := a.values[i].(int64)
		n, _ := b.values[i].(int64)
		if c := cmp.Compare(m, n); c != 0 {
			return c
		}
	}
	return 0
}

// compare goes through a table of the book and the one that the log gives,
// side by side, and names the first difference.
func compare(ctx context.Context, book, given querier, t table, tick func()) error {
	stands, err := openCursor(ctx, book, t)
	if err != nil {
		return err
	}
	defer stands.rows.Close()
	should, err := openCursor(ctx, given, t)
	if err != nil {
		return err
	}
	defer should.rows.Close()
	for {
		if err := errors.Join(stands.next(), should.next()); err != nil {
			return err
		}
		if !stands.more && !should.more {
			return nil
		}
		if err := differ(stands, should); err != nil {
			return err
		}
		tick()
	}
}

// differ compares one row of each.
func differ(stands, should *cursor) error {
	side := 0
	switch {
	case !should.more:
		side = -1
	case !stands.more:
		side = 1
	default:
		side = order(stands, should)
	}
	switch {
	case side < 0:
		return found("Table %s has a row with %s, which the log does not give.", stands.name, stands.where())
	case side > 0:
		return found("Table %s has no row with %s, which the log gives.", should.name, should.where())
	}
	for i, column := range stands.columns {
		if !same(stands.values[i], should.values[i]) {
			return found("In table %s, in the row with %s, column %s is %s; the log gives %s.",
				stands.name, stands.where(), column, plain(stands.values[i]), plain(should.values[i]))
		}
	}
	return nil
}
