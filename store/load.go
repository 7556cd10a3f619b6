package store

import (
	"context"
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

const loadColumns = `SELECT furnace_load.id, load, furnace.furnace, recipe, door_closed_at, door_closed_by, door_opened_at, door_opened_by, clock_text, clock_unit, clock_s, furnace_load.code
	FROM furnace_load JOIN furnace ON furnace.id = furnace_load.furnace_id`

func scanLoad(row scanner) (shop.Load, error) {
	var l shop.Load
	var closed, opened stamp
	var clock readingColumns
	into := append([]any{&l.ID, &l.Load, &l.Furnace, &l.Recipe, &closed, &l.ClosedBy, &opened, &l.OpenedBy}, clock.scan()...)
	if err := row.Scan(append(into, &l.Code)...); err != nil {
		return l, err
	}
	l.Closed, l.Opened = closed.Time, opened.Time
	return l, readings(map[*shop.Reading]*readingColumns{&l.Clock: &clock})
}

// Loads lists all furnace loads with what lies in them, newest first.
func (s *Store) Loads(ctx context.Context) ([]shop.Load, error) {
	loads, err := list(ctx, s.db, "loads", scanLoad, loadColumns+" ORDER BY furnace_load.id DESC")
	if err != nil {
		return nil, err
	}
	for i := range loads {
		if err := lying(ctx, s.db, &loads[i]); err != nil {
			return nil, err
		}
	}
	return loads, nil
}

// LoadsIn lists the loads of a furnace with what lay in them, newest first.
func (s *Store) LoadsIn(ctx context.Context, furnace string) ([]shop.Load, error) {
	loads, err := list(ctx, s.db, "loads of a furnace", scanLoad, loadColumns+" WHERE furnace.furnace = $1 ORDER BY furnace_load.id DESC", furnace)
	for i := range loads {
		if err == nil {
			err = lying(ctx, s.db, &loads[i])
		}
	}
	return loads, err
}

// Load is a furnace load by its number, or ErrNotFound.
func (s *Store) Load(ctx context.Context, number string) (shop.Load, error) {
	return loadByNumber(ctx, s.db, number)
}

func loadByNumber(ctx context.Context, q querier, number string) (shop.Load, error) {
	l, err := one("load", number, scanLoad, q.QueryRowContext(ctx, loadColumns+" WHERE load = $1", number))
	if err != nil {
		return l, err
	}
	return l, lying(ctx, q, &l)
}

// lying adds to a load what lies in it.
func lying(ctx context.Context, q querier, l *shop.Load) (err error) {
	if l.Items, err = itemsOf(ctx, q, l.ID); err != nil {
		return err
	}
	l.Coupons, err = couponsOf(ctx, q, "load", l.Load)
	return err
}

// LoadsOf lists the loads in which an insert was laid, oldest first.
func (s *Store) LoadsOf(ctx context.Context, insert string) ([]shop.Load, error) {
	all, err := list(ctx, s.db, "loads of an insert", scanLoad, loadColumns+` WHERE EXISTS (SELECT 1 FROM load_item x JOIN mould_insert y ON y.id = x.insert_id
		WHERE x.load_id = furnace_load.id AND y.serial = $1) ORDER BY furnace_load.id`, insert)
	if err != nil {
		return nil, err
	}
	for i := range all {
		if err := lying(ctx, s.db, &all[i]); err != nil {
			return nil, err
		}
	}
	return all, nil
}

func itemsOf(ctx context.Context, q querier, id int64) ([]shop.LoadItem, error) {
	return list(ctx, q, "load items", func(row scanner) (shop.LoadItem, error) {
		var it shop.LoadItem
		var at stamp
		err := row.Scan(&it.Insert, &it.Design, &it.Position, &it.Setter, &it.Lying, &it.By, &at, &it.Out)
		it.At = at.Time
		return it, err
	}, `SELECT i.serial, design.design, load_item.position, load_item.setter, load_item.lying, load_item.placed_by, load_item.placed_at, load_item.scanned_out = 1
		FROM load_item JOIN mould_insert i ON i.id = load_item.insert_id JOIN design ON design.id = i.design_id
		WHERE load_item.load_id = $1 ORDER BY load_item.position`, id)
}

func checkInLoad(ctx context.Context, q querier, e shop.LoadTakenOut) error {
	l, err := loadByNumber(ctx, q, e.Load)
	if err != nil {
		return err
	}
	if !l.Closed.IsZero() {
		return shop.Conflict("The door of load %s was closed by %s: it is unloaded as a whole.", e.Load, l.ClosedBy)
	}
	if !slices.ContainsFunc(l.Items, func(it shop.LoadItem) bool { return it.Insert == e.Insert }) {
		return shop.Conflict("%s does not lie in load %s.", e.Insert, e.Load)
	}
	return nil
}

// checkClosable refuses to close a door that is closed, or on nothing.
func checkClosable(ctx context.Context, q querier, ev shop.LoadClosed) error {
	l, err := loadByNumber(ctx, q, ev.Load)
	if err != nil {
		return err
	}
	if !l.Closed.IsZero() {
		return shop.Conflict("The door of load %s was closed by %s already.", ev.Load, l.ClosedBy)
	}
	if len(l.Items)+len(l.Coupons) == 0 {
		return shop.Conflict("Load %s is empty: lay an insert in it first.", ev.Load)
	}
	return nil
}

// checkUnloadable refuses to unload a load of which a serial is unaccounted for.
func checkUnloadable(ctx context.Context, q querier, e shop.LoadUnloaded) error {
	l, err := loadByNumber(ctx, q, e.Load)
	if err != nil {
		return err
	}
	if l.Closed.IsZero() || !l.Opened.IsZero() {
		return shop.Conflict("Load %s is %s: only a load in the furnace is unloaded.", e.Load, l.State())
	}
	var missing, foreign []string
	for _, it := range l.Items {
		if !slices.Contains(e.Inserts, it.Insert) {
			missing = append(missing, it.Insert)
		}
	}
	for _, insert := range e.Inserts {
		if !slices.ContainsFunc(l.Items, func(it shop.LoadItem) bool { return it.Insert == insert }) {
			foreign = append(foreign, insert)
		}
	}
	for _, c := range l.Coupons {
		if !slices.Contains(e.Coupons, c.Coupon) {
			missing = append(missing, c.Coupon)
		}
	}
	for _, coupon := range e.Coupons {
		if !slices.ContainsFunc(l.Coupons, func(c shop.Coupon) bool { return c.Coupon == coupon }) {
			foreign = append(foreign, coupon)
		}
	}
	switch {
	case len(missing) > 0:
		return shop.Wrong("inserts", "Not scanned out of load %s: %s. Every serial must be accounted for.", e.Load, shop.Listed(missing))
	case len(foreign) > 0:
		return shop.Wrong("inserts", "%s did not lie in load %s.", shop.Listed(foreign), e.Load)
	}
	return nil
}

func (a applying) loadOpened(e shop.LoadOpened) error {
	furnace, err := thing(a.ctx, a.q, "furnace", e.Furnace)
	if err != nil {
		return err
	}
	if err := a.add("load", e.Load, `INSERT INTO furnace_load (id, load, furnace_id, recipe, opened_by, door_closed_by, door_opened_by, code)
		VALUES ($1, $2, $3, $4, $5, '', '', $6)`, a.seq, e.Load, furnace, e.Recipe, a.By, e.Code); err != nil {
		return err
	}
	return a.code(e.Code, "load", e.Load)
}

func (a applying) loadPlaced(e shop.LoadPlaced) error {
	load, err := thing(a.ctx, a.q, "load", e.Load)
	if err != nil {
		return err
	}
	insert, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec(`INSERT INTO load_item (load_id, insert_id, position, setter, lying, placed_at, placed_by, scanned_out) VALUES ($1, $2, $3, $4, $5, $6, $7, 0)
		ON CONFLICT (load_id, insert_id) DO UPDATE SET position = excluded.position, setter = excluded.setter, lying = excluded.lying, placed_at = excluded.placed_at, placed_by = excluded.placed_by`,
		load, insert, e.Position, e.Setter, e.Lying, a.at(), a.By); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET load_id = $1, position = $2 WHERE id = $3", load, e.Position, insert); err != nil {
		return err
	}
	return a.stands(insert, shop.StatusLoaded, fmt.Sprintf("load %s, place %s", e.Load, e.Position))
}

