package store

import (
	"context"

	"sinterbook/store/shop"
)

const insertColumns = `SELECT i.id, i.serial, design.design, design.revision, o.order_no, route.template, route.version, coalesce(r.release, ''),
	i.opened_at, i.replaces, i.scratch, i.code, i.status, i.since_at, i.place, i.carrier, coalesce(l.load, ''), i.position,
	coalesce(mould.mould, ''), i.mould_place, i.open = 0, coalesce((SELECT n FROM subject WHERE subject.name = 'insert/' || i.serial), 0),
	coalesce((SELECT max(seq) FROM (SELECT max(b.decided_seq) AS seq FROM nonconformance_item b WHERE b.insert_id = i.id AND b.back NOT IN ('', 'fit-up')
		UNION ALL SELECT max(return_id) FROM return_item c WHERE c.insert_id = i.id AND c.back = 'inspection') again), 0),
	i.marked, i.marked_at, i.marked_by
	FROM mould_insert i JOIN design ON design.id = i.design_id JOIN customer_order o ON o.id = i.order_id JOIN route ON route.id = i.route_id
	LEFT JOIN design_release r ON r.id = i.release_id LEFT JOIN furnace_load l ON l.id = i.load_id LEFT JOIN mould ON mould.id = i.mould_id`

func scanInsert(row scanner) (shop.Insert, error) {
	var i shop.Insert
	var opened, since, marked stamp
	err := row.Scan(&i.ID, &i.Insert, &i.Design, &i.Revision, &i.Order, &i.Template, &i.Version, &i.Release,
		&opened, &i.Replaces, &i.Scratch, &i.Code, &i.Status, &since, &i.Place, &i.Carrier, &i.Load, &i.Position,
		&i.Mould, &i.MouldAt, &i.Done, &i.Count, &i.ReadFrom, &i.Marked, &marked, &i.MarkedBy)
	i.Opened, i.Since, i.MarkedAt = opened.Time, since.Time, marked.Time
	return i, err
}

// Insert is an insert with the steps of its traveler, or ErrNotFound.
func (s *Store) Insert(ctx context.Context, number string) (shop.Insert, error) {
	return insertByNumber(ctx, s.db, number)
}

func insertByNumber(ctx context.Context, q querier, number string) (shop.Insert, error) {
	i, err := one("insert", number, scanInsert, q.QueryRowContext(ctx, insertColumns+" WHERE i.serial = $1", number))
	if err != nil {
		return i, err
	}
	i.Steps, err = list(ctx, q, "steps", scanStep, `SELECT pass, step, operation, optional = 1, state, started_at, started_by, finished_at, finished_by, paused_at, paused_by
		FROM insert_step WHERE insert_id = $1 ORDER BY pass, step`, i.ID)
	return i, err
}

// insertAsked is the insert that gates are asked about.
func insertAsked(ctx context.Context, q querier, number string) (shop.Insert, error) {
	return kept(q, "insert/"+number, func() (shop.Insert, error) { return insertByNumber(ctx, q, number) })
}

func scanStep(row scanner) (shop.Step, error) {
	var st shop.Step
	var started, finished, paused stamp
	err := row.Scan(&st.Pass, &st.Step, &st.Operation, &st.Optional, &st.State, &started, &st.StartedBy, &finished, &st.FinishedBy, &paused, &st.PausedBy)
	st.StartedAt, st.FinishedAt, st.PausedAt = started.Time, finished.Time, paused.Time
	return st, err
}

// Inserts lists all inserts that have a thing in common, oldest first: an
// order, a lot, a container, a load, a mould, a machine or a release. kind ""
// asks for all of them. Steps are not read.
func (s *Store) Inserts(ctx context.Context, kind, number string) ([]shop.Insert, error) {
	where := map[string]string{
		"":          "$1 = $1",
		"order":     "o.order_no = $1",
		"load":      "i.id IN (SELECT insert_id FROM load_item JOIN furnace_load ON furnace_load.id = load_item.load_id WHERE furnace_load.load = $1)",
		"mould":     "mould.mould = $1",
		"release":   "r.release = $1",
		"design":    "design.design = $1",
		"machine":   "i.id IN (SELECT insert_id FROM print JOIN machine ON machine.id = print.machine_id WHERE machine.machine = $1)",
		"container": "i.id IN (SELECT insert_id FROM draw JOIN container ON container.id = draw.container_id WHERE container.container = $1 AND corrected_by IS NULL)",
		"lot": `i.id IN (SELECT insert_id FROM draw JOIN container ON container.id = draw.container_id JOIN lot ON lot.id = container.lot_id
			WHERE lot.lot = $1 AND corrected_by IS NULL)`,
	}[kind]
	if where == "" {
		return nil, shop.Wrong("kind", "Inserts are not listed by %s.", kind)
	}
	return list(ctx, s.db, "inserts", scanInsert, insertColumns+" WHERE "+where+" ORDER BY i.id", number)
}

// insertAt is the insert fitted at a place of a mould, "" when it is free.
func insertAt(ctx context.Context, q querier, mould, place string) (string, error) {
	id, err := thing(ctx, q, "mould", mould)
	if err != nil {
		return "", err
	}
	there, err := list(ctx, q, "inserts", word, "SELECT serial FROM mould_insert WHERE mould_id = $1 AND mould_place = $2 AND status NOT IN ($3, $4)", id, place, shop.StatusScrapped, shop.StatusDelivered)
	if err != nil || len(there) == 0 {
		return "", err
	}
	return there[0], nil
}

