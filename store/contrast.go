package store

import (
	"context"
	"slices"

	"sinterbook/store/shop"
)

// Compare lists what is behind two inserts, kind by kind in the order of the
// route.
func (s *Store) Compare(ctx context.Context, a, b string) ([]shop.Contrast, error) {
	var sides [2]shop.Trace
	for i, number := range []string{a, b} {
		var err error
		if sides[i], err = s.Trace(ctx, Thing{Kind: "insert", Number: number}, shop.Window{}); err != nil {
			return nil, err
		}
	}
	var all []shop.Contrast
	for _, kind := range Traceable() {
		d := shop.Contrast{Kind: kind, A: sides[0].Numbers(kind), B: sides[1].Numbers(kind)}
		d.Alike = slices.Equal(slices.Sorted(slices.Values(d.A)), slices.Sorted(slices.Values(d.B)))
		if len(d.A)+len(d.B) > 0 {
			all = append(all, d)
		}
	}
	return all, nil
}

// GoodBefore is the last insert of the same part that passed its inspection
// before another was inspected, or ErrNotFound: what changed between the two is
// where to look first.
func (s *Store) GoodBefore(ctx context.Context, insert string) (string, error) {
	found, err := list(ctx, s.db, "the last good one before "+insert, word, `SELECT g.serial FROM mould_insert i JOIN mould_insert g ON g.design_id = i.design_id AND g.id <> i.id
		JOIN insert_step p ON p.insert_id = g.id AND p.operation = 'inspection' AND p.state = 'done'
		WHERE i.serial = $1 AND p.finished_at < coalesce((SELECT min(at) FROM result WHERE result.insert_id = i.id), $2)
		AND NOT EXISTS (SELECT 1 FROM result w WHERE w.insert_id = g.id AND w.verdict = 'fail' AND w.corrected_by IS NULL)
		AND NOT EXISTS (SELECT 1 FROM nonconformance_item n WHERE n.insert_id = g.id AND n.state <> 'cancelled')
		ORDER BY p.finished_at DESC, g.id DESC LIMIT 1`, insert, stamp{s.Now()})
	if err != nil {
		return "", err
	}
	if len(found) == 0 {
		return "", &shop.Refusal{Kind: shop.ErrNotFound, Why: "No insert of that part passed its inspection before " + insert + "."}
	}
	return found[0], nil
}
