package store

import (
	"context"
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// openNonconformance is the first one that waits for a decision about an
// insert, "" where none does.
const openNonconformance = `coalesce((SELECT n.nonconformance FROM nonconformance_item t JOIN nonconformance n ON n.id = t.nonconformance_id
	WHERE t.insert_id = i.id AND t.state = 'open' ORDER BY t.id LIMIT 1), '')`

// whereColumns are read by a whereReader. What only some statuses say is looked
// up for these alone.
const whereColumns = `SELECT i.serial, design.design, i.status, i.next_operation, i.place, i.since_at, coalesce(m.mould, ''), o.customer,
	CASE WHEN i.status IN ('drying', 'dried') THEN coalesce((SELECT oven FROM drying WHERE drying.insert_id = i.id ORDER BY drying.id DESC LIMIT 1), '') ELSE '' END,
	CASE WHEN i.status = 'scrapped' THEN coalesce((SELECT layers_done FROM print WHERE print.insert_id = i.id ORDER BY print.id DESC LIMIT 1), 0) ELSE 0 END,
	coalesce(lot.lot, ''), coalesce(r.id, 0), coalesce(l.load, ''), CASE WHEN i.status = 'inspected' THEN ` + openNonconformance + ` ELSE '' END`

const whereTables = ` FROM mould_insert i JOIN design ON design.id = i.design_id JOIN customer_order o ON o.id = i.order_id
	LEFT JOIN design_release r ON r.id = i.release_id LEFT JOIN lot ON lot.id = r.lot_id
	LEFT JOIN furnace_load l ON l.id = i.load_id LEFT JOIN mould m ON m.id = i.mould_id`

// Where is where one insert is, or ErrNotFound.
func (s *Store) Where(ctx context.Context, number string) (shop.Whereabout, error) {
	all, err := s.where(ctx, " WHERE i.serial = $1", number)
	if err == nil && len(all) == 0 {
		err = shop.NotFound("insert", number)
	}
	if err != nil {
		return shop.Whereabout{}, err
	}
	return all[0], nil
}

// Everywhere is where every insert is that was ever begun, by number.
func (s *Store) Everywhere(ctx context.Context) ([]shop.Whereabout, error) {
	return s.where(ctx, " ORDER BY i.serial")
}

func (s *Store) where(ctx context.Context, which string, args ...any) ([]shop.Whereabout, error) {
	read, err := s.whereReader(ctx)
	if err != nil {
		return nil, err
	}
	return list(ctx, s.db, "where inserts are", func(row scanner) (shop.Whereabout, error) { return read(row) }, whereColumns+whereTables+which, args...)
}

// whereReader reads rows of whereColumns, and into more what was asked for
// behind them.
func (s *Store) whereReader(ctx context.Context) (func(row scanner, more ...any) (shop.Whereabout, error), error) {
	zone, err := s.Zone(ctx)
	if err != nil {
		return nil, err
	}
	held, err := s.standing(ctx)
	if err != nil {
		return nil, err
	}
	further, err := s.furtherLots(ctx)
	if err != nil {
		return nil, err
	}
	return func(row scanner, more ...any) (shop.Whereabout, error) {
		var w shop.Whereabout
		var since stamp
		var oven, lot, load, open string
		var layers int
		var release int64
		if err := row.Scan(append([]any{&w.Code, &w.Part, &w.Status, &w.Operation, &w.Place, &since, &w.Mould, &w.Customer, &oven, &layers, &lot, &release, &load, &open}, more...)...); err != nil {
			return w, err
		}
		w.Since, w.HeldBy = since.In(zone).Format(time.RFC3339), held.on(w.Code, load, w.Mould, append([]string{lot}, further[release]...))
		inWords(&w, since.In(zone), oven, open, layers)
		return w, nil
	}, nil
}

// inWords says status and place as people ask for them.
func inWords(w *shop.Whereabout, since time.Time, oven, open string, layers int) {
	switch w.Status {
	case shop.StatusDelivered:
		w.Operation, w.Place = "", w.Place+" since "+since.Format(time.DateOnly)
	case shop.StatusStock:
		w.Operation, w.Status, w.InStock = "", shop.StatusInspected, true
	case shop.StatusInspected:
		switch {
		case open != "":
			w.Status, w.Place = w.Status+", in quarantine", open
		case len(w.HeldBy) > 0:
			w.Status, w.Place = w.Status+", in quarantine", w.HeldBy[0]
		}
	case shop.StatusDried, shop.StatusDrying:
		w.Place = oven
	case shop.StatusScrapped:
		w.Operation, w.Place = "", "scrap"
		if layers > 0 {
			w.Place = fmt.Sprintf("scrap, at layer %d", layers)
		}
	}
}
