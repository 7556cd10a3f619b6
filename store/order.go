package store

import (
	"context"
	"fmt"

	"sinterbook/store/shop"
)

const orderColumns = `SELECT customer_order.id, order_no, customer_order.customer, design, quantity, due_day, unit, coalesce(mould.mould, ''), remark,
	coalesce((SELECT n FROM subject WHERE subject.name = 'order/' || order_no), 0)
	FROM customer_order LEFT JOIN mould ON mould.id = customer_order.mould_id`

func scanOrder(row scanner) (shop.Order, error) {
	var o shop.Order
	err := row.Scan(&o.ID, &o.Order, &o.Customer, &o.Design, &o.Quantity, &o.Due, &o.Unit, &o.Mould, &o.Remark, &o.Count)
	return o, err
}

// Orders lists all orders, those due first first.
func (s *Store) Orders(ctx context.Context) ([]shop.Order, error) {
	return list(ctx, s.db, "orders", scanOrder, orderColumns+" ORDER BY due_day, order_no")
}

// Order is an order by its number, or ErrNotFound.
func (s *Store) Order(ctx context.Context, number string) (shop.Order, error) {
	return orderByNumber(ctx, s.db, number)
}

func orderByNumber(ctx context.Context, q querier, number string) (shop.Order, error) {
	return one("order", number, scanOrder, q.QueryRowContext(ctx, orderColumns+" WHERE order_no = $1", number))
}

func mouldOfOrder(ctx context.Context, q querier, number string) (string, error) {
	return one("order", number, word, q.QueryRowContext(ctx, `SELECT coalesce(mould.mould, '') FROM customer_order
		LEFT JOIN mould ON mould.id = customer_order.mould_id WHERE order_no = $1`, number))
}

// checkEdit refuses an edit that was typed on a form which others have
// overtaken, and says what they changed. A person who has seen it sends the
// order's newer count.
func checkEdit(ctx context.Context, q querier, e shop.Entry, ev shop.OrderChanged) error {
	o, err := orderByNumber(ctx, q, ev.Order)
	if err != nil {
		return err
	}
	meanwhile, err := changesSince(ctx, q, shop.Subject("order", ev.Order), e.Seen)
	if err != nil {
		return err
	}
	if len(meanwhile) > 0 {
		return &shop.Refusal{Kind: shop.ErrStale, Why: fmt.Sprintf("Order %s was changed while you typed. Nothing of yours was recorded yet.", ev.Order), Meanwhile: meanwhile}
	}
	for _, c := range ev.Changes {
		if o.Field(c.Field) != c.From {
			return shop.Conflict("The %s of order %s is %q, not %q.", c.Field, ev.Order, o.Field(c.Field), c.From)
		}
	}
	return nil
}

// changesSince lists the fields of a thing that were changed after its n-th
// entry.
func changesSince(ctx context.Context, q querier, subject string, n int64) ([]shop.Change, error) {
	entries, err := history(ctx, q, subject, n, 100)
	if err != nil {
		return nil, err
	}
	var changes []shop.Change
	for _, e := range entries {
		if ev, ok := e.Event.(shop.OrderChanged); ok {
			for _, c := range ev.Changes {
				c.By, c.At = e.By, e.At
				changes = append(changes, c)
			}
		}
	}
	return changes, nil
}

func (a applying) orderTaken(e shop.OrderTaken) error {
	if _, err := currentRevision(a.ctx, a.q, e.Design); err != nil {
		return err
	}
	var mould any
	if e.Mould != "" {
		id, err := thing(a.ctx, a.q, "mould", e.Mould)
		if err != nil {
			return err
		}
		mould = id
	}
	return a.add("order", e.Order, `INSERT INTO customer_order (id, order_no, customer, design, quantity, due_day, unit, mould_id, remark)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`, a.seq, e.Order, e.Customer, e.Design, e.Quantity, e.Due, e.Unit, mould, e.Remark)
}

func (a applying) orderChanged(e shop.OrderChanged) error {
	o, err := orderByNumber(a.ctx, a.q, e.Order)
	if err != nil {
		return err
	}
	o = o.With(e.Changes)
	return a.exec("UPDATE customer_order SET due_day = $1, quantity = $2, remark = $3 WHERE id = $4", o.Due, o.Quantity, o.Remark, o.ID)
}
