package store

import (
	"context"
	"slices"

	"sinterbook/store/shop"
)

// markable are the words for where a part stands that can bear a mark.
var markable = []string{shop.StatusSintered, shop.StatusTempering, shop.StatusTempered, shop.StatusInspected, shop.StatusFitted, shop.StatusStock}

// checkMark refuses a mark on a soft part, and one that reads as another code.
func checkMark(ctx context.Context, q querier, e shop.InsertMarked) error {
	i, err := insertByNumber(ctx, q, e.Insert)
	if err != nil {
		return err
	}
	if !slices.Contains(markable, i.Status) {
		return shop.Conflict("%s is %s: only a sintered part in the house is marked.", i.Insert, i.Status)
	}
	if e.Read != i.Code {
		return shop.Wrong("code", "The mark reads %s, and the code of %s is %s: it is marked wrongly, or it is another part.", e.Read.Grouped(), i.Insert, i.Code.Grouped())
	}
	return nil
}

func (a applying) insertMarked(e shop.InsertMarked) error {
	return a.exec("UPDATE mould_insert SET marked = $1, marked_at = $2, marked_by = $3 WHERE serial = $4", e.How, a.at(), a.By, e.Insert)
}
