package views

import (
	"fmt"
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Recipes lists the recipes with all their revisions.
func Recipes(all []shop.Recipe, zone *time.Location, now time.Time) Listing {
	l := Listing{Name: "Recipes", Empty: "No recipe was released yet. A load names the one that it runs.",
		Columns: columnsOf("Recipe", "State", "For", "Soak", "Steps", "Released", "Records")}
	for _, r := range all {
		state := stateItem("in force", "done")
		if !r.InForce(now) {
			state = stateItem("superseded by "+r.SupersededBy, "past")
		}
		l.Rows = append(l.Rows, Row{Past: !r.InForce(now), Cells: []Item{code(r.Name()), state, words(r.For), words(soakWords(r)), words(r.Steps), code(r.ReleasedBy + " " + Stamp(r.ReleasedAt, zone)), historyItem("recipe", r.Name())}})
	}
	return l
}

// soakWords say what is held, for how long, and how dry.
func soakWords(r shop.Recipe) string {
	return fmt.Sprintf("%s, at most %s less, for %s ± %s%s", r.Soak, r.Band, r.Time, r.Tolerance, taken("; dew point at most ", r.DewPoint))
}

// RecipeOptions are the recipes in force for an operation.
func RecipeOptions(all []shop.Recipe, operation string, now time.Time) []Option {
	var o []Option
	for _, r := range all {
		if r.InForce(now) && r.For == operation {
			o = append(o, Option{Value: r.Name(), Text: r.Name() + ", " + r.Soak.String() + ", " + r.Time.String()})
		}
	}
	return o
}

// NewRecipePage releases a revision of a recipe.
func NewRecipePage(p New) templ.Component {
	f := p.Form
	return plain(p, Wording{"Release a recipe", "Copy the programme as it stands in the controller. The revision before it is superseded; nothing is sent to a furnace.", "Release the recipe", "/recipes"},
		group(field(f.CodeField("recipe", "Recipe number", true)), field(f.CodeField("revision", "Revision", true)), choice(f.Pick("for", "For", Options(shop.RecipeUses...), true))),
		group(field(f.Figure("soak", "Soak temperature", "", true)), field(f.Figure("band", "Counts as soak down to this much below", "", true)), choice(f.Pick("unit", "Degrees in", celsius(), true))),
		group(field(f.Figure("time", "Soak time", "min", true)), field(f.Figure("tolerance", "Tolerance of the time, plus or minus", "min", true)), field(f.Figure("dew_point", "Dew point at most", "", false))),
		group(area(f.Words("steps", "Steps, with the gas", true))), group(field(f.PIN(MeaningOfRecipe))))
}

// celsius are the two scales of temperature.
func celsius() []Option { return UnitOptions(shop.Temperature) }
