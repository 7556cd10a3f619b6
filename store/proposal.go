package store

import (
	"context"
	"fmt"
	"slices"
	"time"

	"sinterbook/store/shop"
)

const proposalColumns = `SELECT p.id, p.proposal, lot.lot, p.basis, p.evidence, p.at, p.by_badge, p.state, p.decided_at, p.decided_by, p.decided_why
	FROM factor_proposal p JOIN lot ON lot.id = p.lot_id`

func scanProposal(row scanner) (shop.Proposal, error) {
	var p shop.Proposal
	var at, decided stamp
	err := row.Scan(&p.Seq, &p.Proposal, &p.Lot, &p.Basis, &p.Evidence, &at, &p.By, &p.State, &decided, &p.DecidedBy, &p.DecidedWhy)
	p.At, p.DecidedAt = at.Time, decided.Time
	return p, err
}

// Proposals lists the factors that were proposed for a lot, oldest first.
func (s *Store) Proposals(ctx context.Context, lot string) ([]shop.Proposal, error) {
	all, err := list(ctx, s.db, "proposals", scanProposal, proposalColumns+" WHERE lot.lot = $1 ORDER BY p.id", lot)
	for i := range all {
		if all[i].Lines, err = linesOfProposal(ctx, s.db, all[i].Seq); err != nil {
			return nil, err
		}
	}
	return all, err
}

// Proposal is a proposal by its number, or ErrNotFound.
func (s *Store) Proposal(ctx context.Context, number string) (shop.Proposal, error) {
	return proposalByNumber(ctx, s.db, number)
}

func proposalByNumber(ctx context.Context, q querier, number string) (shop.Proposal, error) {
	p, err := one("factor", number, scanProposal, q.QueryRowContext(ctx, proposalColumns+" WHERE p.proposal = $1", number))
	if err != nil {
		return p, err
	}
	p.Lines, err = linesOfProposal(ctx, q, p.Seq)
	return p, err
}

func linesOfProposal(ctx context.Context, q querier, id int64) ([]shop.ProposedFactor, error) {
	return list(ctx, q, "lines of a proposal", func(row scanner) (shop.ProposedFactor, error) {
		var l shop.ProposedFactor
		var s, k, low, high readingColumns
		into := slices.Concat([]any{&l.Axis}, s.scan(), k.scan(), low.scan(), high.scan(), []any{&l.N, &l.Method, &l.TakenFrom})
		if err := row.Scan(into...); err != nil {
			return l, err
		}
		return l, readings(map[*shop.Reading]*readingColumns{&l.S: &s, &l.K: &k, &l.Low: &low, &l.High: &high})
	}, `SELECT axis, s_text, s_unit, s_pct, k_text, k_unit, k_base, low_text, low_unit, low_pct, high_text, high_unit, high_pct, n, method, taken_from
		FROM factor_line WHERE proposal_id = $1 ORDER BY axis`, id)
}

// A Touched release is an open one of a lot that some factors do not agree
// with, with the inserts that were planned or made to it and not sintered yet.
type Touched struct {
	shop.Release
	Shifts  []shop.Shift
	Inserts []shop.Insert
	Coupons bool // only coupons were printed by it
}

// Touched lists what the factors of a lot as they would stand with some more do
// to the open releases, those that wait for a signature as well.
func (s *Store) Touched(ctx context.Context, lot string, more []shop.Factor) ([]Touched, error) {
	all, err := touched(ctx, s.db, lot, more, s.Now())
	for i := range all {
		t := &all[i]
		made, err := s.Inserts(ctx, "release", t.Release.Release)
		if err != nil {
			return nil, err
		}
		t.Inserts = slices.DeleteFunc(made, func(i shop.Insert) bool { return !i.Unsintered() })
	}
	return all, err
}

