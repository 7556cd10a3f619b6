package store

import (
	"context"

	"sinterbook/store/shop"
)

const carrierColumns = `SELECT carrier.id, carrier.carrier, type, coalesce((SELECT min(serial) FROM mould_insert WHERE mould_insert.carrier = carrier.carrier AND open = 1), ''), carrier.code FROM carrier`

func scanCarrier(row scanner) (shop.Carrier, error) {
	var c shop.Carrier
	return c, row.Scan(&c.ID, &c.Carrier, &c.Type, &c.Insert, &c.Code)
}

// Carriers lists the plates and trays with what each carries now.
func (s *Store) Carriers(ctx context.Context) ([]shop.Carrier, error) {
	return list(ctx, s.db, "carriers", scanCarrier, carrierColumns+" ORDER BY carrier.carrier")
}

// Carrier is a plate or tray by its number, or ErrNotFound.
func (s *Store) Carrier(ctx context.Context, number string) (shop.Carrier, error) {
	return carrierByNumber(ctx, s.db, number)
}

func carrierByNumber(ctx context.Context, q querier, number string) (shop.Carrier, error) {
	return one("carrier", number, scanCarrier, q.QueryRowContext(ctx, carrierColumns+" WHERE carrier.carrier = $1", number))
}

// free refuses a carrier that is not in the book, or that carries another insert.
func free(ctx context.Context, q querier, carrier, forInsert string) error {
	c, err := carrierByNumber(ctx, q, carrier)
	if err != nil {
		return err
	}
	return c.Free(forInsert)
}

// checkRebound refuses to move what lies on no carrier, or onto one that is
// taken.
func checkRebound(ctx context.Context, q querier, e shop.CarrierChanged) error {
	i, err := insertByNumber(ctx, q, e.Insert)
	if err != nil {
		return err
	}
	if !i.Green() {
		return shop.Conflict("%s is %s: only a green part lies on a carrier.", i.Insert, i.Status)
	}
	if i.Carrier == e.Carrier {
		return shop.Conflict("%s lies on %s already.", i.Insert, e.Carrier)
	}
	return free(ctx, q, e.Carrier, e.Insert)
}

func (a applying) carrierAdded(e shop.CarrierAdded) error {
	if err := a.add("carrier", e.Carrier, "INSERT INTO carrier (id, carrier, type, code) VALUES ($1, $2, $3, $4)", a.seq, e.Carrier, e.Type, e.Code); err != nil {
		return err
	}
	return a.code(e.Code, "carrier", e.Carrier)
}

// carrierChanged moves the identity of a green part. Where it stands changes
// only where it stands on its carrier.
func (a applying) carrierChanged(e shop.CarrierChanged) error {
	i, err := insertByNumber(a.ctx, a.q, e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET carrier = $1 WHERE id = $2", e.Carrier, i.ID); err != nil {
		return err
	}
	return a.exec("UPDATE mould_insert SET place = $1 WHERE id = $2 AND place = $3", "on "+e.Carrier, i.ID, "on "+i.Carrier)
}
