package store

import (
	"context"
	"slices"
	"sync"
	"time"

	"sinterbook/store/shop"
)

// poolOver is how many other lots a lot is pooled towards: the newest ones,
// since makers and machines change over the years.
const poolOver = 24

// poolFor is how long the fits of other lots are kept in memory: how lots differ
// changes with the weeks, and to fit two dozen of them costs more than a page.
const poolFor = 10 * time.Minute

// others are the fits of the shop's newest lots as they were a while ago.
type others struct {
	mu   sync.Mutex
	at   time.Time
	fits []shop.LotFit
}

// LotFit is what the lengths of a lot say of its shrinkage, beside the factors
// in force at a time, and pooled towards the shop's newest other lots as they
// were at most ten minutes before.
func (s *Store) LotFit(ctx context.Context, lot string, at time.Time) (shop.LotFit, error) {
	fit, err := fitOf(ctx, s.db, lot, at)
	if err != nil {
		return fit, err
	}
	s.others.mu.Lock()
	defer s.others.mu.Unlock()
	if s.others.fits == nil || at.Sub(s.others.at).Abs() > poolFor {
		fits, err := newestFits(ctx, s.db, at)
		if err != nil {
			return fit, err
		}
		s.others.at, s.others.fits = at, fits
	}
	fit.Towards(s.others.fits)
	return fit, nil
}

// fitsOf are the fits of some lots, each pooled towards the others of the shop,
// by what was read until a time. The writer keeps the others for a while; now is
// when it is asked.
func fitsOf(ctx context.Context, q querier, lots []string, at, now time.Time) ([]shop.LotFit, error) {
	pool, err := fixed(q, "other lots", func() (*others, error) { return &others{}, nil })
	if err != nil {
		return nil, err
	}
	if window := now.UTC().Truncate(poolFor); pool.fits == nil || !pool.at.Equal(window) {
		if pool.fits, err = newestFits(ctx, q, at); err != nil {
			return nil, err
		}
		pool.at = window
	}
	fits := make([]shop.LotFit, len(lots))
	for i, lot := range lots {
		if fits[i], err = fitOf(ctx, q, lot, at); err != nil {
			return nil, err
		}
		fits[i].Towards(pool.fits)
	}
	return fits, nil
}

// newestFits are the fits of the shop's newest lots, without their lengths.
func newestFits(ctx context.Context, q querier, at time.Time) ([]shop.LotFit, error) {
	lots, err := list(ctx, q, "the newest lots", word, "SELECT lot FROM lot ORDER BY id DESC LIMIT $1", poolOver+1)
	if err != nil {
		return nil, err
	}
	fits := make([]shop.LotFit, len(lots))
	for i, lot := range lots {
		if fits[i], err = fitOf(ctx, q, lot, at); err != nil {
			return nil, err
		}
		for k := range fits[i].Axes {
			fits[i].Axes[k].Pairs = nil
		}
	}
	return fits, nil
}

func fitOf(ctx context.Context, q querier, lot string, at time.Time) (shop.LotFit, error) {
	pairs, err := lengthPairs(ctx, q, lot)
	if err != nil {
		return shop.LotFit{}, err
	}
	if n := slices.IndexFunc(pairs, func(p shop.LengthPair) bool { return p.At.After(at) }); n >= 0 {
		pairs = pairs[:n:n] // they are in the order of their times
	}
	factors, err := factorsOf(ctx, q, lot)
	return shop.FitLot(lot, pairs, factors, at), err
}
