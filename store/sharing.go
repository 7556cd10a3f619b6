package store

import (
	"cmp"
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
		return nil, shop.Wrong("kind", "%s %s cannot be traced: it touches no insert.", sentenceArticle(t.Kind), t.Kind)
	}
	read, err := s.whereReader(ctx)
	if err != nil {
		return nil, err
	}
	return list(ctx, s.db, "what shares anything with "+t.Number, func(row scanner) (shop.Shared, error) {
		var through string
		at, err := read(row, &through)
		sh := shop.Shared{Whereabout: at}
		for line := range strings.SplitSeq(through, "\n") {
			kind, number, _ := strings.Cut(line, "\t")
			sh.Through = append(sh.Through, shop.Touched{Kind: kind, Number: number})
		}
		slices.SortFunc(sh.Through, func(a, b shop.Touched) int {
			return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Number, b.Number))
		})
		return sh, err
	}, closureOf(first)+whereColumns+", x.through"+whereTables+" JOIN (SELECT id, string_agg(kind || '\t' || code, '\n') AS through FROM second GROUP BY id) x ON x.id = i.id ORDER BY i.serial", args...)
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
		// CROSS JOIN keeps SQLite from beginning with all draws or all loads.
		second = append(second, fmt.Sprintf("SELECT %s AS id, h.kind, h.code FROM shared h CROSS JOIN %s WHERE h.kind = '%s' AND %s = h.code", a.insert, a.from, a.kind, a.code))
	}
	return "WITH first AS (SELECT DISTINCT id FROM (" + first + ") x), shared AS (" + strings.Join(shared, " UNION ") + "), second AS (SELECT DISTINCT id, kind, code FROM (" +
		strings.Join(second, " UNION ALL ") + ") x WHERE id NOT IN (SELECT id FROM first)) "
}
