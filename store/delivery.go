package store

import (
	"context"
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

// checkShippable refuses to ship a mould that is not whole, not here, or that
// has an insert which is held.
func checkShippable(ctx context.Context, q querier, e shop.Entry, ev shop.MouldShipped) error {
	fitted, err := fittedIn(ctx, q, ev.Mould)
	if err != nil {
		return err
	}
	if !slices.Equal(slices.Sorted(slices.Values(ev.Inserts)), slices.Sorted(slices.Values(fitted))) {
		return shop.Wrong("inserts", "Mould %s holds %s: a delivery names them all.", ev.Mould, shop.Listed(fitted))
	}
	things := [][2]string{{"mould", ev.Mould}}
	for _, insert := range ev.Inserts {
		things = append(things, [2]string{"insert", insert})
	}
	for _, t := range things {
		held, err := holdsOn(ctx, q, t[0], t[1])
		if err != nil {
			return err
		}
		for _, h := range held {
			if h.Stands(e.At) {
				return shop.Conflict("%s is held by %s (%s): %s. Nothing was delivered.", h.OnCode, h.SetBy, h.Hold, h.Reason)
			}
		}
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
