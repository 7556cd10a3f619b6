package store

import (
	"context"

	"sinterbook/store/shop"
)

// A Tempering is one tempering of an insert.
type Tempering struct {
	Seq        int64
	Recipe     string
	Oven       string
	StartedAt  stamp
	StartedBy  string
	FinishedAt stamp
	FinishedBy string
}

// Temperings lists the temperings of an insert, one for each pass of its route.
func (s *Store) Temperings(ctx context.Context, insert string) ([]Tempering, error) {
	return list(ctx, s.db, "temperings", func(row scanner) (Tempering, error) {
		var t Tempering
		err := row.Scan(&t.Seq, &t.Recipe, &t.Oven, &t.StartedAt, &t.StartedBy, &t.FinishedAt, &t.FinishedBy)
		return t, err
	}, `SELECT tempering.id, recipe, oven, started_at, started_by, finished_at, finished_by
		FROM tempering JOIN mould_insert ON mould_insert.id = tempering.insert_id WHERE mould_insert.serial = $1 ORDER BY tempering.id`, insert)
}

func (a applying) temperingStarted(e shop.TemperingStarted) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec("INSERT INTO tempering (id, insert_id, recipe, oven, started_at, started_by, finished_by) VALUES ($1, $2, $3, $4, $5, $6, '')",
		a.seq, id, e.Recipe, e.Oven, a.at(), a.By); err != nil {
		return err
	}
	if err := a.started(id, shop.OpTemper); err != nil {
		return err
	}
	return a.stands(id, shop.StatusTempering, "oven "+e.Oven)
}

func (a applying) temperingFinished(e shop.TemperingFinished) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec("UPDATE tempering SET finished_at = $1, finished_by = $2 WHERE insert_id = $3 AND finished_at IS NULL", a.at(), a.By, id); err != nil {
		return err
	}
	if err := a.done(id, shop.OpTemper); err != nil {
		return err
	}
	return a.stands(id, shop.StatusTempered, "waits for inspection")
}
