package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

const machineColumns = "SELECT id, machine, nozzle_text, nozzle_unit, nozzle_mm, code FROM machine"

func scanMachine(row scanner) (shop.Machine, error) {
	var m shop.Machine
	var nozzle readingColumns
	if err := row.Scan(append(append([]any{&m.ID, &m.Machine}, nozzle.scan()...), &m.Code)...); err != nil {
		return m, err
	}
	return m, readings(map[*shop.Reading]*readingColumns{&m.Nozzle: &nozzle})
}

// Machines lists the printers by number, each as it is now.
func (s *Store) Machines(ctx context.Context) ([]shop.Machine, error) {
	machines, err := list(ctx, s.db, "machines", scanMachine, machineColumns+" ORDER BY machine")
	for i := range machines {
		if err == nil {
			err = condition(ctx, s.db, &machines[i], shop.EndOfTime)
		}
	}
	return machines, err
}

// Machine is a printer by its number, as it is now, or ErrNotFound.
func (s *Store) Machine(ctx context.Context, number string) (shop.Machine, error) {
	return machineAt(ctx, s.db, number, shop.EndOfTime)
}

// machineAt is a printer with its controller version and its last check at a time.
func machineAt(ctx context.Context, q querier, number string, at time.Time) (shop.Machine, error) {
	m, err := one("machine", number, scanMachine, q.QueryRowContext(ctx, machineColumns+" WHERE machine = $1", number))
	if err != nil {
		return m, err
	}
	return m, condition(ctx, q, &m, at)
}

// condition adds to a machine what counted about it at a time.
func condition(ctx context.Context, q querier, m *shop.Machine, at time.Time) error {
	versions, err := list(ctx, q, "controller versions", scanController, controllerColumns+" WHERE machine_id = $1 AND at <= $2 ORDER BY at DESC, controller.id DESC LIMIT 1", m.ID, stamp{at})
	if err != nil {
		return err
	}
	checks, err := list(ctx, q, "checks of a machine", scanMachineCheck, machineCheckColumns+" WHERE machine_id = $1 AND at <= $2 ORDER BY at DESC, c.id DESC LIMIT 1", m.ID, stamp{at})
	if len(versions) > 0 {
		m.Controller = versions[0].Version
	}
	if len(checks) > 0 {
		m.Check = checks[0]
	}
	return err
}

const controllerColumns = "SELECT controller.id, machine.machine, version, at, by_badge FROM controller JOIN machine ON machine.id = controller.machine_id"

func scanController(row scanner) (shop.Controller, error) {
	var c shop.Controller
	var at stamp
	err := row.Scan(&c.Seq, &c.Machine, &c.Version, &at, &c.By)
	c.At = at.Time
	return c, err
}

// Controllers lists the controller versions of a machine, newest first.
func (s *Store) Controllers(ctx context.Context, machine string) ([]shop.Controller, error) {
	return list(ctx, s.db, "controller versions", scanController, controllerColumns+" WHERE machine.machine = $1 ORDER BY at DESC, controller.id DESC", machine)
}

const machineCheckColumns = "SELECT c.id, machine.machine, at, by_badge, report, verdict, due_day FROM machine_check c JOIN machine ON machine.id = c.machine_id"

func scanMachineCheck(row scanner) (shop.MachineCheck, error) {
	var c shop.MachineCheck
	var at stamp
	err := row.Scan(&c.Seq, &c.Machine, &at, &c.By, &c.Report, &c.Verdict, &c.Due)
	c.At = at.Time
	return c, err
}

// MachineChecks lists the checks of a machine's axes, newest first.
func (s *Store) MachineChecks(ctx context.Context, machine string) ([]shop.MachineCheck, error) {
	return list(ctx, s.db, "checks of a machine", scanMachineCheck, machineCheckColumns+" WHERE machine.machine = $1 ORDER BY at DESC, c.id DESC", machine)
}

// PrintingOn is the insert whose print runs on a machine, "" when it is free.
func (s *Store) PrintingOn(ctx context.Context, machine string) (string, error) {
	return printingOn(ctx, s.db, machine)
}

// printingOn is PrintingOn inside a transaction.
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

func (a applying) controllerUpdated(e shop.ControllerUpdated) error {
	machine, err := thing(a.ctx, a.q, "machine", e.Machine)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO controller (id, machine_id, version, at, by_badge) VALUES ($1, $2, $3, $4, $5)", a.seq, machine, e.Version, a.at(), a.By)
}

func (a applying) machineChecked(e shop.MachineChecked) error {
	machine, err := thing(a.ctx, a.q, "machine", e.Machine)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO machine_check (id, machine_id, at, by_badge, report, verdict, due_day) VALUES ($1, $2, $3, $4, $5, $6, $7)", a.seq, machine, a.at(), a.By, e.Report, e.Verdict, e.Due)
}
