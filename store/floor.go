package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

// A FloorRow is where one insert is, for the board.
type FloorRow struct {
	ID       int64
	Insert   string
	Design   string
	Name     string
	Order    string
	Due      shop.Date
	Customer string
	Status   string
	Since    time.Time
	Place    string
	Next     string // operation that comes next, "" at the end
	Begun    bool   // it is under way
	Recipe   string // furnace recipe its release asks for
	Held     string // number of a hold on it, "" if none stands
}

// Floor lists the inserts that are open, by number, after the one with id
// after and limit at the most.
func (s *Store) Floor(ctx context.Context, after int64, limit int) ([]FloorRow, error) {
	return list(ctx, s.db, "the floor", func(row scanner) (FloorRow, error) {
		var r FloorRow
		var since stamp
		err := row.Scan(&r.ID, &r.Insert, &r.Design, &r.Name, &r.Order, &r.Due, &r.Customer, &r.Status, &since, &r.Place, &r.Next, &r.Begun, &r.Recipe, &r.Held)
		r.Since = since.Time
		return r, err
	}, `SELECT i.id, i.serial, design.design, design.name, o.order_no, o.due_day, o.customer, i.status, i.since_at, i.place,
		coalesce(st.operation, ''), coalesce(st.state, '') = 'started', coalesce(r.recipe, ''),
		coalesce((SELECT min(hold) FROM hold WHERE on_kind = 'insert' AND on_code = i.serial AND lifted_at IS NULL), '')
		FROM mould_insert i JOIN design ON design.id = i.design_id JOIN customer_order o ON o.id = i.order_id
		LEFT JOIN design_release r ON r.id = i.release_id
		LEFT JOIN insert_step st ON st.insert_id = i.id AND st.step = (SELECT min(n.step) FROM insert_step n WHERE n.insert_id = i.id AND n.state IN ('to do', 'started'))
		WHERE i.open = 1 AND i.id > $1 ORDER BY i.id LIMIT $2`, after, limit)
}
