package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

// poolOver is how many other lots a lot is pooled towards: the newest ones,
// since makers and machines change over the years.
const poolOver = 24

// LotFit is what the lengths of a lot say of its shrinkage, beside the factors
// in force at a time, and pooled towards the shop's newest other lots.
func (s *Store) LotFit(ctx context.Context, lot string, at time.Time) (shop.LotFit, error) {
	fit, err := s.fitOf(ctx, lot, at)
	if err != nil {
		return fit, err
	}
	numbers, err := list(ctx, s.db, "other lots", word, "SELECT lot FROM lot WHERE lot <> $1 ORDER BY id DESC LIMIT $2", lot, poolOver)
	if err != nil {
		return fit, err
	}
	var others []shop.LotFit
	for _, number := range numbers {
		other, err := s.fitOf(ctx, number, at)
		if err != nil {
			return fit, err
		}
		others = append(others, other)
	}
	fit.Towards(others)
	return fit, nil
}

func (s *Store) fitOf(ctx context.Context, lot string, at time.Time) (shop.LotFit, error) {
	pairs, err := s.LengthPairs(ctx, lot)
	if err != nil {
		return shop.LotFit{}, err
	}
	factors, err := s.Factors(ctx, lot)
	return shop.FitLot(lot, pairs, factors, at), err
}
