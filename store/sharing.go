package store

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"sinterbook/store/shop"
)

// SharedKinds are the kinds of things by which inserts are looked for that share
// anything with suspect ones: what was used up, or ran once. Machines, gauges
// and people touch everything.
var SharedKinds = []string{"release", "lot", "container", "load"}

// Sharing lists all inserts that share a release, lot, container or load with
// the inserts that a thing touched in a window, and are none of these: two hops
// in one query.
func (s *Store) Sharing(ctx context.Context, t Thing, w shop.Window) ([]shop.Shared, error) {
	first, args := touching(t.Kind, t.Number, w)
	if t.Kind == "insert" {
		first, args = "SELECT id FROM mould_insert WHERE serial = $1", []any{t.Number}
	}
	if first == "" {
		return nil, shop.Wrong("kind", "A %s cannot be traced: it touches no insert.", t.Kind)
	}
	closure := closureOf(first)
	type pair struct {
		insert string
		shop.Touched
	}
	pairs, err := list(ctx, s.db, "what shares anything with "+t.Number, func(row scanner) (pair, error) {
		var p pair
		err := row.Scan(&p.insert, &p.Kind, &p.Number)
		return p, err
	}, closure+"SELECT i.serial, second.kind, second.code FROM second JOIN mould_insert i ON i.id = second.id ORDER BY i.serial, second.kind, second.code", args...)
	if err != nil || len(pairs) == 0 {
		return nil, err
	}
	where, err := s.where(ctx, " WHERE i.id IN ("+closure+"SELECT id FROM second) ORDER BY i.serial", args...)
	if err != nil {
		return nil, err
	}
	all := make([]shop.Shared, 0, len(where))
	for _, at := range where { // both are in the order of numbers
		sh := shop.Shared{Whereabout: at}
		for len(pairs) > 0 && pairs[0].insert == at.Code {
			sh.Through, pairs = append(sh.Through, pairs[0].Touched), pairs[1:]
		}
		all = append(all, sh)
	}
	return all, nil
}

// closureOf begins the query of two hops from a query for inserts: second has
// the other inserts, each with what it shares.
func closureOf(first string) string {
	var shared, second []string
	for _, a := range arms {
		if !slices.Contains(SharedKinds, a.kind) {
			continue
		}
		shared = append(shared, fmt.Sprintf("SELECT '%s' AS kind, %s AS code FROM %s WHERE %s IN (SELECT id FROM first)", a.kind, a.code, a.from, a.insert))
		second = append(second, fmt.Sprintf("SELECT %s AS id, h.kind, h.code FROM %s JOIN shared h ON h.kind = '%s' AND %s = h.code", a.insert, a.from, a.kind, a.code))
	}
	return "WITH first AS (SELECT DISTINCT id FROM (" + first + ") x), shared AS (" + strings.Join(shared, " UNION ") + "), second AS (SELECT DISTINCT id, kind, code FROM (" +
		strings.Join(second, " UNION ALL ") + ") x WHERE id NOT IN (SELECT id FROM first)) "
}
