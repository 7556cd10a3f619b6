package store

import (
	"context"
	"slices"

	"sinterbook/store/shop"
)

// Fits lists the toolmaker's notes about an insert, corrected ones too.
func (s *Store) Fits(ctx context.Context, insert string) ([]shop.FitNote, error) {
	fits, err := list(ctx, s.db, "fit notes", func(row scanner) (shop.FitNote, error) {
		n := shop.FitNote{Insert: insert}
		var px, py, gx, gy, shim, spotting, hours readingColumns
		var at stamp
		into := []any{&n.Seq, &n.Mould, &n.Place}
		for _, c := range []*readingColumns{&px, &py, &gx, &gy, &shim, &spotting, &hours} {
			into = append(into, c.scan()...)
		}
		if err := row.Scan(append(into, &n.Note, &at, &n.By, &n.CorrectedBy)...); err != nil {
			return n, err
		}
		n.At = at.Time
		return n, readings(map[*shop.Reading]*readingColumns{&n.PocketX: &px, &n.PocketY: &py, &n.GapX: &gx, &n.GapY: &gy,
			&n.Shim: &shim, &n.Spotting: &spotting, &n.Hours: &hours})
	}, `SELECT fit_up.id, mould.mould, fit_up.place, pocket_x_text, pocket_x_unit, pocket_x_mm, pocket_y_text, pocket_y_unit, pocket_y_mm,
		gap_x_text, gap_x_unit, gap_x_mm, gap_y_text, gap_y_unit, gap_y_mm, shim_text, shim_unit, shim_mm,
		spotting_text, spotting_unit, spotting_pct, hours_text, hours_unit, hours_s, note, at, by_badge, coalesce(corrected_by, 0)
		FROM fit_up JOIN mould_insert ON mould_insert.id = fit_up.insert_id JOIN mould ON mould.id = fit_up.mould_id
		WHERE mould_insert.serial = $1 ORDER BY fit_up.id`, insert)
	if err != nil {
		return nil, err
	}
	for i := range fits {
		if fits[i].Faces, err = facesOf(ctx, s.db, fits[i].Seq); err != nil {
			return nil, err
		}
	}
	return fits, nil
}

func facesOf(ctx context.Context, q querier, fit int64) ([]shop.Face, error) {
	return list(ctx, q, "faces", func(row scanner) (shop.Face, error) {
		var f shop.Face
		var removed, added, shim readingColumns
		if err := row.Scan(slices.Concat([]any{&f.Face}, removed.scan(), added.scan(), shim.scan())...); err != nil {
			return f, err
		}
		return f, readings(map[*shop.Reading]*readingColumns{&f.Removed: &removed, &f.Added: &added, &f.Shim: &shim})
	}, "SELECT face, removed_text, removed_unit, removed_mm, added_text, added_unit, added_mm, shim_text, shim_unit, shim_mm FROM fit_face WHERE fit_id = $1 ORDER BY place", fit)
}

// inMould is where an insert is that is fitted.
func inMould(mould string) string { return mould + " in the toolroom" }

func (a applying) fitUpDone(e shop.FitUpDone) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	mould, err := thing(a.ctx, a.q, "mould", e.Mould)
	if err != nil {
		return err
	}
	if err := a.correct("fit_up"); err != nil {
		return err
	}
	if err := a.exec(`INSERT INTO fit_up (id, insert_id, mould_id, place, pocket_x_text, pocket_x_unit, pocket_x_mm, pocket_y_text, pocket_y_unit, pocket_y_mm,
		gap_x_text, gap_x_unit, gap_x_mm, gap_y_text, gap_y_unit, gap_y_mm, shim_text, shim_unit, shim_mm,
		spotting_text, spotting_unit, spotting_pct, hours_text, hours_unit, hours_s, note, at, by_badge)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $25, $26, $27, $28)`,
		args(a.seq, id, mould, e.Place, e.PocketX, e.PocketY, e.GapX, e.GapY, e.Shim, e.Spotting, e.Hours, e.Note, a.at(), a.By)...); err != nil {
		return err
	}
	for i, f := range e.Faces {
		if err := a.exec(`INSERT INTO fit_face (fit_id, place, face, removed_text, removed_unit, removed_mm, added_text, added_unit, added_mm, shim_text, shim_unit, shim_mm)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`, args(a.seq, i+1, f.Face, f.Removed, f.Added, f.Shim)...); err != nil {
			return err
		}
	}
	if err := a.exec("UPDATE mould_insert SET mould_id = $1, mould_place = $2 WHERE id = $3", mould, e.Place, id); err != nil {
		return err
	}
	if a.Corrects != 0 {
		return a.exec("UPDATE mould_insert SET place = $1 WHERE id = $2 AND status = $3", inMould(e.Mould), id, shop.StatusFitted)
	}
	if err := a.done(id, shop.OpFit); err != nil {
		return err
	}
	return a.stands(id, shop.StatusFitted, inMould(e.Mould))
}
