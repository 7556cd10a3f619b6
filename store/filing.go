package store

import (
	"context"
	"strconv"

	"sinterbook/store/shop"
)

const filingColumns = `SELECT id, document, media_type, size, name, on_kind, on_code, note, at, by_badge,
	type, number, issued_on, issued_by, coalesce(corrected_by, 0), coalesce(withdrawn_by, 0), withdrawn_why FROM filing`

func scanFiling(row scanner) (shop.Filing, error) {
	var f shop.Filing
	var at stamp
	err := row.Scan(&f.Seq, &f.Document.Document, &f.MediaType, &f.Size, &f.Name, &f.OnKind, &f.OnCode, &f.Shows, &at, &f.By,
		&f.Type, &f.Number, &f.IssuedOn, &f.IssuedBy, &f.CorrectedBy, &f.WithdrawnBy, &f.WithdrawnWhy)
	f.At = at.Time
	return f, err
}

// FilingsOn lists the documents that were filed with a thing in the order of
// filing, also those that were replaced or withdrawn since.
func (s *Store) FilingsOn(ctx context.Context, kind, number string) ([]shop.Filing, error) {
	return list(ctx, s.db, "filings", scanFiling, filingColumns+" WHERE on_kind = $1 AND on_code = $2 ORDER BY id", kind, number)
}

// Filing is a document as one entry filed it; ErrNotFound where that entry
// filed none.
func (s *Store) Filing(ctx context.Context, entry int64) (shop.Filing, error) {
	return filingOf(ctx, s.db, entry)
}

func filingOf(ctx context.Context, q querier, entry int64) (shop.Filing, error) {
	return one("filed document of entry", strconv.FormatInt(entry, 10), scanFiling, q.QueryRowContext(ctx, filingColumns+" WHERE id = $1", entry))
}

// checkFiled asks whether the thing is there, has not the very file filed
// already, and whether the bytes came along or stand. A day that is still to
// come is a slip of the hand.
func checkFiled(ctx context.Context, q querier, e shop.Entry, d shop.DocumentFiled) error {
	if err := exists(ctx, q, d.OnKind, d.OnCode); err != nil {
		return err
	}
	if e.Corrects != 0 {
		old, err := filingOf(ctx, q, e.Corrects)
		if err != nil {
			return err
		}
		if old.WithdrawnBy != 0 {
			return shop.Conflict("Entry %d was withdrawn by entry %d: there is nothing to correct.", old.Seq, old.WithdrawnBy)
		}
		p, err := personByBadge(ctx, q, e.By)
		if err != nil {
			return err
		}
		if err := p.MayReplace(old); err != nil {
			return err
		}
	}
	zone, err := zoneOf(ctx, q)
	if err != nil {
		return err
	}
	if today := shop.DayOf(e.At, zone); d.IssuedOn > today {
		return shop.Wrong("issued_on", "The date of the document is %s, which is still to come: today is %s.", d.IssuedOn, today)
	}
	same, err := list(ctx, q, "filings", scanFiling, filingColumns+" WHERE document = $1 AND on_kind = $2 AND on_code = $3 AND id <> $4 AND corrected_by IS NULL AND withdrawn_by IS NULL", d.Document, d.OnKind, d.OnCode, e.Corrects)
	if err != nil {
		return err
	}
	if len(same) > 0 {
		return shop.Conflict("The very same file is filed with %s %s already: %s, as %s, in entry %d. Choose another file, or correct what stands.", d.OnKind, d.OnCode, same[0].Words(), same[0].Name, same[0].Seq)
	}
	return cameAlong(ctx, q, d.Document, d.Bytes)
}

func (a applying) documentFiled(e shop.DocumentFiled) error {
	if err := a.correct("filing"); err != nil {
		return err
	}
	if err := a.exec(`INSERT INTO filing (id, document, media_type, size, name, on_kind, on_code, note, at, by_badge, type, number, issued_on, issued_by)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
		a.seq, e.Document, e.MediaType, e.Size, e.Name, e.OnKind, e.OnCode, e.Note, a.at(), a.By, e.Type, e.Number, e.IssuedOn, e.IssuedBy); err != nil {
		return err
	}
	return a.keepBytes(e.Document, e.Bytes)
}

// checkFilingStands asks whether the document is filed with the thing, and
// stands.
func checkFilingStands(ctx context.Context, q querier, e shop.FilingWithdrawn) error {
	f, err := filingOf(ctx, q, e.Filing)
	switch {
	case err != nil:
		return err
	case f.OnKind != e.OnKind || f.OnCode != e.OnCode:
		return shop.Conflict("Entry %d filed a document with %s %s, not with %s %s.", f.Seq, f.OnKind, f.OnCode, e.OnKind, e.OnCode)
	case f.CorrectedBy != 0:
		return shop.Conflict("Entry %d was corrected by entry %d: withdraw that one.", f.Seq, f.CorrectedBy)
	case f.WithdrawnBy != 0:
		return shop.Conflict("The document of entry %d was withdrawn by entry %d already.", f.Seq, f.WithdrawnBy)
	}
	return nil
}

func (a applying) filingWithdrawn(e shop.FilingWithdrawn) error {
	return a.exec("UPDATE filing SET withdrawn_by = $1, withdrawn_why = $2 WHERE id = $3", a.seq, e.Why, e.Filing)
}
