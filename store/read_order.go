package store

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"sinterbook/store/shop"
)

// An OrderRow is an order with how far its inserts have come.
type OrderRow struct {
	shop.Order
	OnRoute int // inserts under way
	Made    int // delivered or in stock
}

// OpenOrders lists the orders of which not every insert is made, those due
// first first.
func (s *Store) OpenOrders(ctx context.Context) ([]OrderRow, error) {
	return s.orderRows(ctx, "WHERE coalesce(far.made, 0) < customer_order.quantity ORDER BY due_day, order_no")
}

// MadeOrders lists the orders of which every insert is made, those due last
// first, limit at the most.
func (s *Store) MadeOrders(ctx context.Context, limit int) ([]OrderRow, error) {
	return s.orderRows(ctx, "WHERE coalesce(far.made, 0) >= customer_order.quantity ORDER BY due_day DESC, order_no LIMIT $1", limit)
}

func (s *Store) orderRows(ctx context.Context, which string, args ...any) ([]OrderRow, error) {
	return list(ctx, s.db, "orders", func(row scanner) (OrderRow, error) {
		var o OrderRow
		err := row.Scan(&o.ID, &o.Order.Order, &o.Customer, &o.Design, &o.Quantity, &o.Due, &o.Unit, &o.Mould, &o.Remark, &o.OnRoute, &o.Made)
		return o, err
	}, `SELECT customer_order.id, order_no, customer_order.customer, design, quantity, due_day, unit, coalesce(mould.mould, ''), remark,
		coalesce(far.on_route, 0), coalesce(far.made, 0)
		FROM customer_order LEFT JOIN mould ON mould.id = customer_order.mould_id
		LEFT JOIN (SELECT order_id, sum(open) AS on_route, sum(CASE WHEN open = 0 AND status <> 'scrapped' THEN 1 ELSE 0 END) AS made
			FROM mould_insert GROUP BY order_id) far ON far.order_id = customer_order.id `+which, args...)
}

// NextSerial proposes the serial number after the highest of the newest
// inserts that are numbered like I-0001. Nothing is reserved by it.
func (s *Store) NextSerial(ctx context.Context) (string, error) {
	newest, err := list(ctx, s.db, "serial numbers", word, "SELECT serial FROM mould_insert ORDER BY id DESC LIMIT 100")
	if err != nil {
		return "", err
	}
	highest := 0
	for _, serial := range newest {
		digits, ours := strings.CutPrefix(serial, "I-")
		if n, err := strconv.Atoi(digits); ours && err == nil {
			highest = max(highest, n)
		}
	}
	for n := highest + 1; ; n++ {
		serial := fmt.Sprintf("I-%04d", n)
		taken, err := list(ctx, s.db, "serial numbers", word, "SELECT serial FROM mould_insert WHERE serial = $1", serial)
		if err != nil || len(taken) == 0 {
			return serial, err
		}
	}
}
