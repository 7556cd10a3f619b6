package store

import (
	"context"
	"slices"

	"sinterbook/store/shop"
)

const concessionColumns = `SELECT c.id, c.concession, n.nonconformance, c.what, c.mould, c.customer, c.customer_reference, c.quantity, c.expires_day, c.given_at, c.given_by, c.withdrawn_at, c.withdrawn_by, c.withdrawn_why
	FROM concession c JOIN nonconformance n ON n.id = c.nonconformance_id`

func scanConcession(row scanner) (shop.Concession, error) {
	var c shop.Concession
	var given, withdrawn stamp
	err := row.Scan(&c.Seq, &c.Concession, &c.Nonconformance, &c.What, &c.Mould, &c.Customer, &c.CustomerReference, &c.Quantity, &c.ExpiresOn, &given, &c.GivenBy, &withdrawn, &c.WithdrawnBy, &c.WithdrawnWhy)
	c.GivenAt, c.WithdrawnAt = given.Time, withdrawn.Time
	return c, err
}

// Concessions lists what was given for a nonconformance, the oldest first.
func (s *Store) Concessions(ctx context.Context, nonconformance string) ([]shop.Concession, error) {
	return concessionsWith(ctx, s.db, " WHERE n.nonconformance = $1 ORDER BY c.id", nonconformance)
}

// Concession is a concession with its scope, or ErrNotFound.
func (s *Store) Concession(ctx context.Context, number string) (shop.Concession, error) {
	return concessionByNumber(ctx, s.db, number)
}

func concessionByNumber(ctx context.Context, q querier, number string) (shop.Concession, error) {
	all, err := concessionsWith(ctx, q, " WHERE c.concession = $1", number)
	if err == nil && len(all) == 0 {
		err = shop.NotFound("concession", number)
	}
	if err != nil {
		return shop.Concession{}, err
	}
	return all[0], nil
}

// ConcessionsOn lists what was given about an insert, the oldest first.
func (s *Store) ConcessionsOn(ctx context.Context, insert string) ([]shop.Concession, error) {
	return concessionsOn(ctx, s.db, insert)
}

func concessionsOn(ctx context.Context, q querier, insert string) ([]shop.Concession, error) {
	return concessionsWith(ctx, q, " WHERE c.id IN (SELECT concession_id FROM concession_insert x JOIN mould_insert i ON i.id = x.insert_id WHERE i.serial = $1) ORDER BY c.id", insert)
}

func concessionsWith(ctx context.Context, q querier, which, number string) ([]shop.Concession, error) {
	all, err := list(ctx, q, "concessions", scanConcession, concessionColumns+which, number)
	if err != nil {
		return nil, err
	}
	for i := range all {
		c := &all[i]
		const pieces = "SELECT i.serial FROM concession_insert x JOIN mould_insert i ON i.id = x.insert_id WHERE x.concession_id = $1"
		if c.Inserts, err = list(ctx, q, "pieces of a concession", word, pieces+" ORDER BY i.serial", c.Seq); err != nil {
			return nil, err
		}
		if c.Used, err = list(ctx, q, "pieces used", word, pieces+" AND (i.mould_id IS NOT NULL OR i.status = $2) AND i.status <> $3 ORDER BY i.serial", c.Seq, shop.StatusStock, shop.StatusScrapped); err != nil {
			return nil, err
		}
		if c.Limits, err = limitsOf(ctx, q, c.Seq); err != nil {
			return nil, err
		}
	}
	return all, nil
}

func limitsOf(ctx context.Context, q querier, concession int64) ([]shop.ConcessionLimit, error) {
	return list(ctx, q, "limits of a concession", func(row scanner) (shop.ConcessionLimit, error) {
		var l shop.ConcessionLimit
		var lower, upper readingColumns
		if err := row.Scan(append(append([]any{&l.Of}, lower.scan()...), upper.scan()...)...); err != nil {
			return l, err
		}
		return l, readings(map[*shop.Reading]*readingColumns{&l.Lower: &lower, &l.Upper: &upper})
	}, "SELECT of_characteristic, lower_text, lower_unit, lower_base, upper_text, upper_unit, upper_base FROM concession_limit WHERE concession_id = $1 ORDER BY place", concession)
}

