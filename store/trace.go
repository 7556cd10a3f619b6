package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// An arm says how inserts and one kind of thing came together.
type arm struct {
	kind   string
	code   string // number of the thing
	match  string // condition for the number $1, where it is not code = $1
	from   string
	insert string // id of the insert
	at     string // when
	layers string // prefix of from_layer and to_layer; "" where layers say nothing
	into   bool   // the insert went into it
}

// arms are all the ways in which inserts and things come together, in the order
// of the route.
var arms = []arm{
	{kind: "order", code: "o.order_no", from: "mould_insert i JOIN customer_order o ON o.id = i.order_id", insert: "i.id", at: "i.opened_at"},
	{kind: "customer", code: "o.customer", from: "mould_insert i JOIN customer_order o ON o.id = i.order_id", insert: "i.id", at: "i.opened_at"},
	{kind: "design", code: "(d.design || ' ' || d.revision)", match: "(d.design = $1 OR d.design || ' ' || d.revision = $1)", from: "mould_insert i JOIN design d ON d.id = i.design_id", insert: "i.id", at: "i.opened_at"},
	{kind: "release", code: "r.release", match: "(r.release = $1 OR substr(r.release, 1, length($1) + 1) = $1 || '/')", from: "mould_insert i JOIN design_release r ON r.id = i.release_id", insert: "i.id", at: "i.opened_at"},
	{kind: "program", code: "r.program", match: "(r.program = $1 OR p.program_sha256 = $1)", from: "print p JOIN design_release r ON r.id = p.release_id", insert: "p.insert_id", at: "p.started_at"},
	{kind: "certificate", code: "l.certificate", from: drawn + " JOIN lot l ON l.id = c.lot_id AND l.certificate <> ''", insert: "t.insert_id", at: "t.at", layers: "t."},
	{kind: "lot", code: "l.lot", from: drawn + " JOIN lot l ON l.id = c.lot_id", insert: "t.insert_id", at: "t.at", layers: "t."},
	{kind: "container", code: "c.container", from: drawn, insert: "t.insert_id", at: "t.at", layers: "t."},
	{kind: "machine", code: "m.machine", from: "print p JOIN machine m ON m.id = p.machine_id", insert: "p.insert_id", at: "p.started_at"},
	{kind: "controller", code: "(m.machine || ' ' || p.controller)", match: "(m.machine || ' ' || p.controller = $1 OR p.controller = $1)", from: "print p JOIN machine m ON m.id = p.machine_id AND p.controller <> ''", insert: "p.insert_id", at: "p.started_at"},
	{kind: "carrier", code: "p.carrier", from: "print p", insert: "p.insert_id", at: "p.started_at"},
	{kind: "cutter", code: "y.cutter", from: "layers_made y", match: "(y.cutter = $1 AND y.cutter <> '')", insert: "y.insert_id", at: "y.at", layers: "y."},
	{kind: "oven", code: "g.oven", from: "drying g", insert: "g.insert_id", at: "g.started_at"},
	{kind: "oven", code: "g.oven", from: "tempering g", insert: "g.insert_id", at: "g.started_at"},
	{kind: "recipe", code: "f.recipe", from: fired, insert: "x.insert_id", at: firedAt},
	{kind: "recipe", code: "g.recipe", from: "tempering g", insert: "g.insert_id", at: "g.started_at"},
	{kind: "load", code: "f.load", from: fired, insert: "x.insert_id", at: firedAt},
	{kind: "furnace", code: "u.furnace", from: fired + " JOIN furnace u ON u.id = f.furnace_id", insert: "x.insert_id", at: firedAt},
	{kind: "position", code: "(u.furnace || ' ' || x.position)", from: fired + " JOIN furnace u ON u.id = f.furnace_id", insert: "x.insert_id", at: firedAt},
	{kind: "setter", code: "x.setter", match: "(x.setter = $1 AND x.setter <> '')", from: fired, insert: "x.insert_id", at: firedAt},
	{kind: "sensor", code: "n.sensor", from: fired + " JOIN sensor n ON n.furnace_id = f.furnace_id AND n.fitted_at <= f.door_closed_at AND (n.removed_at IS NULL OR n.removed_at > f.door_closed_at)", insert: "x.insert_id", at: firedAt},
	{kind: "gauge", code: "a.gauge", from: "weighing w JOIN gauge a ON a.id = w.gauge_id", insert: "w.insert_id", at: "w.at"},
	{kind: "gauge", code: "a.gauge", from: "green_size w JOIN gauge a ON a.id = w.gauge_id AND w.corrected_by IS NULL", insert: "w.insert_id", at: "w.at"},
	{kind: "gauge", code: "a.gauge", from: "result w JOIN gauge a ON a.id = w.gauge_id AND w.corrected_by IS NULL", insert: "w.insert_id", at: "w.at"},
	{kind: "instruction", code: "(v.instruction || ' ' || v.revision)", match: "(v.instruction = $1 OR v.instruction || ' ' || v.revision = $1)", from: instructed, insert: "s.insert_id", at: "s.started_at"},
	{kind: "person", code: "s.started_by", from: "insert_step s", insert: "s.insert_id", at: "s.started_at"},
	{kind: "person", code: "s.finished_by", from: "insert_step s", insert: "s.insert_id", at: "s.finished_at"},
	{kind: "person", code: "t.by_badge", from: "draw t", insert: "t.insert_id", at: "t.at"},
	{kind: "person", code: "y.by_badge", from: "layers_made y", insert: "y.insert_id", at: "y.at"},
	{kind: "person", code: "x.placed_by", from: "load_item x", insert: "x.insert_id", at: "x.placed_at"},
	{kind: "person", code: "w.by_badge", from: "result w", insert: "w.insert_id", at: "w.at"},
	{kind: "person", code: "w.by_badge", from: "weighing w", insert: "w.insert_id", at: "w.at"},
	{kind: "person", code: "w.by_badge", from: "green_size w", insert: "w.insert_id", at: "w.at"},
	{kind: "person", code: "g.signed_by", from: "release_signature g JOIN mould_insert i ON i.release_id = g.release_id", insert: "i.id", at: "g.at"},
	{kind: "nonconformance", code: "n.nonconformance", from: "nonconformance_item z JOIN nonconformance n ON n.id = z.nonconformance_id", insert: "z.insert_id", at: "z.raised_at"},
	{kind: "concession", code: "n.concession", from: "concession_insert z JOIN concession n ON n.id = z.concession_id", insert: "z.insert_id", at: "n.given_at"},
	{kind: "mould", code: "m.mould", from: "fit_up z JOIN mould m ON m.id = z.mould_id AND z.corrected_by IS NULL", insert: "z.insert_id", at: "z.at", into: true},
	{kind: "delivery", code: "e.note", from: "delivery_item z JOIN delivery e ON e.id = z.delivery_id", insert: "z.insert_id", at: "e.at", into: true},
	{kind: "customer", code: "m.customer", from: "delivery_item z JOIN delivery e ON e.id = z.delivery_id JOIN mould m ON m.id = e.mould_id", insert: "z.insert_id", at: "e.at", into: true},
}

