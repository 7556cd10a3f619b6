package store

import (
	"context"
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

const nonconformanceColumns = `SELECT t.id, n.nonconformance, i.serial, t.what, t.raised_at, t.raised_by, t.state, t.disposition, t.back, t.decided_at, t.decided_by, t.note
	FROM nonconformance_item t JOIN nonconformance n ON n.id = t.nonconformance_id JOIN mould_insert i ON i.id = t.insert_id`

func scanNonconformance(row scanner) (shop.Nonconformance, error) {
	var n shop.Nonconformance
	var raised, decided stamp
	err := row.Scan(&n.Seq, &n.Number, &n.Insert, &n.What, &raised, &n.RaisedBy, &n.State, &n.Disposition, &n.Back, &decided, &n.DecidedBy, &n.Note)
	n.RaisedAt, n.DecidedAt = raised.Time, decided.Time
	return n, err
}

// Nonconformance lists the pieces of a nonconformance in the order in which
// they were named, or ErrNotFound.
func (s *Store) Nonconformance(ctx context.Context, number string) ([]shop.Nonconformance, error) {
	return nonconformanceOf(ctx, s.db, number)
}

func nonconformanceOf(ctx context.Context, q querier, number string) ([]shop.Nonconformance, error) {
	all, err := list(ctx, q, "nonconformance", scanNonconformance, nonconformanceColumns+" WHERE n.nonconformance = $1 ORDER BY t.id", number)
	if err == nil && len(all) == 0 {
		err = shop.NotFound("nonconformance", number)
	}
	return all, err
}

// NonconformancesOpen lists the pieces that wait for a decision, the oldest
// first.
func (s *Store) NonconformancesOpen(ctx context.Context) ([]shop.Nonconformance, error) {
	return list(ctx, s.db, "open nonconformances", scanNonconformance, nonconformanceColumns+" WHERE t.state = 'open' ORDER BY t.raised_at, t.id")
}

// NonconformancesDecided lists those that wait for nobody any more, the newest
// first, from a row on; 0 begins at the newest.
func (s *Store) NonconformancesDecided(ctx context.Context, before int64, limit int) ([]shop.Nonconformance, error) {
	return list(ctx, s.db, "decided nonconformances", scanNonconformance, nonconformanceColumns+" WHERE t.state <> 'open' AND ($1 = 0 OR t.id < $1) ORDER BY t.id DESC LIMIT $2", before, limit)
}

// NonconformancesOn lists what was raised about an insert, the oldest first.
func (s *Store) NonconformancesOn(ctx context.Context, insert string) ([]shop.Nonconformance, error) {
	return nonconformancesOn(ctx, s.db, insert)
}

func nonconformancesOn(ctx context.Context, q querier, insert string) ([]shop.Nonconformance, error) {
	return list(ctx, q, "nonconformances", scanNonconformance, nonconformanceColumns+" WHERE i.serial = $1 ORDER BY t.id", insert)
}

// checkRaised refuses a number under which nothing waits any more, and a piece
// that was named under it before.
func checkRaised(ctx context.Context, q querier, e shop.NonconformanceRaised) error {
	if err := exists(ctx, q, "insert", e.Insert); err != nil {
		return err
	}
	all, err := list(ctx, q, "nonconformance", scanNonconformance, nonconformanceColumns+" WHERE n.nonconformance = $1", e.Nonconformance)
	if err != nil || len(all) == 0 {
		return err
	}
	if slices.ContainsFunc(all, func(n shop.Nonconformance) bool { return n.Insert == e.Insert }) {
		return shop.Conflict("Nonconformance %s names %s already.", e.Nonconformance, e.Insert)
	}
	if !slices.ContainsFunc(all, func(n shop.Nonconformance) bool { return n.State == shop.NCOpen }) {
		return shop.Conflict("Nonconformance %s is %s: its number stays with what it was about. Take a new one.", e.Nonconformance, all[0].State)
	}
	return nil
}

// openItems are the pieces that an act closes; each must wait for a decision.
func openItems(ctx context.Context, q querier, number string, inserts []string) error {
	all, err := nonconformanceOf(ctx, q, number)
	if err != nil {
		return err
	}
	for _, insert := range inserts {
		at := slices.IndexFunc(all, func(n shop.Nonconformance) bool { return n.Insert == insert })
		switch {
		case at < 0:
			return shop.Conflict("Nonconformance %s does not name %s.", number, insert)
		case all[at].State != shop.NCOpen:
			return shop.Conflict("Nonconformance %s on %s was %s by %s already.", number, insert, all[at].State, all[at].DecidedBy)
		}
	}
	return nil
}

func checkDecided(ctx context.Context, q querier, e shop.NonconformanceDecided) error {
	if err := openItems(ctx, q, e.Nonconformance, e.Inserts); err != nil {
		return err
	}
	for _, insert := range e.Inserts {
		i, err := insertByNumber(ctx, q, insert)
		if err != nil {
			return err
		}
		if err := followable(ctx, q, i, e); err != nil {
			return err
		}
	}
	return nil
}

// followable refuses a decision that the piece cannot follow from where it is.
func followable(ctx context.Context, q querier, i shop.Insert, e shop.NonconformanceDecided) error {
	switch {
	case e.Disposition == shop.ScrapIt && i.Status != shop.StatusScrapped:
		return checkScrap(ctx, q, shop.InsertScrapped{Insert: i.Insert})
	case !e.Disposition.GoesBack():
		return nil
	case i.Done:
		return shop.Conflict("%s is %s: it cannot go back to %s.", i.Insert, i.Status, e.Back)
	case i.Status == shop.StatusLoaded:
		return shop.Conflict("%s lies in load %s: take it out first.", i.Insert, i.Load)
	}
	if s, ok := i.StepOf(e.Back); !ok || s.State == shop.Todo {
		return shop.Conflict("%s has not come to %s: there is nothing to go back to.", i.Insert, e.Back)
	}
	if next, ok := i.Next(); ok && next.State == shop.Started && next.Operation != shop.OpInspect {
		return shop.Conflict("%s is under way with %s: finish that first.", i.Insert, next.Operation)
	}
	return nil
}

func (a applying) nonconformanceRaised(e shop.NonconformanceRaised) error {
	if err := a.exec("INSERT INTO nonconformance (id, nonconformance) VALUES ($1, $2) ON CONFLICT (nonconformance) DO NOTHING", a.seq, e.Nonconformance); err != nil {
		return err
	}
	number, err := thing(a.ctx, a.q, "nonconformance", e.Nonconformance)
	if err != nil {
		return err
	}
	insert, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	return a.exec(`INSERT INTO nonconformance_item (id, nonconformance_id, insert_id, what, raised_at, raised_by, state, disposition, back, decided_by, note)
		VALUES ($1, $2, $3, $4, $5, $6, $7, '', '', '', '')`, a.seq, number, insert, e.What, a.at(), a.By, shop.NCOpen)
}

func (a applying) nonconformanceDecided(e shop.NonconformanceDecided) error {
	for _, insert := range e.Inserts {
		if err := a.settle(e.Nonconformance, insert, shop.NCClosed, e.Disposition, e.Back, e.Why); err != nil {
			return err
		}
		if err := a.follow(insert, e); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) nonconformanceCancelled(e shop.NonconformanceCancelled) error {
	for _, insert := range e.Inserts {
		if err := a.settle(e.Nonconformance, insert, shop.NCCancelled, "", "", e.Why); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) settle(number, insert string, state shop.NonconformanceState, d shop.Disposition, back, why string) error {
	return a.exec(`UPDATE nonconformance_item SET state = $1, disposition = $2, back = $3, decided_seq = $4, decided_at = $5, decided_by = $6, note = $7
		WHERE nonconformance_id = (SELECT id FROM nonconformance WHERE nonconformance = $8) AND insert_id = (SELECT id FROM mould_insert WHERE serial = $9)`,
		state, d, back, a.seq, a.at(), a.By, why, number, insert)
}

// follow does to a piece what was decided about it.
func (a applying) follow(insert string, e shop.NonconformanceDecided) error {
	switch {
	case e.Disposition == shop.ScrapIt:
		i, err := insertByNumber(a.ctx, a.q, insert)
		if err != nil || i.Status == shop.StatusScrapped {
			return err
		}
		return a.insertScrapped(shop.InsertScrapped{Insert: insert, Why: e.Why})
	case e.Disposition.GoesBack():
		return a.goBack(insert, e.Back)
	}
	return nil
}

// goBack sends an insert back to an operation. What was done stays on the
// traveler; what was to be done comes again in the new pass.
func (a applying) goBack(insert, operation string) error {
	i, err := insertByNumber(a.ctx, a.q, insert)
	if err != nil {
		return err
	}
	if err := a.again(i, operation); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET mould_id = NULL, mould_place = '' WHERE id = $1", i.ID); err != nil {
		return err
	}
	return a.stands(i.ID, shop.StatusBefore(operation), "waits for "+operation)
}

// again begins another pass of an insert's route from an operation on.
func (a applying) again(i shop.Insert, operation string) error {
	from, ok := i.StepOf(operation)
	if !ok {
		return fmt.Errorf("%s has no %s", i.Insert, operation)
	}
	if err := a.exec("DELETE FROM insert_step WHERE insert_id = $1 AND state = $2", i.ID, shop.Todo); err != nil {
		return err
	}
	if err := a.exec("UPDATE insert_step SET state = $1, finished_at = $2, finished_by = $3, paused_at = NULL, paused_by = '' WHERE insert_id = $4 AND state = $5", shop.BrokenOff, a.at(), a.By, i.ID, shop.Started); err != nil {
		return err
	}
	if err := a.exec(`INSERT INTO insert_step (insert_id, pass, step, operation, optional, state, started_by, finished_by)
		SELECT i.id, (SELECT max(pass) + 1 FROM insert_step p WHERE p.insert_id = i.id), s.step, s.operation, s.optional, $1, '', ''
		FROM mould_insert i JOIN route_step s ON s.route_id = i.route_id WHERE i.id = $2 AND s.step >= $3`, shop.Todo, i.ID, from.Step); err != nil {
		return err
	}
	return a.moved(i.ID)
}