func touched(ctx context.Context, q querier, lot string, more []shop.Factor, at time.Time) ([]Touched, error) {
	releases, err := list(ctx, q, "releases", scanRelease, releaseColumns+` WHERE superseded_by = '' AND (lot.lot = $1 OR design_release.id IN (SELECT release_id FROM release_lot
		JOIN lot further ON further.id = release_lot.lot_id WHERE further.lot = $1)) ORDER BY design_release.id`, lot)
	if err != nil {
		return nil, err
	}
	var all []Touched
	for _, r := range releases {
		if err := completed(ctx, q, &r); err != nil {
			return nil, err
		}
		shifts, err := shiftsOf(ctx, q, r, more, at)
		if err != nil {
			return nil, err
		}
		shifts = slices.DeleteFunc(shifts, func(s shop.Shift) bool { return s.Lot != lot })
		if len(shifts) == 0 {
			continue
		}
		coupons, err := onlyCoupons(ctx, q, r)
		if err != nil {
			return nil, err
		}
		all = append(all, Touched{Release: r, Shifts: shifts, Coupons: coupons})
	}
	return all, nil
}

// onlyCoupons reports whether coupons were printed by a release, and no insert is
// planned by it.
func onlyCoupons(ctx context.Context, q querier, r shop.Release) (bool, error) {
	coupons, err := list(ctx, q, "coupons of a release", word, "SELECT coupon FROM coupon WHERE release = $1 AND NOT EXISTS (SELECT 1 FROM mould_insert WHERE release_id = $2) LIMIT 1", r.Release, r.ID)
	return len(coupons) > 0, err
}

// A GreenInsert is one that was printed of a lot and is not sintered yet, with
// the factors that its machine was given and how they differ from the lot's.
type GreenInsert struct {
	shop.Insert
	Given  shop.Release
	Shifts []shop.Shift
}

// greenOf are the inserts that were printed of a lot and are not sintered yet: by
// what was drawn for them, by the release that they were printed by, whatever
// became of it, and by a change of lot that was signed within the print. Few
// inserts are open, so it begins with these. $1 is the lot.
const greenOf = insertColumns + ` WHERE i.id IN (SELECT id FROM mould_insert WHERE open = 1) AND i.status IN ($2, $3, $4, $5, $6) AND (
	EXISTS (SELECT 1 FROM draw d JOIN container c ON c.id = d.container_id JOIN lot ON lot.id = c.lot_id WHERE d.insert_id = i.id AND lot.lot = $1 AND d.corrected_by IS NULL)
	OR EXISTS (SELECT 1 FROM print p JOIN design_release x ON x.id = p.release_id JOIN lot ON lot.id = x.lot_id WHERE p.insert_id = i.id AND lot.lot = $1)
	OR EXISTS (SELECT 1 FROM print p JOIN release_lot x ON x.release_id = p.release_id JOIN lot ON lot.id = x.lot_id WHERE p.insert_id = i.id AND lot.lot = $1)
	OR EXISTS (SELECT 1 FROM lot_change x JOIN lot ON lot.id = x.to_lot_id WHERE x.insert_id = i.id AND lot.lot = $1)) ORDER BY i.id`

// GreenInserts lists what was printed of a lot and is not sintered yet, beside
// the lot's factors as they would stand with some more.
func (s *Store) GreenInserts(ctx context.Context, lot string, more []shop.Factor) ([]GreenInsert, error) {
	made, err := list(ctx, s.db, "green inserts", scanInsert, greenOf, lot, shop.StatusPrinting, shop.StatusPrinted, shop.StatusDrying, shop.StatusDried, shop.StatusLoaded)
	if err != nil {
		return nil, err
	}
	var all []GreenInsert
	for _, i := range made {
		p, err := printOf(ctx, s.db, i.Insert)
		if err != nil {
			return nil, err
		}
		g := GreenInsert{Insert: i}
		if g.Given, err = p.Given(); err != nil {
			return nil, err
		}
		of, err := s.ReleaseOf(ctx, i)
		if err != nil {
			return nil, err
		}
		g.Given.Release, g.Given.Lot, g.Given.Further = p.Release, of.Lot, of.Further
		if !slices.Contains(of.Lots(), lot) { // its paste was drawn for it all the same
			g.Given.Further = append(slices.Clone(of.Further), shop.LayerLot{Lot: lot})
		}
		if g.Shifts, err = shiftsOf(ctx, s.db, g.Given, more, s.Now()); err != nil {
			return nil, err
		}
		g.Shifts = slices.DeleteFunc(g.Shifts, func(x shop.Shift) bool { return x.Lot != lot })
		all = append(all, g)
	}
	return all, nil
}

