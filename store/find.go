package store

import (
	"context"
	"errors"

	"sinterbook/store/shop"
)

// A Thing is what a scan or a typed number stands for.
type Thing struct {
	Kind    string
	Number  string
	Scanned bool // named by its scan code, not by its shop number
}

// findable are the kinds of things that a typed number is looked for among.
var findable = []string{"insert", "container", "lot", "coupon", "load", "mould", "order", "release", "design", "carrier", "machine", "furnace", "gauge", "sensor", "setter", "oven", "cutter", "recipe", "station", "person", "hold", "nonconformance", "concession", "permit", "containment"}

// Find reads what was scanned or typed. A scan code with a wrong character is
// refused, never resolved to a neighbour; a shop number is found as people
// write it, in capitals or not. A carrier is found as the insert that lies on
// it, unless it is free.
func (s *Store) Find(ctx context.Context, text string) (Thing, error) {
	if code, ok := shop.ParseScanCode(text); ok {
		return s.byCode(ctx, code)
	}
	for _, kind := range findable {
		table, column, _ := tableOf(kind)
		number, err := one(kind, text, word, s.db.QueryRowContext(ctx, "SELECT "+column+" FROM "+table+" WHERE lower("+column+") = lower($1) ORDER BY id DESC LIMIT 1", text))
		if err == nil {
			return s.carried(ctx, Thing{Kind: kind, Number: number})
		}
		if !errors.Is(err, shop.ErrNotFound) {
			return Thing{}, err
		}
	}
	form, err := one("paper form", text, word, s.db.QueryRowContext(ctx, `SELECT form FROM blank_form WHERE lower(form) = lower($1)
		UNION SELECT form FROM paper_form WHERE lower(form) = lower($1)`, shop.FormIn(text)))
	if err == nil {
		return Thing{Kind: "form", Number: form}, nil
	}
	if !errors.Is(err, shop.ErrNotFound) {
		return Thing{}, err
	}
	if shop.LooksLikeScanCode(text) {
		return Thing{}, shop.Wrong("scan", "The code %q has a wrong character: it was misread or mistyped. Scan it again.", text)
	}
	return Thing{}, &shop.Refusal{Kind: shop.ErrNotFound, Why: "Nothing in this book is called " + text + "."}
}

func (s *Store) byCode(ctx context.Context, code shop.ScanCode) (Thing, error) {
	t, err := one("scan code", code.Grouped(), func(row scanner) (Thing, error) {
		t := Thing{Scanned: true}
		err := row.Scan(&t.Kind, &t.Number)
		return t, err
	}, s.db.QueryRowContext(ctx, "SELECT kind, number FROM code WHERE code = $1", code))
	if err != nil {
		return t, err
	}
	return s.carried(ctx, t)
}

// carried is the insert that lies on a carrier: a green part has no label of
// its own, so its carrier stands for it.
func (s *Store) carried(ctx context.Context, t Thing) (Thing, error) {
	if t.Kind != "carrier" {
		return t, nil
	}
	c, err := s.Carrier(ctx, t.Number)
	if err != nil || c.Insert == "" {
		return t, err
	}
	return Thing{Kind: "insert", Number: c.Insert, Scanned: t.Scanned}, nil
}
