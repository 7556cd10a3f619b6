package store

import (
	"context"
	"math"
	"slices"
	"strings"
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
	Inserts  []Made // that have paste of it in them, by number
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
	said.Inserts, err = s.MadeOf(ctx, number, 0, math.MaxInt32)
	slices.SortFunc(said.Inserts, func(a, b Made) int { return strings.Compare(a.Insert, b.Insert) })
	return said, err
}
