package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// expecting adds what a draw should take: by the oversize that the machine was
// set to, and the limit of the day.
func expecting(ctx context.Context, q querier, e shop.Entry, draw shop.PasteDrawn, f *shop.Facts) error {
	var err error
	if f.Limit, err = limitAt(ctx, q, shop.DrawOff, e.At); err != nil {
		return err
	}
	x, planned, err := expected(ctx, q, f.Insert, f.Lot, e.Entered)
	f.Expected = x.Of(draw.FromLayer, draw.ToLayer, planned)
	return err
}

// Expected is the paste of a lot that the print of an insert should take;
// nothing where it is not known.
func (s *Store) Expected(ctx context.Context, i shop.Insert, l shop.Lot) (shop.Expected, error) {
	x, _, err := expected(ctx, s.db, i, l, s.Now())
	return x, err
}

// expected is what the print of an insert should take, and its layers: by the
// volume of the part, else by what earlier inserts of its design took.
func expected(ctx context.Context, q querier, i shop.Insert, l shop.Lot, now time.Time) (x shop.Expected, planned int, err error) {
	print, err := printOf(ctx, q, i.Insert)
	if err != nil && !errors.Is(err, shop.ErrNotFound) {
		return x, 0, err
	}
	if err == nil {
		if x, err = byVolume(ctx, q, i, l, print); err != nil || x.Whole > 0 {
			return x, print.Layers, err
		}
	}
	earlier, err := took(ctx, q, i.Design, i.Revision, now)
	x = shop.ExpectedLike(earlier)
	if print.Layers == 0 { // paste is weighed out before the machine starts
		return x, x.Layers, err
	}
	return x, print.Layers, err
}

// byVolume is what a print should take by the volume of the part.
func byVolume(ctx context.Context, q querier, i shop.Insert, l shop.Lot, print Print) (x shop.Expected, err error) {
	volume, err := volumeOf(ctx, q, i.Design, i.Revision)
	if err != nil || !volume.Taken() {
		return x, err
	}
	wet, err := wetDensity(ctx, q, l)
	if err != nil {
		return x, err
	}
	used, err := print.Given()
	if err != nil {
		return x, err
	}
	return shop.ExpectedOf(volume, used.KX, used.KY, used.KZ, wet), nil
}

// meanOf is how many inserts a mean of what was drawn is taken of, the newest.
const meanOf = 50

// meanAmong is among how many of the newest these are looked for: a design of
// thousands must not be read whole for every draw.
const meanAmong = 4 * meanOf

// took is what the last inserts of a design took that were printed once and
// whole, of any lot, the newest first: of those revisions that are as large. The
// writer keeps it for a while, as it does the fits of other lots; now is when it
// is asked.
func took(ctx context.Context, q querier, design, revision string, now time.Time) ([]shop.Took, error) {
	return kept(q, "took/"+design+" "+revision+"/"+now.UTC().Truncate(poolFor).Format(time.RFC3339), func() ([]shop.Took, error) {
		return list(ctx, q, "what "+design+" took", func(row scanner) (shop.Took, error) {
			var t shop.Took
			return t, row.Scan(&t.Drawn, &t.Purged, &t.For, &t.Layers)
		}, `SELECT sum(draw.drawn_g), coalesce(sum(draw.purged_g), 0), sum(draw.to_layer - draw.from_layer + 1), max(whole.layers) FROM (
			SELECT i.id, print.layers FROM (
				SELECT mould_insert.id FROM mould_insert WHERE design_id IN (
					SELECT design.id FROM design this JOIN design ON design.design = this.design AND design.x_mm = this.x_mm AND design.y_mm = this.y_mm AND design.z_mm = this.z_mm
					WHERE this.design = $1 AND this.revision = $2) ORDER BY id DESC LIMIT $3) i
				JOIN print ON print.insert_id = i.id AND print.layers_done >= print.layers
			WHERE NOT EXISTS (SELECT 1 FROM print again WHERE again.insert_id = i.id AND again.id <> print.id) ORDER BY i.id DESC LIMIT $4) whole
		JOIN draw ON draw.insert_id = whole.id AND draw.corrected_by IS NULL GROUP BY whole.id ORDER BY whole.id DESC`, design, revision, meanAmong, meanOf)
	})
}

// volumeOf is the volume of a revision of a design; not taken where nobody said.
func volumeOf(ctx context.Context, q querier, design, revision string) (shop.Reading, error) {
	return one("design", design+" "+revision, func(row scanner) (shop.Reading, error) {
		var volume readingColumns
		if err := row.Scan(volume.scan()...); err != nil {
			return shop.Reading{}, err
		}
		return volume.reading()
	}, q.QueryRowContext(ctx, "SELECT volume_text, volume_unit, volume_mm3 FROM design WHERE design = $1 AND revision = $2", design, revision))
}

// wetDensity is the density of a lot's paste as it comes; not taken where
// nobody said.
func wetDensity(ctx context.Context, q querier, l shop.Lot) (shop.Reading, error) {
	lines, err := certificateOf(ctx, q, l.Lot)
	return shop.WetDensity(l, lines), err
}

// A Taking is the paste that an insert of a design takes.
type Taking struct {
	Design   string
	Name     string
	Grams    float64 // for one insert; 0 where nobody knows
	ByVolume bool    // from the volume of the part; else the mean of what was drawn
	Inserts  int     // that the mean is of
}

// Takings lists, for each design that some releases print at a time, the paste
// of a wet density that an insert takes: from its volume, else from what was
// drawn and purged for the last that were printed once and whole, of any lot.
// What only coupons are made by is left out.
func (s *Store) Takings(ctx context.Context, releases []shop.Release, wet shop.Reading, at time.Time) ([]Taking, error) {
	coupons, err := list(ctx, s.db, "designs of coupons", word, "SELECT DISTINCT design.design FROM coupon JOIN design ON design.id = coupon.design_id")
	if err != nil {
		return nil, err
	}
	var all []Taking
	for _, r := range releases {
		if !r.InForce(at) || !r.Signed(at) || slices.ContainsFunc(all, func(t Taking) bool { return t.Design == r.Design }) {
			continue
		}
		t, err := s.taking(ctx, r, wet)
		if err != nil {
			return nil, err
		}
		if t.Inserts > 0 || !slices.Contains(coupons, t.Design) {
			all = append(all, t)
		}
	}
	slices.SortFunc(all, func(a, b Taking) int { return strings.Compare(a.Design, b.Design) })
	return all, nil
}

func (s *Store) taking(ctx context.Context, r shop.Release, wet shop.Reading) (Taking, error) {
	t := Taking{Design: r.Design}
	var volume readingColumns
	if err := s.db.QueryRowContext(ctx, "SELECT name, volume_text, volume_unit, volume_mm3 FROM design WHERE design = $1 AND revision = $2", r.Design, r.Revision).Scan(append([]any{&t.Name}, volume.scan()...)...); err != nil {
		return t, fmt.Errorf("reading design %s %s: %w", r.Design, r.Revision, err)
	}
	of, err := volume.reading()
	if err != nil {
		return t, err
	}
	if x := shop.ExpectedOf(of, r.KX, r.KY, r.KZ, wet); x.Whole > 0 {
		t.Grams, t.ByVolume = x.Whole, true
		return t, nil
	}
	earlier, err := took(ctx, s.db, r.Design, r.Revision, s.Now())
	t.Grams, t.Inserts = shop.MeanTaken(earlier)
	return t, err
}
