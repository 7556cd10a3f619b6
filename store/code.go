package store

import (
	"context"
	"fmt"

	"sinterbook/store/shop"
)

// A Coded is a thing that has a scan code.
type Coded struct {
	Kind   string
	Number string
	Code   shop.ScanCode
}

// CodesOf lists the scan codes of one kind of thing by number, limit at the
// most: those of some numbers, or, where none is named, of all.
func (s *Store) CodesOf(ctx context.Context, kind string, numbers []string, limit int) ([]Coded, error) {
	args, which := []any{kind}, ""
	if len(numbers) > 0 {
		which, args = among(args, numbers)
		which = " AND number IN " + which
	}
	args = append(args, limit)
	return list(ctx, s.db, "scan codes", func(row scanner) (Coded, error) {
		var c Coded
		err := row.Scan(&c.Kind, &c.Number, &c.Code)
		return c, err
	}, fmt.Sprintf("SELECT kind, number, code FROM code WHERE kind = $1%s ORDER BY number LIMIT $%d", which, len(args)), args...)
}

// CodedKinds lists the kinds of things that have scan codes in this book.
func (s *Store) CodedKinds(ctx context.Context) ([]string, error) {
	return list(ctx, s.db, "kinds that have scan codes", word, "SELECT DISTINCT kind FROM code ORDER BY kind")
}
