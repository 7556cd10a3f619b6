package store

import (
	"context"
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

// checkShippable refuses to ship a mould that is not whole or not here.
func checkShippable(ctx context.Context, q querier, ev shop.MouldShipped) error {
	fitted, err := fittedIn(ctx, q, ev.Mould)
	if err != nil {
		return err
	}
	if len(fitted) == 0 {
		return shop.Wrong("inserts", "No insert is fitted in mould %s: there is nothing to deliver.", ev.Mould)
	}
	if !slices.Equal(slices.Sorted(slices.Values(ev.Inserts)), slices.Sorted(slices.Values(fitted))) {
		return shop.Wrong("inserts", "Mould %s holds %s: a delivery names them all.", ev.Mould, shop.Listed(fitted))
	}
	return nil
}

// fittedIn lists the inserts fitted in a mould that is still here.
func fittedIn(ctx context.Context, q querier, mould string) ([]string, error) {
	id, err := thing(ctx, q, "mould", mould)
	if err != nil {
		return nil, err
	}
	return list(ctx, q, "inserts", word, "SELECT serial FROM mould_insert WHERE mould_id = $1 AND status = $2 ORDER BY serial", id, shop.StatusFitted)
}

func (a applying) mouldShipped(e shop.MouldShipped) error {
	mould, err := mouldByNumber(a.ctx, a.q, e.Mould)
	if err != nil {
		return err
	}
	if err := a.exec("INSERT INTO delivery (id, mould_id, note, at, by_badge) VALUES ($1, $2, $3, $4, $5)", a.seq, mould.ID, e.Note, a.at(), a.By); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould SET shipped_at = $1 WHERE id = $2", a.at(), mould.ID); err != nil {
		return err
	}
	for _, insert := range e.Inserts {
		id, err := thing(a.ctx, a.q, "insert", insert)
		if err != nil {
			return err
		}
		if err := a.exec("INSERT INTO delivery_item (delivery_id, insert_id) VALUES ($1, $2)", a.seq, id); err != nil {
			return err
		}
		if err := a.done(id, shop.OpDeliver); err != nil {
			return err
		}
		if err := a.stands(id, shop.StatusDelivered, fmt.Sprintf("%s at %s", e.Mould, mould.Customer)); err != nil {
			return err
		}
		if err := a.exec("UPDATE mould_insert SET open = 0 WHERE id = $1", id); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) putToStock(e shop.PutToStock) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.done(id, shop.OpDeliver); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET open = 0 WHERE id = $1", id); err != nil {
		return err
	}
	return a.stands(id, shop.StatusStock, e.Place)
}

// inToolroom refuses what can only be done to a mould that is here.
func inToolroom(ctx context.Context, q querier, mould string) error {
	m, err := mouldByNumber(ctx, q, mould)
	if err != nil || m.Shipped.IsZero() {
		return err
	}
	return shop.Conflict("Mould %s is at customer %s: record its return first.", mould, m.Customer)
}

// checkReturned refuses a mould that is here, and inserts that did not leave
// with it.
func checkReturned(ctx context.Context, q querier, e shop.MouldReturned) error {
	m, err := mouldByNumber(ctx, q, e.Mould)
	if err != nil {
		return err
	}
	if m.Shipped.IsZero() {
		return shop.Conflict("Mould %s is in the toolroom: it was not delivered.", e.Mould)
	}
	for _, insert := range e.Inserts {
		i, err := insertByNumber(ctx, q, insert)
		if err != nil {
			return err
		}
		if i.Status != shop.StatusDelivered || i.Mould != e.Mould {
			return shop.Wrong("inserts", "%s was not delivered in mould %s: it is %s, %s.", insert, e.Mould, i.Status, i.Where())
		}
	}
	return nil
}

func checkInsertReturned(ctx context.Context, q querier, e shop.InsertReturned) error {
	i, err := insertByNumber(ctx, q, e.Insert)
	if err != nil {
		return err
	}
	if i.Status != shop.StatusDelivered {
		return shop.Conflict("%s is %s, %s: only what was delivered can come back.", e.Insert, i.Status, i.Where())
	}
	if _, ok := i.StepOf(e.Back); !ok {
		return shop.Wrong("back", "The route of %s has no %s.", e.Insert, e.Back)
	}
	return nil
}

