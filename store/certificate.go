package store

import (
	"context"

	"sinterbook/store/shop"
)

// Certificate lists what the maker certifies of a lot, as it was entered last.
func (s *Store) Certificate(ctx context.Context, lot string) ([]shop.CertificateLine, error) {
	return certificateOf(ctx, s.db, lot)
}

func certificateOf(ctx context.Context, q querier, lot string) ([]shop.CertificateLine, error) {
	return list(ctx, q, "certificate", func(row scanner) (shop.CertificateLine, error) {
		var l shop.CertificateLine
		return l, row.Scan(&l.Property, &l.Value, &l.Unit, &l.Lower, &l.Upper)
	}, `SELECT property, value_text, unit, lower_text, upper_text FROM certificate_line c JOIN lot ON lot.id = c.lot_id
		WHERE lot.lot = $1 AND seq = (SELECT max(seq) FROM certificate_line x WHERE x.lot_id = c.lot_id) ORDER BY place`, lot)
}

func (a applying) certificateEntered(e shop.CertificateEntered) error {
	lot, err := thing(a.ctx, a.q, "lot", e.Lot)
	if err != nil {
		return err
	}
	for i, l := range e.Lines {
		if err := a.exec("INSERT INTO certificate_line (lot_id, seq, place, property, value_text, unit, lower_text, upper_text) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
			lot, a.seq, i+1, l.Property, l.Value, l.Unit, l.Lower, l.Upper); err != nil {
			return err
		}
	}
	return nil
}
