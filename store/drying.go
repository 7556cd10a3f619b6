package store

import (
	"context"

	"sinterbook/store/shop"
)

// A Drying is one final drying of an insert.
type Drying struct {
	Seq        int64
	Oven       string
	Shelf      string
	Air        shop.Reading
	Wet        shop.Reading
	Dry        shop.Reading
	Loss       shop.Reading // percent of the wet mass, as decided then
	Constant   shop.Reading // change between weighings an hour apart at which it counts as dry, percent
	StartedAt  stamp
	StartedBy  string
	FinishedAt stamp
	FinishedBy string
}

const dryingColumns = `SELECT drying.id, oven, shelf, air_text, air_unit, air_c, wet_text, wet_unit, wet_g, dry_text, dry_unit, dry_g, loss_text, loss_unit, loss_pct, constant_text, constant_unit, constant_pct,
	started_at, started_by, finished_at, finished_by FROM drying JOIN mould_insert ON mould_insert.id = drying.insert_id`

func scanDrying(row scanner) (Drying, error) {
	var d Drying
	var air, wet, dry, loss, constant readingColumns
	into := []any{&d.Seq, &d.Oven, &d.Shelf}
	for _, c := range []*readingColumns{&air, &wet, &dry, &loss, &constant} {
		into = append(into, c.scan()...)
	}
	if err := row.Scan(append(into, &d.StartedAt, &d.StartedBy, &d.FinishedAt, &d.FinishedBy)...); err != nil {
		return d, err
	}
	return d, readings(map[*shop.Reading]*readingColumns{&d.Air: &air, &d.Wet: &wet, &d.Dry: &dry, &d.Loss: &loss, &d.Constant: &constant})
}

// Dryings lists the final dryings of an insert, one for each pass of its route.
func (s *Store) Dryings(ctx context.Context, insert string) ([]Drying, error) {
	return list(ctx, s.db, "final dryings", scanDrying, dryingColumns+" WHERE mould_insert.serial = $1 ORDER BY drying.id", insert)
}

// dryingOf is the latest one, or ErrNotFound.
func dryingOf(ctx context.Context, q querier, insert string) (Drying, error) {
	return one("final drying of", insert, scanDrying, q.QueryRowContext(ctx, dryingColumns+" WHERE mould_insert.serial = $1 ORDER BY drying.id DESC LIMIT 1", insert))
}

func (a applying) dryingStarted(e shop.DryingStarted) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec(`INSERT INTO drying (id, insert_id, oven, shelf, air_text, air_unit, air_c, wet_text, wet_unit, wet_g, constant_text, constant_unit, constant_pct, started_at, started_by, finished_by)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, '')`, args(a.seq, id, e.Oven, e.Shelf, e.Air, e.Wet, e.Constant, a.at(), a.By)...); err != nil {
		return err
	}
	if err := a.started(id, shop.OpDry); err != nil {
		return err
	}
	place := "oven " + e.Oven
	if e.Shelf != "" {
		place += ", shelf " + e.Shelf
	}
	return a.stands(id, shop.StatusDrying, place)
}

func (a applying) dryingFinished(e shop.DryingFinished) error {
	d, err := dryingOf(a.ctx, a.q, e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec("UPDATE drying SET dry_text = $1, dry_unit = $2, dry_g = $3, loss_text = $4, loss_unit = $5, loss_pct = $6, finished_at = $7, finished_by = $8 WHERE id = $9",
		args(e.Dry, e.Loss, a.at(), a.By, d.Seq)...); err != nil {
		return err
	}
	i, err := insertByNumber(a.ctx, a.q, e.Insert)
	if err != nil {
		return err
	}
	if err := a.done(i.ID, shop.OpDry); err != nil {
		return err
	}
	return a.stands(i.ID, shop.StatusDried, "on "+i.Carrier)
}
