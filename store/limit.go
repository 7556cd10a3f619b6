package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

// Limits lists every decision about a limit of the shop, oldest first.
func (s *Store) Limits(ctx context.Context) ([]shop.Limit, error) { return shopLimits(ctx, s.db) }

func shopLimits(ctx context.Context, q querier) ([]shop.Limit, error) {
	return list(ctx, q, "limits", func(row scanner) (shop.Limit, error) {
		var l shop.Limit
		var value readingColumns
		var from stamp
		if err := row.Scan(append(append([]any{&l.Limit}, value.scan()...), &from, &l.Basis, &l.By)...); err != nil {
			return l, err
		}
		l.From = from.Time
		return l, readings(map[*shop.Reading]*readingColumns{&l.Value: &value})
	}, "SELECT name, value_text, value_unit, value_base, from_at, basis, by_badge FROM shop_limit ORDER BY from_at, seq")
}

// limitAt is a limit of the shop at a time.
func limitAt(ctx context.Context, q querier, name string, at time.Time) (shop.Limit, error) {
	set, err := kept(q, "limits", func() ([]shop.Limit, error) { return shopLimits(ctx, q) })
	return shop.LimitAt(set, name, at), err
}

// checkLimit refuses a limit that would judge what was judged already.
func checkLimit(e shop.Entry, ev shop.LimitSet) error {
	if ev.From.Before(e.Entered.Add(-time.Minute)) {
		return shop.Wrong("from", "A limit cannot hold from before it was set: it holds from now on, or from a time to come.")
	}
	return nil
}

func (a applying) limitSet(e shop.LimitSet) error {
	return a.exec("INSERT INTO shop_limit (seq, name, value_text, value_unit, value_base, from_at, basis, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		args(a.seq, e.Limit, e.Value, stamp{e.From}, e.Basis, a.By)...)
}
