package store

import (
	"context"

	"sinterbook/store/shop"
)

const furnaceColumns = "SELECT id, furnace, code FROM furnace"

func scanFurnace(row scanner) (shop.Furnace, error) {
	var f shop.Furnace
	err := row.Scan(&f.ID, &f.Furnace, &f.Code)
	return f, err
}

// Furnaces lists the furnaces with their positions.
func (s *Store) Furnaces(ctx context.Context) ([]shop.Furnace, error) {
	furnaces, err := list(ctx, s.db, "furnaces", scanFurnace, furnaceColumns+" ORDER BY furnace")
	if err != nil {
		return nil, err
	}
	for i := range furnaces {
		if furnaces[i].Positions, err = positionsOf(ctx, s.db, furnaces[i].ID); err != nil {
			return nil, err
		}
	}
	return furnaces, nil
}

// Furnace is a furnace by its number, or ErrNotFound.
func (s *Store) Furnace(ctx context.Context, number string) (shop.Furnace, error) {
	return furnaceByNumber(ctx, s.db, number)
}

func furnaceByNumber(ctx context.Context, q querier, number string) (shop.Furnace, error) {
	f, err := one("furnace", number, scanFurnace, q.QueryRowContext(ctx, furnaceColumns+" WHERE furnace = $1", number))
	if err != nil {
		return f, err
	}
	f.Positions, err = positionsOf(ctx, q, f.ID)
	return f, err
}

func positionsOf(ctx context.Context, q querier, id int64) ([]shop.Position, error) {
	return list(ctx, q, "positions", func(row scanner) (shop.Position, error) {
		var p shop.Position
		err := row.Scan(&p.Position, &p.Zone, &p.Use)
		return p, err
	}, "SELECT position, zone, use_for FROM furnace_position WHERE furnace_id = $1 ORDER BY place", id)
}

func (a applying) furnaceAdded(e shop.FurnaceAdded) error {
	if err := a.add("furnace", e.Furnace, "INSERT INTO furnace (id, furnace, code) VALUES ($1, $2, $3)", a.seq, e.Furnace, e.Code); err != nil {
		return err
	}
	for i, p := range e.Positions {
		if err := a.exec("INSERT INTO furnace_position (furnace_id, place, position, zone, use_for) VALUES ($1, $2, $3, $4, $5)",
			a.seq, i+1, p.Position, p.Zone, p.Use); err != nil {
			return err
		}
	}
	return a.code(e.Code, "furnace", e.Furnace)
}