// checkConcession refuses a concession for pieces that its nonconformance does
// not name, or for a mould that is not in the book.
func checkConcession(ctx context.Context, q querier, e shop.ConcessionGiven) error {
	items, err := nonconformanceOf(ctx, q, e.Nonconformance)
	if err != nil {
		return err
	}
	for _, insert := range e.Inserts {
		at := slices.IndexFunc(items, func(n shop.Nonconformance) bool { return n.Insert == insert })
		switch {
		case at < 0:
			return shop.Wrong("inserts", "Nonconformance %s does not name %s.", e.Nonconformance, insert)
		case items[at].State == shop.NCCancelled:
			return shop.Wrong("inserts", "Nonconformance %s on %s was cancelled.", e.Nonconformance, insert)
		}
	}
	if e.Mould == "" {
		return nil
	}
	mould, err := one("mould", e.Mould, scanMould, q.QueryRowContext(ctx, mouldColumns+" WHERE mould = $1", e.Mould))
	if err != nil {
		return err
	}
	if e.Customer != "" && mould.Customer != e.Customer {
		return shop.Wrong("mould", "Mould %s belongs to %s, not to %s.", e.Mould, mould.Customer, e.Customer)
	}
	return nil
}

// checkConcessionStands refuses to withdraw what was withdrawn, or is about
// something else.
func checkConcessionStands(ctx context.Context, q querier, e shop.ConcessionWithdrawn) error {
	c, err := concessionByNumber(ctx, q, e.Concession)
	switch {
	case err != nil:
		return err
	case !c.WithdrawnAt.IsZero():
		return shop.Conflict("Concession %s was withdrawn by %s already.", e.Concession, c.WithdrawnBy)
	case c.Nonconformance != e.Nonconformance || !slices.Equal(slices.Sorted(slices.Values(e.Inserts)), c.Inserts):
		return shop.Conflict("Concession %s is for %s under %s.", e.Concession, shop.Listed(c.Inserts), c.Nonconformance)
	}
	return nil
}

func (a applying) concessionGiven(e shop.ConcessionGiven) error {
	number, err := thing(a.ctx, a.q, "nonconformance", e.Nonconformance)
	if err != nil {
		return err
	}
	if err := a.add("concession", e.Concession, `INSERT INTO concession (id, concession, nonconformance_id, what, mould, customer, customer_reference, quantity, expires_day, given_at, given_by, withdrawn_by, withdrawn_why)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, '', '')`,
		a.seq, e.Concession, number, e.What, e.Mould, e.Customer, e.CustomerReference, e.Quantity, e.ExpiresOn, a.at(), a.By); err != nil {
		return err
	}
	for _, insert := range e.Inserts {
		id, err := thing(a.ctx, a.q, "insert", insert)
		if err != nil {
			return err
		}
		if err := a.exec("INSERT INTO concession_insert (concession_id, insert_id) VALUES ($1, $2)", a.seq, id); err != nil {
			return err
		}
	}
	for i, l := range e.Limits {
		if err := a.exec(`INSERT INTO concession_limit (concession_id, place, of_characteristic, lower_text, lower_unit, lower_base, upper_text, upper_unit, upper_base)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`, args(a.seq, i+1, l.Of, l.Lower, l.Upper)...); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) concessionWithdrawn(e shop.ConcessionWithdrawn) error {
	return a.exec("UPDATE concession SET withdrawn_at = $1, withdrawn_by = $2, withdrawn_why = $3 WHERE concession = $4", a.at(), a.By, e.Why, e.Concession)
}
