package store

import (
	"context"
	"fmt"
	"math"
	"time"

	"sinterbook/store/shop"
)

// A Balance is what the records say about the paste of one container: in is
// used, purged, wasted, left and unexplained.
type Balance struct {
	shop.Container
	Drawn       float64 // g, for inserts and coupons
	Purged      float64 // g, pushed through the nozzle and thrown away
	Wasted      float64 // g, thrown away otherwise
	Unexplained float64 // g, that a weighing found missing; negative where it found more
	Draws       int
}

// Balances lists the containers of a lot by number with what was taken out of
// each. Replaced records do not count.
func (s *Store) Balances(ctx context.Context, lot string) ([]Balance, error) {
	return list(ctx, s.db, "balances of "+lot, func(row scanner) (Balance, error) {
		var b Balance
		var opened, scrapped, weighed stamp
		err := row.Scan(&b.ID, &b.Container.Container, &b.Lot, &b.In, &b.Left, &opened, &scrapped, &weighed, &b.Article, &b.Serial, &b.Label, &b.Code, &b.Drawn, &b.Purged, &b.Wasted, &b.Draws)
		b.Opened, b.Scrapped, b.Weighed = opened.Time, scrapped.Time, weighed.Time
		b.Unexplained = b.In - b.Drawn - b.Purged - b.Wasted - b.Left
		for _, g := range []*float64{&b.Left, &b.Drawn, &b.Purged, &b.Wasted, &b.Unexplained} {
			*g = math.Round(*g*1e6) / 1e6 // sums of tenths of a gram
		}
		return b, err
	}, `SELECT c.id, c.container, lot.lot, c.mass_g, `+containerBalance+`, c.opened_at, c.scrapped_at, w.at, c.article, c.serial, c.label, c.code,
		coalesce((SELECT sum(drawn_g) FROM draw WHERE draw.container_id = c.id AND corrected_by IS NULL), 0) + coalesce((SELECT sum(drawn_g) FROM coupon WHERE coupon.container_id = c.id), 0),
		coalesce((SELECT sum(purged_g) FROM draw WHERE draw.container_id = c.id AND corrected_by IS NULL), 0) + coalesce((SELECT sum(purged_g) FROM coupon WHERE coupon.container_id = c.id), 0),
		coalesce((SELECT sum(mass_g) FROM paste_waste WHERE paste_waste.container_id = c.id), 0),
		(SELECT count(*) FROM draw WHERE draw.container_id = c.id AND corrected_by IS NULL) + (SELECT count(*) FROM coupon WHERE coupon.container_id = c.id)
		FROM container c JOIN lot ON lot.id = c.lot_id`+lastWeighing+` WHERE lot.lot = $1 ORDER BY c.container`, lot)
}

// A Made is an insert that has paste of a lot in it.
type Made struct {
	ID     int64
	Insert string
	Design string
	Status string
	Since  time.Time
	Place  string
	Grams  float64 // of this lot, by the draws that stand
}

// MadeOf lists the inserts that have paste of a lot in them, by id after the
// one given and limit at the most, with where they are now.
func (s *Store) MadeOf(ctx context.Context, lot string, after int64, limit int) ([]Made, error) {
	return list(ctx, s.db, "inserts of "+lot, func(row scanner) (Made, error) {
		var m Made
		var since stamp
		err := row.Scan(&m.ID, &m.Insert, &m.Design, &m.Status, &since, &m.Place, &m.Grams)
		m.Since = since.Time
		return m, err
	}, `SELECT i.id, i.serial, design.design, i.status, i.since_at, i.place, sum(draw.drawn_g)
		FROM lot JOIN container c ON c.lot_id = lot.id JOIN draw ON draw.container_id = c.id AND draw.corrected_by IS NULL
		JOIN mould_insert i ON i.id = draw.insert_id JOIN design ON design.id = i.design_id
		WHERE lot.lot = $1 AND i.id > $2 GROUP BY i.id, i.serial, design.design, i.status, i.since_at, i.place ORDER BY i.id LIMIT $3`, lot, after, limit)
}

// MadeCount is how many inserts have paste of a lot in them, and how many of
// these have an id up to the one given.
func (s *Store) MadeCount(ctx context.Context, lot string, upTo int64) (all, before int, err error) {
	err = s.db.QueryRowContext(ctx, `SELECT count(DISTINCT draw.insert_id), count(DISTINCT CASE WHEN draw.insert_id <= $2 THEN draw.insert_id END)
		FROM lot JOIN container c ON c.lot_id = lot.id JOIN draw ON draw.container_id = c.id AND draw.corrected_by IS NULL WHERE lot.lot = $1`, lot, upTo).Scan(&all, &before)
	if err != nil {
		return 0, 0, fmt.Errorf("counting inserts of %s: %w", lot, err)
	}
	return all, before, nil
}

// ReleasesOfLot lists the releases that print a lot, newest first.
func (s *Store) ReleasesOfLot(ctx context.Context, lot string) ([]shop.Release, error) {
	return s.signedReleases(ctx, `lot.lot = $1 OR design_release.id IN (SELECT release_id FROM release_lot
		JOIN lot further ON further.id = release_lot.lot_id WHERE further.lot = $1)`, lot)
}

// ReleasesOf lists the releases for one revision of a design, newest first.
func (s *Store) ReleasesOf(ctx context.Context, design, revision string) ([]shop.Release, error) {
	return s.signedReleases(ctx, "design.design = $1 AND design.revision = $2", design, revision)
}

func (s *Store) signedReleases(ctx context.Context, where string, args ...any) ([]shop.Release, error) {
	releases, err := list(ctx, s.db, "releases", scanRelease, releaseColumns+" WHERE "+where+" ORDER BY design_release.id DESC", args...)
	if err != nil {
		return nil, err
	}
	return releases, s.complete(ctx, releases)
}

// State says in a word how a container stands.
func (b Balance) State() string {
	switch {
	case !b.Scrapped.IsZero():
		return "scrapped"
	case !b.Opened.IsZero():
		return "open"
	}
	return "sealed"
}
