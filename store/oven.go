package store

import (
	"context"

	"sinterbook/store/shop"
)

const ovenColumns = "SELECT id, oven, shelves, limit_text, limit_unit, limit_c, code FROM oven"

func scanOven(row scanner) (shop.Oven, error) {
	var o shop.Oven
	var limit readingColumns
	if err := row.Scan(append(append([]any{&o.ID, &o.Oven, &o.Shelves}, limit.scan()...), &o.Code)...); err != nil {
		return o, err
	}
	return o, readings(map[*shop.Reading]*readingColumns{&o.Limit: &limit})
}

// Ovens lists the ovens by number.
func (s *Store) Ovens(ctx context.Context) ([]shop.Oven, error) {
	return list(ctx, s.db, "ovens", scanOven, ovenColumns+" ORDER BY oven")
}

// takes refuses an oven that is not in the book, air that is too hot for it,
// and a shelf that it has not.
func takes(ctx context.Context, q querier, oven, shelf string, air shop.Reading) error {
	o, err := one("oven", oven, scanOven, q.QueryRowContext(ctx, ovenColumns+" WHERE oven = $1", oven))
	if err != nil {
		return err
	}
	return o.Takes(shelf, air)
}

func (a applying) ovenAdded(e shop.OvenAdded) error {
	if err := a.add("oven", e.Oven, "INSERT INTO oven (id, oven, shelves, limit_text, limit_unit, limit_c, code) VALUES ($1, $2, $3, $4, $5, $6, $7)",
		args(a.seq, e.Oven, e.Shelves, e.Limit, e.Code)...); err != nil {
		return err
	}
	return a.code(e.Code, "oven", e.Oven)
}