func (a applying) travelerOpened(e shop.TravelerOpened) error {
	d, err := designOf(a.ctx, a.q, e.Design, e.Revision)
	if err != nil {
		return err
	}
	o, err := orderByNumber(a.ctx, a.q, e.Order)
	if err != nil {
		return err
	}
	if o.Design != e.Design {
		return shop.Conflict("Order %s is for %s, not %s.", e.Order, o.Design, e.Design)
	}
	r, err := routeOf(a.ctx, a.q, e.Template, e.Version)
	if err != nil {
		return err
	}
	if e.Replaces != "" {
		if _, err := thing(a.ctx, a.q, "insert", e.Replaces); err != nil {
			return err
		}
	}
	if err := a.add("insert", e.Insert, `INSERT INTO mould_insert (id, serial, design_id, order_id, route_id, opened_at, replaces, scratch, code,
		status, since_at, place, carrier, position, mould_place, next_operation, next_begun, open) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $6, '', '', '', '', '', 0, 1)`,
		a.seq, e.Insert, d.ID, o.ID, r.ID, a.at(), e.Replaces, e.Scratch, e.Code, shop.StatusOpened); err != nil {
		return err
	}
	for _, st := range r.Steps {
		if err := a.exec(`INSERT INTO insert_step (insert_id, pass, step, operation, optional, state, started_by, finished_by) VALUES ($1, 1, $2, $3, $4, $5, '', '')`,
			a.seq, st.Step, st.Operation, flag(st.Optional), shop.Todo); err != nil {
			return err
		}
	}
	if err := a.moved(a.seq); err != nil {
		return err
	}
	return a.code(e.Code, "insert", e.Insert)
}

func (a applying) releaseAssigned(e shop.ReleaseAssigned) error {
	r, err := thing(a.ctx, a.q, "release", e.Release)
	if err != nil {
		return err
	}
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET release_id = $1 WHERE id = $2", r, id); err != nil {
		return err
	}
	return a.done(id, shop.OpRelease)
}

func (a applying) stepLeftOut(e shop.StepLeftOut) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec("UPDATE insert_step SET state = $1, finished_at = $2, finished_by = $3 WHERE insert_id = $4 AND operation = $5 AND state = $6",
		shop.LeftOut, a.at(), a.By, id, e.Op, shop.Todo); err != nil {
		return err
	}
	return a.moved(id)
}

// checkScrap refuses to scrap what has left the house, is scrapped already, or
// is in the furnace, where nobody can take it out of its load.
func checkScrap(ctx context.Context, q querier, e shop.InsertScrapped) error {
	i, err := insertByNumber(ctx, q, e.Insert)
	if err != nil {
		return err
	}
	if i.Status == shop.StatusScrapped || i.Status == shop.StatusDelivered {
		return shop.Conflict("%s is %s: it cannot be scrapped here.", e.Insert, i.Status)
	}
	if i.Status == shop.StatusSintering {
		return shop.Conflict("%s is in the furnace with load %s: it can be scrapped once the load is unloaded.", e.Insert, i.Load)
	}
	return nil
}

func (a applying) insertScrapped(e shop.InsertScrapped) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec("DELETE FROM load_item WHERE insert_id = $1 AND load_id IN (SELECT id FROM furnace_load WHERE door_closed_at IS NULL)", id); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET load_id = NULL, position = '' WHERE id = $1 AND status = $2", id, shop.StatusLoaded); err != nil {
		return err
	}
	return a.exec("UPDATE mould_insert SET status = $1, since_at = $2, open = 0, carrier = '' WHERE id = $3", shop.StatusScrapped, a.at(), id)
}

// started marks the operation of an insert as under way.
func (a applying) started(insert int64, operation string) error {
	if err := a.begun(insert, operation); err != nil {
		return err
	}
	return a.moved(insert)
}

func (a applying) begun(insert int64, operation string) error {
	return a.exec("UPDATE insert_step SET state = $1, started_at = $2, started_by = $3 WHERE insert_id = $4 AND operation = $5 AND state = $6",
		shop.Started, a.at(), a.By, insert, operation, shop.Todo)
}

// done marks the operation of an insert as finished; one that was not started
// started and finished at once.
func (a applying) done(insert int64, operation string) error {
	if err := a.begun(insert, operation); err != nil {
		return err
	}
	if err := a.exec("UPDATE insert_step SET state = $1, finished_at = $2, finished_by = $3, paused_at = NULL, paused_by = '' WHERE insert_id = $4 AND operation = $5 AND state = $6",
		shop.Finished, a.at(), a.By, insert, operation, shop.Started); err != nil {
		return err
	}
	return a.moved(insert)
}

// moved keeps on the insert's own row what comes next, so that the floor need
// not look through its steps.
func (a applying) moved(insert int64) error {
	const next = " FROM insert_step n WHERE n.insert_id = $1 AND n.state IN ('to do', 'started') ORDER BY pass, step LIMIT 1"
	return a.exec("UPDATE mould_insert SET next_operation = coalesce((SELECT operation"+next+
		"), ''), next_begun = coalesce((SELECT CASE state WHEN 'started' THEN 1 ELSE 0 END"+next+"), 0) WHERE id = $1", insert)
}

// stands says where an insert is from now on, in the shop's words.
func (a applying) stands(insert int64, status, place string) error {
	return a.exec("UPDATE mould_insert SET status = $1, since_at = $2, place = $3 WHERE id = $4", status, a.at(), place, insert)
}
