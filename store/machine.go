package store

import (
	"context"

	"sinterbook/store/shop"
)

// Machines lists the printers by number.
func (s *Store) Machines(ctx context.Context) ([]shop.Machine, error) {
	return list(ctx, s.db, "machines", func(row scanner) (shop.Machine, error) {
		var m shop.Machine
		var nozzle readingColumns
		if err := row.Scan(append(append([]any{&m.ID, &m.Machine}, nozzle.scan()...), &m.Code)...); err != nil {
			return m, err
		}
		return m, readings(map[*shop.Reading]*readingColumns{&m.Nozzle: &nozzle})
	}, "SELECT id, machine, nozzle_text, nozzle_unit, nozzle_mm, code FROM machine ORDER BY machine")
}

// printingOn is the insert whose print runs on a machine, "" when it is free.
func printingOn(ctx context.Context, q querier, machine string) (string, error) {
	id, err := thing(ctx, q, "machine", machine)
	if err != nil {
		return "", err
	}
	running, err := list(ctx, q, "prints", word, `SELECT mould_insert.serial FROM print JOIN mould_insert ON mould_insert.id = print.insert_id
		WHERE print.machine_id = $1 AND print.finished_at IS NULL AND mould_insert.open = 1`, id)
	if err != nil || len(running) == 0 {
		return "", err
	}
	return running[0], nil
}

func (a applying) machineAdded(e shop.MachineAdded) error {
	if err := a.add("machine", e.Machine, "INSERT INTO machine (id, machine, nozzle_text, nozzle_unit, nozzle_mm, code) VALUES ($1, $2, $3, $4, $5, $6)",
		args(a.seq, e.Machine, e.Nozzle, e.Code)...); err != nil {
		return err
	}
	return a.code(e.Code, "machine", e.Machine)
}
