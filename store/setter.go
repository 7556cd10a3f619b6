package store

import (
	"context"

	"sinterbook/store/shop"
)

// A setter has been through the runs behind it and through each load of this
// book whose door was closed on it.
const setterColumns = `SELECT setter.id, setter.setter, setter.cycles + (SELECT count(*) FROM furnace_load l WHERE l.door_closed_at IS NOT NULL
	AND (EXISTS (SELECT 1 FROM load_item i WHERE i.load_id = l.id AND i.setter = setter.setter) OR EXISTS (SELECT 1 FROM coupon c WHERE c.load_id = l.id AND c.setter = setter.setter))),
	setter.life, setter.code FROM setter`

func scanSetter(row scanner) (shop.Setter, error) {
	var s shop.Setter
	return s, row.Scan(&s.ID, &s.Setter, &s.Cycles, &s.Life, &s.Code)
}

// Setters lists the setters with the runs that each has been through.
func (s *Store) Setters(ctx context.Context) ([]shop.Setter, error) {
	return list(ctx, s.db, "setters", scanSetter, setterColumns+" ORDER BY setter.setter")
}

func setterByNumber(ctx context.Context, q querier, number string) (shop.Setter, error) {
	return one("setter", number, scanSetter, q.QueryRowContext(ctx, setterColumns+" WHERE setter.setter = $1", number))
}

// elsewhere refuses a setter that lies in another load: it cannot be in two
// furnaces at once.
func elsewhere(ctx context.Context, q querier, setter, load string) error {
	other, err := list(ctx, q, "loads of a setter", word, `SELECT l.load FROM furnace_load l WHERE l.door_opened_at IS NULL AND l.load <> $2
		AND (EXISTS (SELECT 1 FROM load_item i WHERE i.load_id = l.id AND i.setter = $1) OR EXISTS (SELECT 1 FROM coupon c WHERE c.load_id = l.id AND c.setter = $1))`, setter, load)
	if err == nil && len(other) > 0 {
		return shop.Conflict("Setter %s lies in load %s: it cannot lie in load %s too.", setter, other[0], load)
	}
	return err
}

func (a applying) setterAdded(e shop.SetterAdded) error {
	if err := a.add("setter", e.Setter, "INSERT INTO setter (id, setter, cycles, life, code) VALUES ($1, $2, $3, $4, $5)", a.seq, e.Setter, e.Cycles, e.Life, e.Code); err != nil {
		return err
	}
	return a.code(e.Code, "setter", e.Setter)
}
