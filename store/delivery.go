package store

import (
	"context"
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

// checkShippable refuses to ship a mould that is not whole or not here.
func checkShippable(ctx context.Context, q querier, ev shop.MouldShipped) error {
	fitted, err := fittedIn(ctx, q, ev.Mould)
	if err != nil {
		return err
	}
	if len(fitted) == 0 {
		return shop.Wrong("inserts", "No insert is fitted in mould %s: there is nothing to deliver.", ev.Mould)
	}
	if !slices.Equal(slices.Sorted(slices.Values(ev.Inserts)), slices.Sorted(slices.Values(fitted))) {
		return shop.Wrong("inserts", "Mould %s holds %s: a delivery names them all.", ev.Mould, shop.Listed(fitted))
	}
	return nil
}

// fittedIn lists the inserts fitted in a mould that is still here.
func fittedIn(ctx context.Context, q querier, mould string) ([]string, error) {
	id, err := thing(ctx, q, "mould", mould)
	if err != nil {
		return nil, err
	}
	return list(ctx, q, "inserts", word, "SELECT serial FROM mould_insert WHERE mould_id = $1 AND status = $2 ORDER BY serial", id, shop.StatusFitted)
}

func (a applying) mouldShipped(e shop.MouldShipped) error {
	mould, err := one("mould", e.Mould, scanMould, a.q.QueryRowContext(a.ctx, mouldColumns+" WHERE mould = $1", e.Mould))
	if err != nil {
		return err
	}
	if err := a.exec("INSERT INTO delivery (id, mould_id, note, at, by_badge) VALUES ($1, $2, $3, $4, $5)", a.seq, mould.ID, e.Note, a.at(), a.By); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould SET shipped_at = $1 WHERE id = $2", a.at(), mould.ID); err != nil {
		return err
	}
	for _, insert := range e.Inserts {
		id, err := thing(a.ctx, a.q, "insert", insert)
		if err != nil {
			return err
		}
		if err := a.done(id, shop.OpDeliver); err != nil {
			return err
		}
		if err := a.stands(id, shop.StatusDelivered, fmt.Sprintf("%s at %s", e.Mould, mould.Customer)); err != nil {
			return err
		}
		if err := a.exec("UPDATE mould_insert SET open = 0 WHERE id = $1", id); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) putToStock(e shop.PutToStock) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.done(id, shop.OpDeliver); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET open = 0 WHERE id = $1", id); err != nil {
		return err
	}
	return a.stands(id, shop.StatusStock, e.Place)
}
