package store

import (
	"context"

	"sinterbook/store/shop"
)

const mouldColumns = "SELECT id, mould, customer, shipped_at, code FROM mould"

func scanMould(row scanner) (shop.Mould, error) {
	var m shop.Mould
	var shipped stamp
	err := row.Scan(&m.ID, &m.Mould, &m.Customer, &shipped, &m.Code)
	m.Shipped = shipped.Time
	return m, err
}

// Moulds lists all moulds by number.
func (s *Store) Moulds(ctx context.Context) ([]shop.Mould, error) {
	return list(ctx, s.db, "moulds", scanMould, mouldColumns+" ORDER BY mould")
}

// Mould is a mould by its number, or ErrNotFound.
func (s *Store) Mould(ctx context.Context, number string) (shop.Mould, error) {
	return mouldByNumber(ctx, s.db, number)
}

func mouldByNumber(ctx context.Context, q querier, number string) (shop.Mould, error) {
	return one("mould", number, scanMould, q.QueryRowContext(ctx, mouldColumns+" WHERE mould = $1", number))
}

func (a applying) mouldReceived(e shop.MouldReceived) error {
	if err := a.add("mould", e.Mould, "INSERT INTO mould (id, mould, customer, code) VALUES ($1, $2, $3, $4)", a.seq, e.Mould, e.Customer, e.Code); err != nil {
		return err
	}
	return a.code(e.Code, "mould", e.Mould)
}
