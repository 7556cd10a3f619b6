package store

import (
	"context"
	"slices"
	"time"

	"sinterbook/store/shop"
)

// poolOver is how many other lots a lot is pooled towards: the newest ones,
// since makers and machines change over the years.
const poolOver = 24

// LotFit is what the lengths of a lot say of its shrinkage, beside the factors
// in force at a time, and pooled towards the shop's newest other lots.
func (s *Store) LotFit(ctx context.Context, lot string, at time.Time) (shop.LotFit, error) {
	fits, err := fitsOf(ctx, s.db, []string{lot}, at)
	if err != nil {
		return shop.LotFit{}, err
	}
	return fits[0], nil
}

// fitsOf are the fits of some lots, each pooled towards the others of the shop,
// by what was read until a time.
func fitsOf(ctx context.Context, q querier, lots []string, at time.Time) ([]shop.LotFit, error) {
	newest, err := list(ctx, q, "the newest lots", word, "SELECT lot FROM lot ORDER BY id DESC LIMIT $1", poolOver+len(lots))
	if err != nil {
		return nil, err
	}
	var all []shop.LotFit
	for _, lot := range newest {
		fit, err := fitOf(ctx, q, lot, at)
		if err != nil {
			return nil, err
		}
		all = append(all, fit)
	}
	fits := make([]shop.LotFit, len(lots))
	for i, lot := range lots {
		known := slices.IndexFunc(all, func(f shop.LotFit) bool { return f.Lot == lot })
		if known >= 0 {
			fits[i] = all[known]
		} else if fits[i], err = fitOf(ctx, q, lot, at); err != nil {
			return nil, err
		}
		fits[i].Towards(all)
	}
	return fits, nil
}

func fitOf(ctx context.Context, q querier, lot string, at time.Time) (shop.LotFit, error) {
	pairs, err := lengthPairs(ctx, q, lot)
	if err != nil {
		return shop.LotFit{}, err
	}
	pairs = slices.DeleteFunc(pairs, func(p shop.LengthPair) bool { return p.At.After(at) })
	factors, err := factorsOf(ctx, q, lot)
	return shop.FitLot(lot, pairs, factors, at), err
}
