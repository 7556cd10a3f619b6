package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"sinterbook/store/shop"
)

const personColumns = `SELECT person.id, person.badge, coalesce(private_person.name, ''), person.roles, person.since_day, person.until_day, person.code
	FROM person LEFT JOIN private_person ON private_person.badge = person.badge`

func scanPerson(row scanner) (shop.Person, error) {
	var p shop.Person
	var roles string
	if err := row.Scan(&p.ID, &p.Badge, &p.Name, &roles, &p.From, &p.Until, &p.Code); err != nil {
		return p, err
	}
	for _, r := range strings.Split(roles, ",") {
		p.Roles = append(p.Roles, shop.Role(r))
	}
	return p, nil
}

// People lists everyone who ever had a badge, with their authorisations.
func (s *Store) People(ctx context.Context) ([]shop.Person, error) {
	people, err := list(ctx, s.db, "people", scanPerson, personColumns+" ORDER BY person.badge")
	if err != nil {
		return nil, err
	}
	for i := range people {
		if people[i].Authorised, err = authorised(ctx, s.db, people[i].ID); err != nil {
			return nil, err
		}
	}
	return people, nil
}

// Person is the person with a badge, or ErrNotFound.
func (s *Store) Person(ctx context.Context, badge string) (shop.Person, error) {
	return recently(&s.recent, "person/"+badge, func() (shop.Person, error) { return personByBadge(ctx, s.db, badge) })
}

func personByBadge(ctx context.Context, q querier, badge string) (shop.Person, error) {
	p, err := one("badge", badge, scanPerson, q.QueryRowContext(ctx, personColumns+" WHERE person.badge = $1", badge))
	if err != nil {
		return p, err
	}
	p.Authorised, err = authorised(ctx, q, p.ID)
	return p, err
}

func authorised(ctx context.Context, q querier, id int64) ([]shop.Authorisation, error) {
	return list(ctx, q, "authorisations", func(row scanner) (shop.Authorisation, error) {
		var a shop.Authorisation
		err := row.Scan(&a.Operation, &a.From, &a.Until, &a.GivenBy, &a.Evidence)
		return a, err
	}, "SELECT operation, since_day, until_day, given_by, evidence FROM authorisation WHERE person_id = $1 ORDER BY operation, since_day", id)
}

// Keys are the hashes by which a person signs in; all are empty when none were
// set, and for a badge that nobody has.
func (s *Store) Keys(ctx context.Context, badge string) (shop.PersonKeys, error) {
	k, err := one("badge", badge, func(row scanner) (shop.PersonKeys, error) {
		var k shop.PersonKeys
		err := row.Scan(&k.Name, &k.PIN, &k.Password)
		return k, err
	}, s.db.QueryRowContext(ctx, "SELECT name, pin_hash, password_hash FROM private_person WHERE badge = $1", badge))
	if errors.Is(err, shop.ErrNotFound) {
		return shop.PersonKeys{}, nil
	}
	return k, err
}

func (a applying) personAdded(e shop.PersonAdded) error {
	var roles []string
	for _, r := range e.Roles {
		roles = append(roles, string(r))
	}
	if err := a.add("badge", e.Badge, "INSERT INTO person (id, badge, roles, since_day, until_day, code) VALUES ($1, $2, $3, $4, '', $5)",
		a.seq, e.Badge, strings.Join(roles, ","), e.From, e.Code); err != nil {
		return err
	}
	return a.code(e.Code, "person", e.Badge)
}

func (a applying) personChanged(e shop.PersonChanged) error {
	id, err := thing(a.ctx, a.q, "person", e.Badge)
	if err != nil {
		return err
	}
	var roles []string
	for _, r := range e.Roles {
		roles = append(roles, string(r))
	}
	if err := a.exec("UPDATE person SET roles = $1, until_day = $2 WHERE id = $3", strings.Join(roles, ","), e.Until, id); err != nil {
		return err
	}
	return a.signOut(e.Badge)
}

// signOut ends every session of a person whose rights or keys are others now.
func (a applying) signOut(badge string) error {
	return a.exec("DELETE FROM session WHERE badge = $1", badge)
}

// personKeysSet writes beside the log. On a replay there is nothing to write:
// the table is not a projection and stands.
func (a applying) personKeysSet(e shop.PersonKeysSet) error {
	if _, err := thing(a.ctx, a.q, "person", e.Badge); err != nil {
		return err
	}
	if e.Private == (shop.PersonKeys{}) {
		return nil
	}
	if err := a.exec("INSERT INTO private_person (badge, name, pin_hash, password_hash) VALUES ($1, '', '', '') ON CONFLICT (badge) DO NOTHING", e.Badge); err != nil {
		return err
	}
	for _, set := range []struct{ what, column, value string }{
		{"name", "name", e.Private.Name}, {"PIN", "pin_hash", e.Private.PIN}, {"password", "password_hash", e.Private.Password},
	} {
		if !slices.Contains(e.What, set.what) {
			continue
		}
		if err := a.exec("UPDATE private_person SET "+set.column+" = $1 WHERE badge = $2", set.value, e.Badge); err != nil {
			return err
		}
	}
	if slices.Equal(e.What, []string{"name"}) {
		return nil
	}
	return a.signOut(e.Badge)
}

func (a applying) nameErased(e shop.NameErased) error {
	if _, err := thing(a.ctx, a.q, "person", e.Badge); err != nil {
		return err
	}
	if err := a.exec("UPDATE private_person SET name = '', pin_hash = '', password_hash = '' WHERE badge = $1", e.Badge); err != nil {
		return err
	}
	return a.signOut(e.Badge)
}

func (a applying) personAuthorised(e shop.PersonAuthorised) error {
	id, err := thing(a.ctx, a.q, "person", e.Badge)
	if err != nil {
		return err
	}
	return a.exec(`INSERT INTO authorisation (person_id, operation, since_day, until_day, given_by, evidence) VALUES ($1, $2, $3, $4, $5, $6)
		ON CONFLICT (person_id, operation, since_day) DO UPDATE SET until_day = excluded.until_day, given_by = excluded.given_by, evidence = excluded.evidence`,
		id, e.Operation, e.From, e.Until, a.By, e.Evidence)
}

// KeyHolders counts the quality managers who can sign in.
func (s *Store) KeyHolders(ctx context.Context) (n int, err error) {
	err = s.db.QueryRowContext(ctx, `SELECT count(*) FROM person JOIN private_person ON private_person.badge = person.badge
		WHERE person.roles LIKE '%' || $1 || '%' AND private_person.password_hash <> ''`, string(shop.QualityManager)).Scan(&n)
	if err != nil {
		return 0, fmt.Errorf("counting who can sign in: %w", err)
	}
	return n, nil
}

// Badge is a badge as the book spells it; one that nobody has comes back as it
// was typed.
func (s *Store) Badge(ctx context.Context, typed string) (string, error) {
	badge, err := one("badge", typed, word, s.db.QueryRowContext(ctx, "SELECT badge FROM person WHERE lower(badge) = lower($1)", typed))
	if errors.Is(err, shop.ErrNotFound) {
		return typed, nil
	}
	return badge, err
}
