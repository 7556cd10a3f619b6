package store

import (
	"context"
	"maps"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// A tie says how two kinds of things other than inserts belong together.
type tie struct {
	of, kind string // the thing that is traced, and what it is tied to
	code     string
	at       string // "" for never
	where    string // where what it went into is; "" for nowhere
	from     string // with the condition for the number $1
}

// above are the things that another was made of, or works with.
var above = []tie{
	{of: "container", kind: "lot", code: "l.lot", at: "l.received_at", from: "container c JOIN lot l ON l.id = c.lot_id WHERE c.container = $1"},
	{of: "lot", kind: "certificate", code: "l.certificate", at: "l.received_at", from: "lot l WHERE l.lot = $1"},
	{of: "coupon", kind: "container", code: "c.container", at: "k.made_at", from: "coupon k JOIN container c ON c.id = k.container_id WHERE k.coupon = $1"},
	{of: "coupon", kind: "lot", code: "l.lot", at: "k.made_at", from: "coupon k JOIN container c ON c.id = k.container_id JOIN lot l ON l.id = c.lot_id WHERE k.coupon = $1"},
	{of: "coupon", kind: "release", code: "k.release", at: "k.made_at", from: "coupon k WHERE k.coupon = $1"},
	{of: "coupon", kind: "machine", code: "m.machine", at: "k.made_at", from: "coupon k JOIN machine m ON m.id = k.machine_id WHERE k.coupon = $1"},
	{of: "coupon", kind: "load", code: "f.load", at: "k.placed_at", from: "coupon k JOIN furnace_load f ON f.id = k.load_id WHERE k.coupon = $1"},
	{of: "coupon", kind: "gauge", code: "g.gauge", at: "w.at", from: "coupon k JOIN coupon_result w ON w.coupon_id = k.id JOIN gauge g ON g.id = w.gauge_id WHERE k.coupon = $1"},
	{of: "release", kind: "design", code: "d.design || ' ' || d.revision", from: released("JOIN design d ON d.id = r.design_id")},
	{of: "release", kind: "lot", code: "l.lot", from: released("JOIN lot l ON l.id = r.lot_id")},
	{of: "release", kind: "lot", code: "l.lot", from: released("JOIN release_lot y ON y.release_id = r.id JOIN lot l ON l.id = y.lot_id")},
	{of: "release", kind: "machine", code: "m.machine", from: released("JOIN machine m ON m.id = r.machine_id")},
	{of: "release", kind: "recipe", code: "r.recipe", from: released("")},
	{of: "release", kind: "person", code: "g.signed_by", at: "g.at", from: released("JOIN release_signature g ON g.release_id = r.id")},
	{of: "program", kind: "release", code: "r.release", from: "design_release r WHERE r.program = $1 OR r.program_sha256 = $1"},
	{of: "load", kind: "furnace", code: "u.furnace", at: "f.door_closed_at", from: "furnace_load f JOIN furnace u ON u.id = f.furnace_id WHERE f.load = $1"},
	{of: "load", kind: "recipe", code: "f.recipe", at: "f.door_closed_at", from: "furnace_load f WHERE f.load = $1"},
	{of: "load", kind: "sensor", code: "n.sensor", at: "f.door_closed_at", from: "furnace_load f JOIN sensor n ON n.furnace_id = f.furnace_id AND n.fitted_at <= f.door_closed_at AND (n.removed_at IS NULL OR n.removed_at > f.door_closed_at) WHERE f.load = $1"},
	{of: "load", kind: "setter", code: "x.setter", at: "x.placed_at", from: "furnace_load f JOIN load_item x ON x.load_id = f.id WHERE f.load = $1"},
	{of: "load", kind: "person", code: "x.placed_by", at: "x.placed_at", from: "furnace_load f JOIN load_item x ON x.load_id = f.id WHERE f.load = $1"},
	{of: "load", kind: "person", code: "f.door_closed_by", at: "f.door_closed_at", from: "furnace_load f WHERE f.load = $1"},
	{of: "sensor", kind: "furnace", code: "u.furnace", at: "n.fitted_at", from: "sensor n JOIN furnace u ON u.id = n.furnace_id WHERE n.sensor = $1"},
	{of: "sensor", kind: "certificate", code: "n.certificate", at: "n.fitted_at", from: "sensor n WHERE n.sensor = $1"},
	{of: "gauge", kind: "certificate", code: "b.certificate", at: "b.at", from: "gauge a JOIN gauge_calibration b ON b.gauge_id = a.id WHERE a.gauge = $1"},
	{of: "cutter", kind: "machine", code: "m.machine", at: "y.fitted_at", from: "cutter y JOIN machine m ON m.id = y.machine_id WHERE y.cutter = $1"},
	{of: "machine", kind: "controller", code: "m.machine || ' ' || y.version", at: "y.at", from: "machine m JOIN controller y ON y.machine_id = m.id WHERE m.machine = $1"},
	{of: "machine", kind: "cutter", code: "y.cutter", at: "y.fitted_at", from: "machine m JOIN cutter y ON y.machine_id = m.id WHERE m.machine = $1"},
	{of: "furnace", kind: "sensor", code: "n.sensor", at: "n.fitted_at", from: "furnace u JOIN sensor n ON n.furnace_id = u.id WHERE u.furnace = $1"},
	{of: "mould", kind: "customer", code: "m.customer", from: "mould m WHERE m.mould = $1"},
	{of: "order", kind: "customer", code: "o.customer", from: "customer_order o WHERE o.order_no = $1"},
	{of: "order", kind: "design", code: "o.design", from: "customer_order o WHERE o.order_no = $1"},
	{of: "concession", kind: "nonconformance", code: "n.nonconformance", at: "y.given_at", from: "concession y JOIN nonconformance n ON n.id = y.nonconformance_id WHERE y.concession = $1"},
}

func released(join string) string {
	return "design_release r " + join + " WHERE r.release = $1 OR substr(r.release, 1, length($1) + 1) = $1 || '/'"
}

// below are things other than inserts that another went into.
var below = []tie{
	{of: "lot", kind: "container", code: "c.container", at: "c.opened_at", from: "lot l JOIN container c ON c.lot_id = l.id WHERE l.lot = $1"},
	{of: "certificate", kind: "sensor", code: "n.sensor", at: "n.fitted_at", from: "sensor n WHERE n.certificate = $1"},
	{of: "certificate", kind: "gauge", code: "a.gauge", at: "b.at", from: "gauge_calibration b JOIN gauge a ON a.id = b.gauge_id WHERE b.certificate = $1"},
	{of: "gauge", kind: "coupon", code: "k.coupon", at: "w.at", where: couponAt, from: "gauge a JOIN coupon_result w ON w.gauge_id = a.id JOIN coupon k ON k.id = w.coupon_id" + couponLoad + " WHERE a.gauge = $1"},
	{of: "release", kind: "coupon", code: "k.coupon", at: "k.made_at", where: couponAt, from: "coupon k" + couponLoad + " WHERE k.release = $1 OR substr(k.release, 1, length($1) + 1) = $1 || '/'"},
	{of: "design", kind: "coupon", code: "k.coupon", at: "k.made_at", where: couponAt, from: "design d JOIN coupon k ON k.design_id = d.id" + couponLoad + " WHERE d.design = $1 OR d.design || ' ' || d.revision = $1"},
	{of: "certificate", kind: "lot", code: "l.lot", at: "l.received_at", from: "lot l WHERE l.certificate = $1"},
	{of: "lot", kind: "release", code: "r.release", from: "lot l JOIN design_release r ON r.lot_id = l.id WHERE l.lot = $1"},
	{of: "lot", kind: "coupon", code: "k.coupon", at: "k.made_at", where: couponAt, from: "lot l JOIN container c ON c.lot_id = l.id JOIN coupon k ON k.container_id = c.id" + couponLoad + " WHERE l.lot = $1"},
	{of: "container", kind: "coupon", code: "k.coupon", at: "k.made_at", where: couponAt, from: "container c JOIN coupon k ON k.container_id = c.id" + couponLoad + " WHERE c.container = $1"},
	{of: "machine", kind: "coupon", code: "k.coupon", at: "k.made_at", where: couponAt, from: "machine m JOIN coupon k ON k.machine_id = m.id" + couponLoad + " WHERE m.machine = $1"},
	{of: "load", kind: "coupon", code: "k.coupon", at: "k.placed_at", where: couponAt, from: "furnace_load j JOIN coupon k ON k.load_id = j.id" + couponLoad + " WHERE j.load = $1"},
	{of: "furnace", kind: "load", code: "f.load", at: "f.door_closed_at", from: "furnace u JOIN furnace_load f ON f.furnace_id = u.id WHERE u.furnace = $1"},
	{of: "sensor", kind: "load", code: "f.load", at: "f.door_closed_at", from: "sensor n JOIN furnace_load f ON f.furnace_id = n.furnace_id AND n.fitted_at <= f.door_closed_at AND (n.removed_at IS NULL OR n.removed_at > f.door_closed_at) WHERE n.sensor = $1"},
}

const (
	couponAt   = "coalesce(f.load || ' ' || k.position, 'not placed')"
	couponLoad = " LEFT JOIN furnace_load f ON f.id = k.load_id"
)

// madeOf lists what a thing other than an insert was made of, or works with.
func (s *Store) madeOf(ctx context.Context, t Thing) ([]shop.Touched, error) {
	return s.tied(ctx, above, t)
}

// wentInto lists what a thing went into: other things, and the moulds and
// customers of the inserts that it touched.
func (s *Store) wentInto(ctx context.Context, t Thing, inserts []shop.Affected, w shop.Window) ([]shop.Touched, error) {
	into, err := s.tied(ctx, below, t)
	if err != nil {
		return nil, err
	}
	into = slices.DeleteFunc(into, func(t shop.Touched) bool { return !inWindow(t.At, w) })
	moulds, customers := map[string]bool{}, map[string]bool{}
	for _, i := range inserts {
		if i.Mould != "" && t.Kind != "mould" {
			moulds[i.Mould] = true
		}
		if i.Status == shop.StatusDelivered && t.Kind != "customer" {
			customers[i.Customer] = true
		}
	}
	places, err := s.mouldPlaces(ctx, slices.Sorted(maps.Keys(moulds)))
	if err != nil {
		return nil, err
	}
	into = append(into, places...)
	for _, c := range slices.Sorted(maps.Keys(customers)) {
		into = append(into, shop.Touched{Kind: "customer", Number: c})
	}
	return into, nil
}

// mouldPlaces says in words where some moulds are, in one query.
func (s *Store) mouldPlaces(ctx context.Context, numbers []string) ([]shop.Touched, error) {
	if len(numbers) == 0 {
		return nil, nil
	}
	zone, err := s.Zone(ctx)
	if err != nil {
		return nil, err
	}
	in, args := among(nil, numbers)
	return list(ctx, s.db, "where moulds are", func(row scanner) (shop.Touched, error) {
		m, err := scanMould(row)
		where := "in the toolroom"
		if !m.Shipped.IsZero() {
			where = "at " + m.Customer + " since " + m.Shipped.In(zone).Format(time.DateOnly)
		}
		return shop.Touched{Kind: "mould", Number: m.Mould, Where: where}, err
	}, mouldColumns+" WHERE mould IN "+in+" ORDER BY mould", args...)
}

// tied lists the things that a thing is tied to, each once.
func (s *Store) tied(ctx context.Context, ties []tie, t Thing) ([]shop.Touched, error) {
	var all []shop.Touched
	for _, y := range ties {
		if y.of != t.Kind {
			continue
		}
		at, where := y.at, y.where
		if at == "" {
			at = "NULL"
		}
		if where == "" {
			where = "''"
		}
		found, err := list(ctx, s.db, "what "+t.Number+" is tied to", func(row scanner) (shop.Touched, error) {
			v := shop.Touched{Kind: y.kind}
			var first stamp
			err := row.Scan(&v.Number, &first, &v.Where)
			v.At = first.Time
			return v, err
		}, "SELECT code, min(at), min(place) FROM (SELECT "+y.code+" AS code, "+at+" AS at, "+where+" AS place FROM "+y.from+") things WHERE code <> '' GROUP BY code ORDER BY 2, 1", t.Number)
		if err != nil {
			return nil, err
		}
		for _, v := range found {
			if !slices.ContainsFunc(all, func(o shop.Touched) bool { return o.Kind == v.Kind && o.Number == v.Number }) {
				all = append(all, v)
			}
		}
	}
	return all, nil
}

// InDoubt is the part of a thing's history that is in doubt, by its checks,
// tests and calibrations: from the last good one before the newest bad one,
// until the next good one. Where none was bad it begins at the newest good one.
// A gauge is judged by its permissible error, and by what it was found to read
// before it was adjusted. It is ErrNotFound where no good one is on record.
func (s *Store) InDoubt(ctx context.Context, t Thing) (w shop.Window, since string, err error) {
	query, ok := tests[t.Kind]
	if !ok {
		return w, "", shop.Wrong("since", "%s %s is neither checked nor tested: say a day instead.", sentenceArticle(t.Kind), t.Kind)
	}
	type test struct {
		at   stamp
		what string
		good bool
	}
	all, err := list(ctx, s.db, "the tests of "+t.Number, func(row scanner) (test, error) {
		var v test
		err := row.Scan(&v.at, &v.what, &v.good)
		return v, err
	}, query+" ORDER BY 1 DESC", t.Number)
	if err != nil {
		return w, "", err
	}
	bad := slices.IndexFunc(all, func(v test) bool { return !v.good })
	for i, v := range all {
		if v.good && i < bad {
			w.Until = v.at.Time // the oldest good one after the bad one
		}
		if v.good && i > bad {
			w.From = v.at.Time
			return w, v.what, nil
		}
	}
	return w, "", &shop.Refusal{Kind: shop.ErrNotFound, Why: "No test that " + t.Kind + " " + t.Number + " passed is on record before it was found bad."}
}

// sentenceArticle begins a sentence with a or an.
func sentenceArticle(kind string) string {
	return strings.ToUpper(shop.Article(kind)[:1]) + shop.Article(kind)[1:]
}

// tests are the queries for what a thing was tested by: when, what, and whether
// it was good.
var tests = map[string]string{
	"gauge": `SELECT k.at, 'check on a block of ' || k.block_text || ' ' || k.block_unit AS what, abs(k.read_mm - k.block_mm) <= coalesce(g.error_value, k.limit_mm) + 1e-9 AS good
			FROM gauge g JOIN gauge_check k ON k.gauge_id = g.id WHERE g.gauge = $1
		UNION ALL SELECT b.at, 'calibration, certificate ' || b.certificate, b.verdict = 'pass' AND NOT EXISTS (SELECT 1 FROM calibration_point p WHERE p.calibration_id = b.id AND abs(p.found_base) > g.error_value + 1e-9)
			FROM gauge g JOIN gauge_calibration b ON b.gauge_id = g.id WHERE g.gauge = $1`,
	"sensor":  "SELECT t.at, 'system accuracy test (SAT)' AS what, t.verdict = 'pass' AS good FROM sensor n JOIN sensor_test t ON t.sensor_id = n.id WHERE n.sensor = $1",
	"furnace": "SELECT t.at, 'temperature uniformity survey (TUS)' AS what, t.verdict = 'pass' AS good FROM furnace u JOIN survey t ON t.furnace_id = u.id WHERE u.furnace = $1",
	"machine": "SELECT t.at, 'check of its axes' AS what, t.verdict = 'pass' AS good FROM machine m JOIN machine_check t ON t.machine_id = m.id WHERE m.machine = $1",
}
