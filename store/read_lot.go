package store

import (
	"context"
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// A Made is an insert that has paste of a lot in it.
type Made struct {
	ID     int64
	Insert string
	Design string
	Status string
	Since  time.Time
	Place  string
	Grams  float64 // of this lot, by the draws that stand
	Share  float64 // of this lot in its height, 1 where it is of no other; by mass where layers are not known
}

// MadeOf lists the inserts that have paste of a lot in them, by id after the
// one given and limit at the most, with where they are now.
func (s *Store) MadeOf(ctx context.Context, lot string, after int64, limit int) ([]Made, error) {
	made, err := list(ctx, s.db, "inserts of "+lot, func(row scanner) (Made, error) {
		m := Made{Share: 1}
		var since stamp
		err := row.Scan(&m.ID, &m.Insert, &m.Design, &m.Status, &since, &m.Place, &m.Grams)
		m.Since = since.Time
		return m, err
	}, `SELECT i.id, i.serial, design.design, i.status, i.since_at, i.place, sum(draw.drawn_g)
		FROM lot JOIN container c ON c.lot_id = lot.id JOIN draw ON draw.container_id = c.id AND draw.corrected_by IS NULL
		JOIN mould_insert i ON i.id = draw.insert_id JOIN design ON design.id = i.design_id
		WHERE lot.lot = $1 AND i.id > $2 GROUP BY i.id, i.serial, design.design, i.status, i.since_at, i.place ORDER BY i.id LIMIT $3`, lot, after, limit)
	if err != nil || len(made) == 0 {
		return made, err
	}
	shares, err := s.sharesOf(ctx, Thing{Kind: "lot", Number: lot}, `SELECT draw.insert_id AS id FROM draw JOIN container f ON f.id = draw.container_id JOIN lot t ON t.id = f.lot_id
		WHERE t.lot = $1 AND draw.corrected_by IS NULL AND draw.insert_id > $2 AND draw.insert_id <= $3`, []any{lot, after, made[len(made)-1].ID})
	for i, m := range made {
		if share, mixed := shares[m.Insert]; mixed {
			made[i].Share = share
		}
	}
	return made, err
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
