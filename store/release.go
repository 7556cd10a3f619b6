package store

import (
	"context"

	"sinterbook/store/shop"
)

const releaseColumns = `SELECT design_release.id, release, design.design, design.revision, lot.lot, machine.machine, recipe, design_release.orientation,
	kx_text, ky_text, kz_text, evidence, program, program_sha256, superseded_by, superseded_at
	FROM design_release JOIN design ON design.id = design_release.design_id JOIN lot ON lot.id = design_release.lot_id
	JOIN machine ON machine.id = design_release.machine_id`

func scanRelease(row scanner) (shop.Release, error) {
	var r shop.Release
	var x, y, z string
	var superseded stamp
	if err := row.Scan(&r.ID, &r.Release, &r.Design, &r.Revision, &r.Lot, &r.Machine, &r.Recipe, &r.Orientation,
		&x, &y, &z, &r.Evidence, &r.Program, &r.ProgramHash, &r.SupersededBy, &superseded); err != nil {
		return r, err
	}
	r.SupersededAt = superseded.Time
	for _, k := range []struct {
		into *shop.Reading
		text string
	}{{&r.KX, x}, {&r.KY, y}, {&r.KZ, z}} {
		got, err := shop.ReadingOf(k.text, "1")
		if err != nil {
			return r, err
		}
		*k.into = got
	}
	return r, nil
}

// Releases lists all design releases, newest first.
func (s *Store) Releases(ctx context.Context) ([]shop.Release, error) {
	releases, err := list(ctx, s.db, "releases", scanRelease, releaseColumns+" ORDER BY design_release.id DESC")
	if err != nil {
		return nil, err
	}
	return releases, s.complete(ctx, releases)
}

func (s *Store) complete(ctx context.Context, releases []shop.Release) error {
	for i := range releases {
		if err := completed(ctx, s.db, &releases[i]); err != nil {
			return err
		}
	}
	return nil
}

// completed adds to a release its signatures and further lots.
func completed(ctx context.Context, q querier, r *shop.Release) (err error) {
	if r.Signatures, err = signaturesOf(ctx, q, r.ID); err != nil {
		return err
	}
	if r.Firsts, err = list(ctx, q, "first inserts of a release", word, "SELECT i.serial FROM release_first f JOIN mould_insert i ON i.id = f.insert_id WHERE f.release_id = $1 ORDER BY f.place", r.ID); err != nil {
		return err
	}
	r.Further, err = list(ctx, q, "lots of a release", func(row scanner) (l shop.LayerLot, err error) { return l, row.Scan(&l.Lot, &l.FromLayer) },
		"SELECT lot.lot, release_lot.from_layer FROM release_lot JOIN lot ON lot.id = release_lot.lot_id WHERE release_id = $1 ORDER BY from_layer", r.ID)
	return err
}

// Release is a design release by its number, or ErrNotFound.
func (s *Store) Release(ctx context.Context, number string) (shop.Release, error) {
	return releaseByNumber(ctx, s.db, number)
}

func releaseByNumber(ctx context.Context, q querier, number string) (shop.Release, error) {
	r, err := one("release", number, scanRelease, q.QueryRowContext(ctx, releaseColumns+" WHERE release = $1", number))
	if err != nil {
		return r, err
	}
	return r, completed(ctx, q, &r)
}

func signaturesOf(ctx context.Context, q querier, id int64) ([]shop.Signature, error) {
	return list(ctx, q, "signatures", func(row scanner) (shop.Signature, error) {
		var s shop.Signature
		var at stamp
		err := row.Scan(&s.By, &s.Meaning, &at)
		s.At = at.Time
		return s, err
	}, "SELECT signed_by, meaning, at FROM release_signature WHERE release_id = $1 ORDER BY seq", id)
}

// checkSignature refuses a second signature of one person, and one without
// its meaning.
func checkSignature(ctx context.Context, q querier, e shop.Entry, ev shop.ReleaseSigned) error {
	r, err := releaseByNumber(ctx, q, ev.Release)
	if err != nil {
		return err
	}
	if e.Meaning == "" {
		return shop.Wrong("meaning", "What the signature means is missing.")
	}
	for _, s := range r.Signatures {
		if s.By == e.By {
			return shop.Conflict("Badge %s signed release %s already: the second signature is another person's.", e.By, ev.Release)
		}
	}
	if len(r.Signatures) > 1 {
		return shop.Conflict("Release %s has its two signatures: nobody else needs to sign it.", ev.Release)
	}
	if r.SupersededBy != "" {
		return shop.Conflict("Release %s is no longer in force.", ev.Release)
	}
	return nil
}

func (a applying) releaseDrafted(e shop.ReleaseDrafted) error {
	d, err := designOf(a.ctx, a.q, e.Design, e.Revision)
	if err != nil {
		return err
	}
	lot, err := thing(a.ctx, a.q, "lot", e.Lot)
	if err != nil {
		return err
	}
	machine, err := thing(a.ctx, a.q, "machine", e.Machine)
	if err != nil {
		return err
	}
	if e.Supersedes != "" {
		if _, err := thing(a.ctx, a.q, "release", e.Supersedes); err != nil {
			return err
		}
	}
	if err := a.add("release", e.Release, `INSERT INTO design_release (id, release, design_id, lot_id, machine_id, recipe, orientation, kx_text, ky_text, kz_text,
		evidence, program, program_sha256, supersedes, superseded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, '')`,
		a.seq, e.Release, d.ID, lot, machine, e.Recipe, e.Orientation, e.KX.Text, e.KY.Text, e.KZ.Text, e.Evidence, e.Program, e.ProgramHash, e.Supersedes); err != nil {
		return err
	}
	for _, next := range e.Further {
		lot, err := thing(a.ctx, a.q, "lot", next.Lot)
		if err != nil {
			return err
		}
		if err := a.exec("INSERT INTO release_lot (release_id, from_layer, lot_id) VALUES ($1, $2, $3)", a.seq, next.FromLayer, lot); err != nil {
			return err
		}
	}
	for i, first := range e.Firsts {
		insert, err := thing(a.ctx, a.q, "insert", first)
		if err != nil {
			return err
		}
		if err := a.exec("INSERT INTO release_first (release_id, place, insert_id) VALUES ($1, $2, $3)", a.seq, i+1, insert); err != nil {
			return err
		}
	}
	return nil
}

// supersede takes the release that this one replaces out of force once a second
// person has signed: until then the old one counts.
func (a applying) supersede(id int64) error {
	return a.exec(`UPDATE design_release SET superseded_by = (SELECT release FROM design_release n WHERE n.id = $1), superseded_at = $2
		WHERE superseded_by = '' AND release = (SELECT supersedes FROM design_release n WHERE n.id = $1)
		AND (SELECT count(DISTINCT signed_by) FROM release_signature WHERE release_id = $1) > 1`, id, a.at())
}

func (a applying) releaseSigned(e shop.ReleaseSigned) error {
	id, err := thing(a.ctx, a.q, "release", e.Release)
	if err != nil {
		return err
	}
	if err := a.exec("INSERT INTO release_signature (release_id, seq, signed_by, meaning, at) VALUES ($1, $2, $3, $4, $5)", id, a.seq, a.By, a.Meaning, a.at()); err != nil {
		return err
	}
	return a.supersede(id)
}

func (a applying) releaseWithdrawn(e shop.ReleaseWithdrawn) error {
	id, err := thing(a.ctx, a.q, "release", e.Release)
	if err != nil {
		return err
	}
	return a.exec("UPDATE design_release SET superseded_by = release, superseded_at = $1 WHERE id = $2", a.at(), id)
}
