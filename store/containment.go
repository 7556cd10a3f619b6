package store

import (
	"context"
	"fmt"
	"strings"

	"sinterbook/store/shop"
)

const containmentColumns = "SELECT id, containment, of_kind, of_code, narrowed, why, at, by_badge FROM containment"

func scanContainment(row scanner) (shop.Containment, error) {
	var c shop.Containment
	var at stamp
	err := row.Scan(&c.Seq, &c.Containment, &c.OfKind, &c.OfCode, &c.Narrowed, &c.Why, &at, &c.By)
	c.At = at.Time
	return c, err
}

// Containments lists all, newest first, with their holds and notices.
func (s *Store) Containments(ctx context.Context) ([]shop.Containment, error) {
	all, err := list(ctx, s.db, "containments", scanContainment, containmentColumns+" ORDER BY id DESC")
	for i := range all {
		if err == nil {
			err = s.contained(ctx, &all[i])
		}
	}
	return all, err
}

// Containment is one by its number, or ErrNotFound.
func (s *Store) Containment(ctx context.Context, number string) (shop.Containment, error) {
	c, err := one("containment", number, scanContainment, s.db.QueryRowContext(ctx, containmentColumns+" WHERE containment = $1", number))
	if err != nil {
		return c, err
	}
	return c, s.contained(ctx, &c)
}

func (s *Store) contained(ctx context.Context, c *shop.Containment) (err error) {
	if c.Holds, err = list(ctx, s.db, "holds of "+c.Containment, scanHold, holdColumns+" WHERE containment = $1 AND containment <> '' ORDER BY id", c.Containment); err != nil {
		return err
	}
	if c.Outside, err = list(ctx, s.db, "what is outside "+c.Containment, func(row scanner) (shop.OutOfReach, error) {
		var o shop.OutOfReach
		var since stamp
		err := row.Scan(&o.Insert, &o.Why, &o.Customer, &o.Mould, &o.Note, &since)
		o.Since = since.Time
		return o, err
	}, "SELECT i.serial, o.why, o.customer, o.mould, o.note, o.since_at FROM containment_outside o JOIN mould_insert i ON i.id = o.insert_id WHERE o.containment_id = $1 ORDER BY o.customer, o.mould, i.serial", c.Seq); err != nil {
		return err
	}
	c.Notices, err = list(ctx, s.db, "notices of "+c.Containment, func(row scanner) (shop.RecallNotice, error) {
		var n shop.RecallNotice
		var sent, answered stamp
		err := row.Scan(&n.Customer, &n.Says, &n.How, &sent, &n.SentBy, &n.Answer, &answered, &n.AnsweredBy)
		n.SentAt, n.AnsweredAt = sent.Time, answered.Time
		return n, err
	}, "SELECT customer, says, how, sent_at, sent_by, answer, answered_at, answered_by FROM recall_notice WHERE containment_id = $1 ORDER BY customer", c.Seq)
	return err
}

// contain decides which inserts of a containment are held, under which numbers,
// and which are out of reach.
func contain(ctx context.Context, q querier, e *shop.ContainmentBegun) error {
	e.Held, e.Outside = []shop.HeldAs{}, []shop.OutOfReach{}
	next, err := freeHolds(ctx, q)
	if err != nil {
		return err
	}
	for _, insert := range e.Inserts {
		i, err := insertByNumber(ctx, q, insert)
		if err != nil {
			return err
		}
		if i.Status == shop.StatusDelivered || i.Status == shop.StatusScrapped {
			o := shop.OutOfReach{Insert: insert, Why: i.Status, Mould: i.Mould, Since: i.Since}
			if i.Status == shop.StatusDelivered {
				if o.Customer, o.Note, err = deliveredTo(ctx, q, i); err != nil {
					return err
				}
			}
			e.Outside = append(e.Outside, o)
			continue
		}
		e.Held = append(e.Held, shop.HeldAs{Insert: insert, Hold: next()})
	}
	return nil
}

// freeHolds gives numbers of holds one after the other, none that is taken.
func freeHolds(ctx context.Context, q querier) (next func() string, err error) {
	numbers, err := list(ctx, q, "numbers of holds", word, "SELECT hold FROM hold")
	if err != nil {
		return nil, err
	}
	taken := make(map[string]bool, len(numbers))
	for _, n := range numbers {
		taken[n] = true
	}
	n := len(numbers)
	return func() string {
		for {
			n++
			if number := fmt.Sprintf("H-%03d", n); !taken[number] {
				return number
			}
		}
	}, nil
}

// recalled are those of some inserts that come back which a containment named
// while they were away, each with the hold that it is put under. A containment
// whose every hold was lifted has let them go as well.
func recalled(ctx context.Context, q querier, inserts []string) ([]shop.Recalled, error) {
	next, err := freeHolds(ctx, q)
	if err != nil {
		return nil, err
	}
	all := []shop.Recalled{}
	for _, insert := range inserts {
		named, err := list(ctx, q, "containments of "+insert, func(row scanner) (shop.Recalled, error) {
			r := shop.Recalled{Insert: insert}
			err := row.Scan(&r.Containment, &r.Why)
			return r, err
		}, `SELECT c.containment, c.why FROM containment_outside o JOIN containment c ON c.id = o.containment_id JOIN mould_insert i ON i.id = o.insert_id
			WHERE i.serial = $1 AND (NOT EXISTS (SELECT 1 FROM hold h WHERE h.containment = c.containment) OR EXISTS (SELECT 1 FROM hold h WHERE h.containment = c.containment AND h.lifted_at IS NULL)
			OR EXISTS (SELECT 1 FROM recall_notice n WHERE n.containment_id = c.id AND n.answered_at IS NULL)) ORDER BY c.id`, insert)
		if err != nil {
			return nil, err
		}
		for _, r := range named {
			r.Hold = next()
			all = append(all, r)
		}
	}
	return all, nil
}

