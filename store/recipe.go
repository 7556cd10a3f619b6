package store

import (
	"context"

	"sinterbook/store/shop"
)

const recipeColumns = `SELECT id, number, revision, used_for, soak_text, soak_unit, soak_c, band_text, band_unit, band_k, time_text, time_unit, time_s,
	tolerance_text, tolerance_unit, tolerance_s, dew_text, dew_unit, dew_c, steps, released_at, released_by, superseded_by, superseded_at FROM recipe`

func scanRecipe(row scanner) (shop.Recipe, error) {
	var r shop.Recipe
	var released, superseded stamp
	var soak, band, time, tolerance, dew readingColumns
	into := []any{&r.Seq, &r.Recipe, &r.Revision, &r.For}
	for _, c := range []*readingColumns{&soak, &band, &time, &tolerance, &dew} {
		into = append(into, c.scan()...)
	}
	if err := row.Scan(append(into, &r.Steps, &released, &r.ReleasedBy, &r.SupersededBy, &superseded)...); err != nil {
		return r, err
	}
	r.ReleasedAt, r.SupersededAt = released.Time, superseded.Time
	return r, readings(map[*shop.Reading]*readingColumns{&r.Soak: &soak, &r.Band: &band, &r.Time: &time, &r.Tolerance: &tolerance, &r.DewPoint: &dew})
}

// Recipes lists the recipes with all their revisions, the newest of each first.
func (s *Store) Recipes(ctx context.Context) ([]shop.Recipe, error) {
	return list(ctx, s.db, "recipes", scanRecipe, recipeColumns+" ORDER BY number, id DESC")
}

// Recipe is one revision of a recipe by its name, as "SR-1340 C".
func (s *Store) Recipe(ctx context.Context, name string) (shop.Recipe, error) {
	return one("recipe", name, scanRecipe, s.db.QueryRowContext(ctx, recipeColumns+" WHERE recipe = $1", name))
}

// recipeNamed is a recipe by its name; the zero one where there is none, of
// which the gate says so.
func recipeNamed(ctx context.Context, q querier, name string) (shop.Recipe, error) {
	found, err := list(ctx, q, "recipes", scanRecipe, recipeColumns+" WHERE recipe = $1", name)
	if err != nil || len(found) == 0 {
		return shop.Recipe{}, err
	}
	return found[0], nil
}

func (a applying) recipeReleased(e shop.RecipeReleased) error {
	if err := a.exec("UPDATE recipe SET superseded_by = $1, superseded_at = $2 WHERE number = $3 AND superseded_by = ''", e.Revision, a.at(), e.Recipe); err != nil {
		return err
	}
	name := shop.RecipeName(e.Recipe, e.Revision)
	return a.add("recipe", name, `INSERT INTO recipe (id, recipe, number, revision, used_for, soak_text, soak_unit, soak_c, band_text, band_unit, band_k, time_text, time_unit, time_s,
		tolerance_text, tolerance_unit, tolerance_s, dew_text, dew_unit, dew_c, steps, released_at, released_by, superseded_by)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, '')`,
		args(a.seq, name, e.Recipe, e.Revision, e.For, e.Soak, e.Band, e.Time, e.Tolerance, e.DewPoint, e.Steps, a.at(), a.By)...)
}