// Shifts are the factors of a release that are not those of its lots any more,
// or never were.
func (s *Store) Shifts(ctx context.Context, r shop.Release) ([]shop.Shift, error) {
	return shiftsOf(ctx, s.db, r, nil, s.Now())
}

func shiftsOf(ctx context.Context, q querier, r shop.Release, more []shop.Factor, at time.Time) ([]shop.Shift, error) {
	var factors []shop.Factor
	for _, lot := range r.Lots() {
		of, err := factorsOf(ctx, q, lot)
		if err != nil {
			return nil, err
		}
		factors = append(factors, of...)
	}
	others, err := allFactors(ctx, q)
	return shop.Shifts(r, append(factors, more...), others, at), err
}

// checkProposed refuses a proposal for a lot that is not there.
func checkProposed(ctx context.Context, q querier, ev shop.FactorProposed) error {
	return exists(ctx, q, "lot", ev.Lot)
}

// checkDecision refuses to end a proposal that is ended, or by the wrong
// person, or without saying what the signature means.
func checkDecision(ctx context.Context, q querier, e shop.Entry, proposal, lot, how string) error {
	p, err := proposalByNumber(ctx, q, proposal)
	if err != nil {
		return err
	}
	if p.Lot != lot {
		return shop.Conflict("Proposal %s is about lot %s, not %s.", proposal, p.Lot, lot)
	}
	if how == shop.Approved && e.Meaning == "" {
		return shop.Wrong("meaning", "What the signature means is missing.")
	}
	return p.Decidable(e.By, how)
}

// releasesOff are the signed open releases of a lot by which no print may start
// with its factors as they would stand with some more. What printed coupons only
// was made to find the factors.
func releasesOff(ctx context.Context, q querier, lot string, more []shop.Factor, at time.Time) ([]string, error) {
	all, err := touched(ctx, q, lot, more, at)
	var names []string
	for _, t := range all {
		if t.Signed(at) && !t.Coupons && shop.Stopped(t.Shifts) {
			names = append(names, t.Release.Release)
		}
	}
	return names, err
}

func (a applying) factorProposed(e shop.FactorProposed) error {
	lot, err := thing(a.ctx, a.q, "lot", e.Lot)
	if err != nil {
		return err
	}
	if err := a.add("proposal", e.Proposal, `INSERT INTO factor_proposal (id, proposal, lot_id, basis, evidence, at, by_badge, state, decided_by, decided_why)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, '', '')`, a.seq, e.Proposal, lot, e.Basis, e.Evidence, a.at(), a.By, shop.Waiting); err != nil {
		return err
	}
	for _, l := range e.Lines {
		if err := a.exec(`INSERT INTO factor_line (proposal_id, axis, s_text, s_unit, s_pct, k_text, k_unit, k_base, low_text, low_unit, low_pct, high_text, high_unit, high_pct, n, method, taken_from)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)`, args(a.seq, l.Axis, l.S, l.K, l.Low, l.High, l.N, l.Method, l.TakenFrom)...); err != nil {
			return fmt.Errorf("line of axis %s: %w", l.Axis, err)
		}
	}
	return nil
}

func (a applying) factorDecided(proposal, state, why string) error {
	return a.exec("UPDATE factor_proposal SET state = $1, decided_at = $2, decided_seq = $3, decided_by = $4, decided_why = $5 WHERE proposal = $6",
		state, a.at(), a.seq, a.By, why, proposal)
}
