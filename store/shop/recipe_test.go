package shop

import "time"

// recipeRows are the questions to the gates about recipes, by gate.
var recipeRows = map[string][]gateRow{
	RecipeOfRelease.Name: {
		{"the same", asIs, nil},
		{"another revision of it", func(f *Facts) { f.LoadRecipe = "SR-1340 B" }, []string{"SR-1340 B", "DR-09 A", "I-0029", "SR-1340 C"}},
	},
	RecipeIsReleased.Name: {
		{"in force", asIs, nil},
		{"no recipe in it", func(f *Facts) { f.LoadRecipe = "" }, nil},
		{"not in the book", func(f *Facts) { f.Recipe = Recipe{} }, []string{"SR-1340 C is not released"}},
		{"for another operation", func(f *Facts) { f.Recipe.For = OpTemper }, []string{"SR-1340 C is for tempering"}},
		{"superseded", func(f *Facts) { f.Recipe.SupersededBy, f.Recipe.SupersededAt = "D", noon.Add(-time.Hour) }, []string{"superseded by revision D"}},
		{"entered later, superseded since", later(func(f *Facts) { f.Recipe.SupersededBy, f.Recipe.SupersededAt = "D", noon.Add(time.Hour) }), nil},
		{"entered later, released since", later(func(f *Facts) { f.Recipe.ReleasedAt = noon.Add(time.Hour) }), []string{"SR-1340 C is not released"}},
	},
}