func (a applying) mouldReturned(e shop.MouldReturned) error {
	mould, err := thing(a.ctx, a.q, "mould", e.Mould)
	if err != nil {
		return err
	}
	if err := a.exec("INSERT INTO customer_return (id, mould_id, note, why, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6)", a.seq, mould, e.Note, e.Why, a.at(), a.By); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould SET shipped_at = NULL WHERE id = $1", mould); err != nil {
		return err
	}
	for _, insert := range e.Inserts {
		id, err := a.cameBack(insert, shop.OpDeliver)
		if err != nil {
			return err
		}
		if err := a.stands(id, shop.StatusFitted, inMould(e.Mould)); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) insertReturned(e shop.InsertReturned) error {
	if err := a.exec("INSERT INTO customer_return (id, note, why, at, by_badge) VALUES ($1, $2, $3, $4, $5)", a.seq, e.Note, e.Why, a.at(), a.By); err != nil {
		return err
	}
	id, err := a.cameBack(e.Insert, e.Back)
	if err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET mould_id = NULL, mould_place = '' WHERE id = $1", id); err != nil {
		return err
	}
	return a.stands(id, shop.StatusBefore(e.Back), e.Place)
}

// cameBack opens the traveler of a returned insert again, with another pass
// from an operation on.
func (a applying) cameBack(insert, operation string) (int64, error) {
	i, err := insertByNumber(a.ctx, a.q, insert)
	if err != nil {
		return 0, err
	}
	if err := a.exec("INSERT INTO return_item (return_id, insert_id, back) VALUES ($1, $2, $3)", a.seq, i.ID, operation); err != nil {
		return 0, err
	}
	if err := a.exec("UPDATE mould_insert SET open = 1 WHERE id = $1", i.ID); err != nil {
		return 0, err
	}
	return i.ID, a.again(i, operation)
}

// Impediments say what stands in the way of stating that an insert conforms:
// holds, failed characteristics that no concession covers where it is, and
// nonconformances that wait. Of a delivered one that is judged as of its
// delivery; holds count as they stand now.
func (s *Store) Impediments(ctx context.Context, number string) ([]string, error) {
	at, err := s.Where(ctx, number)
	if err != nil {
		return nil, err
	}
	i, err := s.Insert(ctx, number)
	if err != nil {
		return nil, err
	}
	zone, err := s.Zone(ctx)
	if err != nil {
		return nil, err
	}
	f := shop.Facts{At: s.Now(), Zone: zone, Insert: i, ToMould: i.Mould, Operation: shop.OpDeliver}
	if i.Status == shop.StatusDelivered {
		f.At, f.Later = i.Since, true
	}
	if err := nonconforming(ctx, s.db, number, &f); err != nil {
		return nil, err
	}
	var said []string
	for _, h := range at.HeldBy {
		said = append(said, number+" is held by "+h+".")
	}
	for _, o := range shop.Object([]shop.Gate{shop.FailHasNonconformance, shop.NonconformanceClosed}, f) {
		said = append(said, o.Why)
	}
	outside, err := list(ctx, s.db, "containments of "+number, word, `SELECT c.containment FROM containment_outside o JOIN containment c ON c.id = o.containment_id JOIN mould_insert i ON i.id = o.insert_id
		JOIN recall_notice n ON n.containment_id = c.id AND n.answered_at IS NULL WHERE i.serial = $1`, number)
	for _, c := range outside {
		said = append(said, number+" is named by containment "+c+".")
	}
	return said, err
}

// Deliveries lists when a mould left and came back, oldest first.
func (s *Store) Deliveries(ctx context.Context, mould string) ([]shop.Delivery, error) {
	all, err := list(ctx, s.db, "deliveries", func(row scanner) (shop.Delivery, error) {
		d := shop.Delivery{Mould: mould}
		var at stamp
		err := row.Scan(&d.Seq, &d.Note, &d.Why, &at, &d.By)
		d.At = at.Time
		return d, err
	}, `SELECT d.id, d.note, '', d.at, d.by_badge FROM delivery d JOIN mould m ON m.id = d.mould_id WHERE m.mould = $1
		UNION ALL SELECT r.id, r.note, r.why, r.at, r.by_badge FROM customer_return r JOIN mould m ON m.id = r.mould_id WHERE m.mould = $1 ORDER BY 1`, mould)
	if err != nil {
		return nil, err
	}
	for i, d := range all {
		if all[i].Inserts, err = list(ctx, s.db, "inserts delivered", word, `SELECT serial FROM mould_insert WHERE id IN
			(SELECT insert_id FROM delivery_item WHERE delivery_id = $1 UNION ALL SELECT insert_id FROM return_item WHERE return_id = $1) ORDER BY serial`, d.Seq); err != nil {
			return nil, err
		}
	}
	return all, nil
}
