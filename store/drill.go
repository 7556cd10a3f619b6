package store

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// behindEach are the kinds of things that must be behind an insert once an
// operation of its route is done.
var behindEach = map[string][]string{
	shop.OpRelease: {"order", "design", "release"},
	shop.OpPrint:   {"program", "lot", "container", "machine", "carrier", "person"},
	shop.OpDry:     {"oven", "gauge"},
	shop.OpSinter:  {"load", "furnace", "position", "recipe", "sensor"},
	shop.OpTemper:  {"oven"},
	shop.OpFit:     {"mould"},
}

// Drill traces an insert both ways and says how long that took and what it did
// not find: the things that its route says must be behind it, and where each
// insert is that shares its release, paste or load.
func (s *Store) Drill(ctx context.Context, insert string) (shop.TraceDrilled, error) {
	began := time.Now()
	d := shop.TraceDrilled{Insert: insert, Missing: []string{}}
	t, err := s.Trace(ctx, Thing{Kind: "insert", Number: insert}, shop.Window{})
	if err != nil {
		return d, err
	}
	others, err := s.Sharing(ctx, Thing{Kind: "insert", Number: insert}, shop.Window{})
	if err != nil {
		return d, err
	}
	for _, kind := range SharedKinds {
		for _, number := range t.Numbers(kind) {
			all, err := s.Affected(ctx, Thing{Kind: kind, Number: number}, shop.Window{})
			if err != nil {
				return d, err
			}
			if !slices.ContainsFunc(all, func(a shop.Affected) bool { return a.Code == insert }) {
				d.Missing = append(d.Missing, "the way back from "+kind+" "+number)
			}
		}
	}
	d.Took, d.Upstream, d.Downstream = time.Since(began).Microseconds(), len(t.Upstream)+len(t.Into), len(others)
	i, err := s.Insert(ctx, insert)
	if err != nil {
		return d, err
	}
	results, err := s.Results(ctx, insert)
	if err != nil {
		return d, err
	}
	if st, ok := i.StepOf(shop.OpInspect); ok && st.State == shop.Finished && len(results) == 0 {
		d.Missing = append(d.Missing, "results of inspection")
	}
	if i.Status == shop.StatusDelivered && len(t.Numbers("delivery")) == 0 {
		d.Missing = append(d.Missing, "delivery note")
	}
	for _, st := range i.Steps {
		if st.State != shop.Finished {
			continue
		}
		for _, kind := range behindEach[st.Operation] {
			what := fmt.Sprintf("%s of %s", kind, st.Operation)
			if len(t.Numbers(kind)) == 0 && !slices.Contains(d.Missing, what) {
				d.Missing = append(d.Missing, what)
			}
		}
	}
	for _, o := range others {
		if o.Place == "" && o.Status != shop.StatusOpened {
			d.Missing = append(d.Missing, "place of "+o.Code)
		}
	}
	return d, nil
}

// DrawInsert is the n-th insert that was begun, of Drawable.
func (s *Store) DrawInsert(ctx context.Context, n int64) (string, error) {
	return one("insert", fmt.Sprint(n), word, s.db.QueryRowContext(ctx, "SELECT serial FROM mould_insert ORDER BY id LIMIT 1 OFFSET $1", n))
}

// Drawable is how many inserts there are to draw one from.
func (s *Store) Drawable(ctx context.Context) (n int64, err error) {
	if err = s.db.QueryRowContext(ctx, "SELECT count(*) FROM mould_insert").Scan(&n); err != nil {
		err = fmt.Errorf("counting inserts: %w", err)
	}
	return n, err
}

// Drills lists the trace drills, newest first.
func (s *Store) Drills(ctx context.Context) ([]shop.Drill, error) {
	return list(ctx, s.db, "trace drills", func(row scanner) (shop.Drill, error) {
		var d shop.Drill
		var at stamp
		var missing string
		err := row.Scan(&d.Seq, &d.Insert, &d.Upstream, &d.Downstream, &missing, &d.Took, &at, &d.By)
		if d.At = at.Time; missing != "" {
			d.Missing = strings.Split(missing, "; ")
		}
		return d, err
	}, "SELECT t.id, i.serial, t.upstream, t.downstream, t.missing, t.took_us, t.at, t.by_badge FROM trace_drill t JOIN mould_insert i ON i.id = t.insert_id ORDER BY t.id DESC")
}