// deliveredTo is who has an insert, and the note that it left with.
func deliveredTo(ctx context.Context, q querier, i shop.Insert) (customer, note string, err error) {
	o, err := orderByNumber(ctx, q, i.Order)
	if err != nil {
		return "", "", err
	}
	customer = o.Customer
	if i.Mould != "" {
		m, err := mouldByNumber(ctx, q, i.Mould)
		if err != nil {
			return "", "", err
		}
		customer = m.Customer
	}
	notes, err := list(ctx, q, "delivery notes", word, "SELECT d.note FROM delivery_item t JOIN delivery d ON d.id = t.delivery_id WHERE t.insert_id = $1 ORDER BY d.id DESC LIMIT 1", i.ID)
	if len(notes) > 0 {
		note = notes[0]
	}
	return customer, note, err
}

// lifting says what each of the holds lies on; all must stand and belong to the
// containment.
func lifting(ctx context.Context, q querier, e *shop.ContainmentLifted) error {
	if err := exists(ctx, q, "containment", e.Containment); err != nil {
		return err
	}
	e.Lifted = []shop.HeldAs{}
	for _, number := range e.Holds {
		h, err := one("hold", number, scanHold, q.QueryRowContext(ctx, holdColumns+" WHERE hold = $1", number))
		if err != nil {
			return err
		}
		if h.Containment != e.Containment {
			return shop.Wrong("holds", "Hold %s does not belong to containment %s.", number, e.Containment)
		}
		e.Lifted = append(e.Lifted, shop.HeldAs{Insert: h.OnCode, Hold: number})
	}
	return nil
}

// checkNotice refuses a notice to a customer who has nothing of it, one that
// was sent already, and an answer to what was not sent.
func checkNotice(ctx context.Context, q querier, containment, customer string, answers bool) error {
	id, err := thing(ctx, q, "containment", containment)
	if err != nil {
		return err
	}
	type state struct{ sent, answered bool }
	found, err := list(ctx, q, "notices", func(row scanner) (state, error) {
		var sent, answered stamp
		err := row.Scan(&sent, &answered)
		return state{!sent.IsZero(), !answered.IsZero()}, err
	}, "SELECT sent_at, answered_at FROM recall_notice WHERE containment_id = $1 AND customer = $2", id, customer)
	switch {
	case err != nil:
		return err
	case len(found) == 0:
		return shop.Wrong("customer", "Nothing of containment %s was delivered to %s.", containment, customer)
	case found[0].answered:
		return shop.Conflict("The notice to %s was answered already.", customer)
	case answers && !found[0].sent:
		return shop.Conflict("The notice to %s was not sent yet.", customer)
	case !answers && found[0].sent:
		return shop.Conflict("The notice to %s was sent already.", customer)
	}
	return nil
}

func (a applying) containmentBegun(e shop.ContainmentBegun) error {
	if err := a.add("containment", e.Containment, "INSERT INTO containment (id, containment, of_kind, of_code, narrowed, why, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		a.seq, e.Containment, e.OfKind, e.OfCode, e.Narrowed, e.Why, a.at(), a.By); err != nil {
		return err
	}
	for _, o := range e.Outside {
		insert, err := thing(a.ctx, a.q, "insert", o.Insert)
		if err != nil {
			return err
		}
		if err := a.exec("INSERT INTO containment_outside (containment_id, insert_id, why, customer, mould, note, since_at) VALUES ($1, $2, $3, $4, $5, $6, $7)",
			a.seq, insert, o.Why, o.Customer, o.Mould, o.Note, stamp{o.Since}); err != nil {
			return err
		}
		if o.Customer == "" {
			continue
		}
		if err := a.exec("INSERT INTO recall_notice (containment_id, customer, says, how, sent_by, answer, answered_by) VALUES ($1, $2, '', '', '', '', '') ON CONFLICT (containment_id, customer) DO NOTHING", a.seq, o.Customer); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) noticeSent(e shop.NoticeSent) error {
	return a.exec("UPDATE recall_notice SET says = $1, how = $2, sent_at = $3, sent_by = $4 WHERE containment_id = (SELECT id FROM containment WHERE containment = $5) AND customer = $6",
		e.Says, e.How, a.at(), a.By, e.Containment, e.Customer)
}

func (a applying) noticeAnswered(e shop.NoticeAnswered) error {
	return a.exec("UPDATE recall_notice SET answer = $1, answered_at = $2, answered_by = $3 WHERE containment_id = (SELECT id FROM containment WHERE containment = $4) AND customer = $5",
		e.Answer, a.at(), a.By, e.Containment, e.Customer)
}

func (a applying) traceDrilled(e shop.TraceDrilled) error {
	insert, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO trace_drill (id, insert_id, upstream, downstream, missing, took_us, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		a.seq, insert, e.Upstream, e.Downstream, strings.Join(e.Missing, "; "), e.Took, a.at(), a.By)
}
