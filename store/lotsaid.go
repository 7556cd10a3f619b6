package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

// LotSaid is what is known of a lot, all of it.
type LotSaid struct {
	Lot      shop.Lot
	AsOf     time.Time // when the last entry was made
	State    string
	Fit      shop.LotFit
	Balances []Balance
	Inserts  []shop.LotShare
}

// LotSaid says what is known of a lot by the last entry, or ErrNotFound.
func (s *Store) LotSaid(ctx context.Context, number string) (said LotSaid, err error) {
	if said.Lot, err = s.Lot(ctx, number); err != nil {
		return said, err
	}
	holds, err := s.HoldsOn(ctx, "lot", number)
	if err != nil {
		return said, err
	}
	held := ""
	for _, h := range holds {
		if h.Standing() {
			held = h.Hold
		}
	}
	book, err := s.Book(ctx)
	if err != nil {
		return said, err
	}
	last, err := s.Entry(ctx, book.Size-1)
	if err != nil {
		return said, err
	}
	said.AsOf = last.Entered
	said.State = said.Lot.State(held, shop.DayOf(said.AsOf, book.Zone))
	if said.Fit, err = s.LotFit(ctx, number, said.AsOf); err != nil {
		return said, err
	}
	if said.Balances, err = s.Balances(ctx, number); err != nil {
		return said, err
	}
	said.Inserts, err = s.LotShares(ctx, number)
	return said, err
}

// LotShares lists the inserts that have paste of a lot in them with its share
// of their height, by the layers of the draws that stand.
func (s *Store) LotShares(ctx context.Context, lot string) ([]shop.LotShare, error) {
	return list(ctx, s.db, "shares of "+lot, func(row scanner) (shop.LotShare, error) {
		var of shop.LotShare
		return of, row.Scan(&of.Insert, &of.Share)
	}, `SELECT i.serial, sum(CASE WHEN l.lot = $1 THEN d.to_layer - d.from_layer + 1 ELSE 0 END) * 1.0 / sum(d.to_layer - d.from_layer + 1)
		FROM mould_insert i JOIN draw d ON d.insert_id = i.id AND d.corrected_by IS NULL JOIN container c ON c.id = d.container_id JOIN lot l ON l.id = c.lot_id
		WHERE i.id IN (SELECT t.insert_id FROM lot o JOIN container k ON k.lot_id = o.id JOIN draw t ON t.container_id = k.id AND t.corrected_by IS NULL WHERE o.lot = $1)
		GROUP BY i.id, i.serial ORDER BY i.serial`, lot)
}