const (
	drawn      = "draw t JOIN container c ON c.id = t.container_id AND t.corrected_by IS NULL"
	fired      = "load_item x JOIN furnace_load f ON f.id = x.load_id"
	firedAt    = "coalesce(f.door_closed_at, x.placed_at)"
	instructed = `insert_step s JOIN instruction v ON v.operation = s.operation AND s.started_at >= v.from_at
		AND NOT EXISTS (SELECT 1 FROM instruction u WHERE u.operation = v.operation AND u.from_at > v.from_at AND u.from_at <= s.started_at)`
)

// Traceable lists the kinds of things that a trace can begin at.
func Traceable() []string {
	kinds := []string{"insert"}
	note := func(kind string) {
		if !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	for _, a := range arms {
		note(a.kind)
	}
	for _, y := range slices.Concat(above, below) {
		note(y.of)
	}
	return kinds
}

// touching is the query for the inserts that a thing touched in a window, with
// when. Its arguments are the number and what the window says.
func touching(kind string, number string, w shop.Window) (string, []any) {
	args := []any{number}
	bound := func(v any) string {
		args = append(args, v)
		return fmt.Sprintf("$%d", len(args))
	}
	var from, until, first, last string
	if !w.From.IsZero() {
		from = bound(stamp{w.From})
	}
	if !w.Until.IsZero() {
		until = bound(stamp{w.Until})
	}
	if w.ToLayer > 0 {
		first, last = bound(w.FromLayer), bound(w.ToLayer)
	}
	var parts []string
	for _, a := range arms {
		if a.kind != kind {
			continue
		}
		q := "SELECT " + a.insert + " AS id, " + a.at + " AS at FROM " + a.from + " WHERE " + a.matching()
		if from != "" {
			q += " AND " + a.at + " >= " + from
		}
		if until != "" {
			q += " AND " + a.at + " < " + until
		}
		if first != "" && a.layers != "" {
			q += fmt.Sprintf(" AND (%[1]sto_layer = 0 OR %[1]sto_layer >= %[2]s AND %[1]sfrom_layer <= %[3]s)", a.layers, first, last)
		}
		parts = append(parts, q)
	}
	return strings.Join(parts, " UNION ALL "), args
}

func (a arm) matching() string {
	if a.match != "" {
		return a.match
	}
	return a.code + " = $1"
}

// behind is the query for the things that an insert came together with in a
// window. Its arguments are the insert's id and what the window says.
func behind(id int64, w shop.Window) (string, []any) {
	args, bounds := []any{id}, ""
	if !w.From.IsZero() {
		args = append(args, stamp{w.From})
		bounds += fmt.Sprintf(" AND %%[1]s >= $%d", len(args))
	}
	if !w.Until.IsZero() {
		args = append(args, stamp{w.Until})
		bounds += fmt.Sprintf(" AND %%[1]s < $%d", len(args))
	}
	var parts []string
	for n, a := range arms {
		bound := ""
		if bounds != "" {
			bound = fmt.Sprintf(bounds, a.at)
		}
		parts = append(parts, fmt.Sprintf("SELECT %d AS n, %s AS code, %s AS at FROM %s WHERE %s = $1 AND %s <> ''%s", n, a.code, a.at, a.from, a.insert, a.code, bound))
	}
	return "SELECT min(n), code, min(at) FROM (" + strings.Join(parts, " UNION ALL ") + ") things GROUP BY " + kindCase() + ", code ORDER BY 1, 3, 2", args
}

// kindCase tells arms of one kind apart from those of another, by number.
func kindCase() string {
	type side struct {
		kind string
		into bool
	}
	first := map[side]int{}
	text := "CASE n"
	for n, a := range arms {
		at := side{a.kind, a.into}
		if _, ok := first[at]; !ok {
			first[at] = n
		}
		text += fmt.Sprintf(" WHEN %d THEN %d", n, first[at])
	}
	return text + " END"
}

// Trace is everything that a thing touched in a window. A thing that the book
// does not know is ErrNotFound.
func (s *Store) Trace(ctx context.Context, t Thing, w shop.Window) (shop.Trace, error) {
	tr := shop.Trace{Kind: t.Kind, Number: t.Number, Window: w}
	if t.Kind == "insert" {
		if w.ToLayer > 0 {
			return tr, shop.Wrong("layers", "Layers narrow the trace of paste, a machine's cutter or a certificate, not of an insert.")
		}
		return s.traceInsert(ctx, tr)
	}
	if !slices.Contains(Traceable(), t.Kind) {
		return tr, shop.Wrong("kind", "%s %s cannot be traced: it touches no insert.", sentenceArticle(t.Kind), t.Kind)
	}
	if w.ToLayer > 0 && !slices.ContainsFunc(arms, func(a arm) bool { return a.kind == t.Kind && a.layers != "" }) {
		return tr, shop.Wrong("layers", "Layers narrow the trace of a lot, container, certificate or cutter, not of a %s.", t.Kind)
	}
	err := s.traced(ctx, t)
	if err != nil {
		return tr, err
	}
	if tr.Upstream, err = s.madeOf(ctx, t); err != nil {
		return tr, err
	}
	if tr.Inserts, err = s.Affected(ctx, t, w); err != nil {
		return tr, err
	}
	tr.Into, err = s.wentInto(ctx, t, tr.Inserts, w)
	return tr, err
}

// traced is ErrNotFound for a thing that no record names.
func (s *Store) traced(ctx context.Context, t Thing) error {
	if numbered(t.Kind) {
		return exists(ctx, s.db, t.Kind, t.Number)
	}
	found, err := list(ctx, s.db, t.Number, word, named[t.Kind]+" LIMIT 1", t.Number)
	if err == nil && len(found) == 0 {
		err = shop.NotFound(t.Kind, t.Number)
	}
	return err
}

// named are the queries for things that have no row of their own, or several
// under one number. None of them reads what grows with the inserts.
var named = map[string]string{
	"customer":    "SELECT customer FROM customer_order WHERE customer = $1",
	"release":     "SELECT release FROM design_release WHERE release = $1 OR substr(release, 1, length($1) + 1) = $1 || '/'",
	"design":      "SELECT design FROM design WHERE design = $1 OR design || ' ' || revision = $1",
	"program":     "SELECT program FROM design_release WHERE program = $1 OR program_sha256 = $1",
	"certificate": "SELECT number FROM (SELECT certificate AS number FROM lot UNION ALL SELECT certificate FROM sensor UNION ALL SELECT certificate FROM gauge_calibration) all_of_them WHERE number = $1",
	"controller":  "SELECT c.version FROM controller c JOIN machine m ON m.id = c.machine_id WHERE m.machine || ' ' || c.version = $1 OR c.version = $1",
	"position":    "SELECT p.position FROM furnace_position p JOIN furnace f ON f.id = p.furnace_id WHERE f.furnace || ' ' || p.position = $1",
	"instruction": "SELECT instruction FROM instruction WHERE instruction = $1 OR instruction || ' ' || revision = $1",
	"delivery":    "SELECT note FROM delivery WHERE note = $1",
}

// numbered reports whether a kind of thing has one row under each number. A
// release is traced by its line or by all its lines, a design by its revision
// or by all of them.
func numbered(kind string) bool {
	_, _, ok := tableOf(kind)
	return ok && kind != "release" && kind != "design"
}

// Traced reads what was scanned or typed for a trace. It knows what Find does,
// and what has no page of its own: a customer, a place in a furnace, a
// controller version, a document's number. A carrier stands for itself.
func (s *Store) Traced(ctx context.Context, text string) (Thing, error) {
	if t := (Thing{Kind: "carrier", Number: text}); exists(ctx, s.db, t.Kind, t.Number) == nil {
		return t, nil
	}
	t, none := s.Find(ctx, text)
	if none == nil || !errors.Is(none, shop.ErrNotFound) {
		return t, none
	}
	for _, kind := range Traceable() {
		if numbered(kind) {
			continue
		}
		t := Thing{Kind: kind, Number: text}
		err := s.traced(ctx, t)
		if err == nil || !errors.Is(err, shop.ErrNotFound) {
			return t, err
		}
	}
	return Thing{}, none
}

func (s *Store) traceInsert(ctx context.Context, tr shop.Trace) (shop.Trace, error) {
	id, err := thing(ctx, s.db, "insert", tr.Number)
	if err != nil {
		return tr, err
	}
	query, args := behind(id, tr.Window)
	touched, err := list(ctx, s.db, "what is behind "+tr.Number, func(row scanner) (found struct {
		n int
		shop.Touched
	}, err error) {
		var first stamp
		err = row.Scan(&found.n, &found.Number, &first)
		found.Kind, found.At = arms[found.n].kind, first.Time
		return found, err
	}, query, args...)
	for _, t := range touched {
		if !arms[t.n].into {
			tr.Upstream = append(tr.Upstream, t.Touched)
			continue
		}
		if t.Kind == "mould" {
			places, err := s.mouldPlaces(ctx, []string{t.Number})
			if err != nil {
				return tr, err
			}
			t.Where = places[0].Where
		}
		tr.Into = append(tr.Into, t.Touched)
	}
	return tr, err
}

// inWindow reports whether a time lies in a window; what has no time does.
func inWindow(at time.Time, w shop.Window) bool {
	return at.IsZero() || !at.Before(w.From) && (w.Until.IsZero() || at.Before(w.Until))
}

// Affected lists the inserts that a thing touched in a window, by number, with
// where they are now.
func (s *Store) Affected(ctx context.Context, t Thing, w shop.Window) ([]shop.Affected, error) {
	all, err := asOfNow(ctx, s.db, fmt.Sprintf("affected/%v/%v", t, w), func() ([]shop.Affected, error) { return s.readAffected(ctx, t, w) })
	return slices.Clone(all), err // pages sort them
}

func (s *Store) readAffected(ctx context.Context, t Thing, w shop.Window) ([]shop.Affected, error) {
	query, args := touching(t.Kind, t.Number, w)
	if query == "" {
		return nil, nil
	}
	read, err := s.whereReader(ctx)
	if err != nil {
		return nil, err
	}
	all, err := list(ctx, s.db, "what "+t.Number+" touched", func(row scanner) (shop.Affected, error) {
		var first, last stamp
		at, err := read(row, &first, &last)
		return shop.Affected{Whereabout: at, First: first.Time, Last: last.Time, Share: 1}, err
	}, whereColumns+", x.first_at, x.last_at"+whereTables+" JOIN (SELECT id, min(at) AS first_at, max(at) AS last_at FROM ("+query+") y GROUP BY id) x ON x.id = i.id ORDER BY i.serial", args...)
	if err != nil {
		return nil, err
	}
	shares, err := s.sharesOf(ctx, t, query, args)
	for i, a := range all {
		if share, ok := shares[a.Code]; ok {
			all[i].Share = share
		}
	}
	return all, err
}

// sharesOf are the shares of a lot or container in the inserts that have
// another's paste too: by layers, or by mass where layers are not known.
func (s *Store) sharesOf(ctx context.Context, t Thing, query string, args []any) (map[string]float64, error) {
	of, other := "", ""
	switch t.Kind {
	case "lot":
		of, other = "lot.lot", "c.lot_id <> (SELECT id FROM lot WHERE lot = $1)"
	case "container":
		of, other = "c.container", "o.container_id <> (SELECT id FROM container WHERE container = $1)"
	case "certificate":
		of, other = "lot.certificate", "c.lot_id NOT IN (SELECT id FROM lot WHERE certificate = $1)"
	default:
		return nil, nil
	}
	type part struct {
		insert      string
		mine        bool
		layers      int
		grams       float64
		layersKnown bool
	}
	parts, err := list(ctx, s.db, "shares of "+t.Number, func(row scanner) (part, error) {
		var p part
		var from, to int
		err := row.Scan(&p.insert, &p.mine, &from, &to, &p.grams)
		p.layers, p.layersKnown = to-from+1, from > 0
		return p, err
	}, "SELECT i.serial, "+of+" = $1, d.from_layer, d.to_layer, d.drawn_g FROM draw d JOIN container c ON c.id = d.container_id JOIN lot ON lot.id = c.lot_id JOIN mould_insert i ON i.id = d.insert_id WHERE d.corrected_by IS NULL AND d.insert_id IN (SELECT y.id FROM ("+query+
		") y WHERE EXISTS (SELECT 1 FROM draw o JOIN container c ON c.id = o.container_id WHERE o.insert_id = y.id AND o.corrected_by IS NULL AND "+other+"))", args...)
	if err != nil {
		return nil, err
	}
	type sum struct {
		layers, allLayers, grams, allGrams float64
		byMass                             bool
	}
	sums := map[string]*sum{}
	for _, p := range parts {
		t := sums[p.insert]
		if t == nil {
			t = &sum{}
			sums[p.insert] = t
		}
		t.allLayers += float64(p.layers)
		t.allGrams += p.grams
		t.byMass = t.byMass || !p.layersKnown
		if p.mine {
			t.layers += float64(p.layers)
			t.grams += p.grams
		}
	}
	shares := make(map[string]float64, len(sums))
	for insert, t := range sums {
		switch {
		case !t.byMass:
			shares[insert] = t.layers / t.allLayers
		case t.allGrams > 0:
			shares[insert] = t.grams / t.allGrams
		}
	}
	return shares, nil
}