func (a applying) loadTakenOut(e shop.LoadTakenOut) error {
	i, err := insertByNumber(a.ctx, a.q, e.Insert)
	if err != nil {
		return err
	}
	if err := a.exec("DELETE FROM load_item WHERE insert_id = $1 AND load_id = (SELECT id FROM furnace_load WHERE load = $2)", i.ID, e.Load); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET load_id = NULL, position = '' WHERE id = $1", i.ID); err != nil {
		return err
	}
	return a.stands(i.ID, shop.StatusDried, "on "+i.Carrier)
}

func (a applying) loadClosed(e shop.LoadClosed) error {
	l, err := loadByNumber(a.ctx, a.q, e.Load)
	if err != nil {
		return err
	}
	if err := a.exec("UPDATE furnace_load SET door_closed_at = $1, door_closed_by = $2, clock_text = $3, clock_unit = $4, clock_s = $5 WHERE id = $6", args(a.at(), a.By, e.Clock, l.ID)...); err != nil {
		return err
	}
	return a.eachIn(l, func(id int64, it shop.LoadItem) error {
		if err := a.started(id, shop.OpSinter); err != nil {
			return err
		}
		// The green part lies on its setter now: its plate is free again.
		if err := a.exec("UPDATE mould_insert SET carrier = '' WHERE id = $1", id); err != nil {
			return err
		}
		return a.stands(id, shop.StatusSintering, fmt.Sprintf("furnace %s, place %s", l.Furnace, it.Position))
	})
}

func (a applying) loadUnloaded(e shop.LoadUnloaded) error {
	l, err := loadByNumber(a.ctx, a.q, e.Load)
	if err != nil {
		return err
	}
	if err := a.exec("UPDATE furnace_load SET door_opened_at = $1, door_opened_by = $2 WHERE id = $3", a.at(), a.By, l.ID); err != nil {
		return err
	}
	for _, table := range []string{"load_item", "coupon"} {
		if err := a.exec("UPDATE "+table+" SET scanned_out = 1 WHERE load_id = $1", l.ID); err != nil {
			return err
		}
	}
	return a.eachIn(l, func(id int64, _ shop.LoadItem) error {
		if err := a.done(id, shop.OpSinter); err != nil {
			return err
		}
		return a.stands(id, shop.StatusSintered, "unloaded from "+l.Furnace)
	})
}

// eachIn does something to every insert of a load.
func (a applying) eachIn(l shop.Load, do func(id int64, it shop.LoadItem) error) error {
	for _, it := range l.Items {
		id, err := thing(a.ctx, a.q, "insert", it.Insert)
		if err != nil {
			return err
		}
		if err := do(id, it); err != nil {
			return err
		}
	}
	return nil
}
