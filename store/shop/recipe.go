package shop

import (
	"fmt"
	"slices"
	"time"
)

// A Recipe is one revision of a furnace or tempering cycle.
type Recipe struct {
	Seq          int64 // 0 where there is none
	Recipe       string
	Revision     string
	For          string
	Soak         Reading // temperature
	Band         Reading // readings count as soak down to this much below
	Time         Reading // planned soak
	Tolerance    Reading // of the soak time, plus or minus
	DewPoint     Reading // wettest gas allowed in soak; not taken where it does not matter
	Steps        string
	ReleasedAt   time.Time
	ReleasedBy   string
	SupersededBy string // revision, "" while in force
	SupersededAt time.Time
}

// RecipeUses are the operations that run by a recipe.
var RecipeUses = []string{OpSinter, OpTemper}

// RecipeName is a recipe and its revision, as loads and releases name it.
func RecipeName(recipe, revision string) string { return recipe + " " + revision }

// Name is the recipe with its revision.
func (r Recipe) Name() string { return RecipeName(r.Recipe, r.Revision) }

// InForce reports whether the revision may be run at that time.
func (r Recipe) InForce(at time.Time) bool {
	return r.Seq != 0 && (r.SupersededBy == "" || at.Before(r.SupersededAt))
}

// RecipeReleased lets a revision of a recipe be run; it supersedes the one
// before it. Sinterbook sends it to no controller.
type RecipeReleased struct {
	Recipe    string  `json:"recipe"`
	Revision  string  `json:"revision"`
	For       string  `json:"for"`
	Soak      Reading `json:"soak" quantity:"temperature"`
	Band      Reading `json:"band" quantity:"temperature difference"`
	Time      Reading `json:"time" quantity:"time"`
	Tolerance Reading `json:"tolerance" quantity:"time"`
	DewPoint  Reading `json:"dew_point" quantity:"temperature"`
	Steps     string  `json:"steps"`
}

func (RecipeReleased) Kind() string { return "recipe-released" }
func (e RecipeReleased) Subjects() []string {
	return []string{Subject("recipe", RecipeName(e.Recipe, e.Revision))}
}

// Valid refuses a recipe without soak, band, time or steps.
func (e RecipeReleased) Valid() error {
	f := Fields{}
	f.Number("recipe", e.Recipe, "The recipe's number")
	f.Number("revision", e.Revision, "The revision")
	if !slices.Contains(RecipeUses, e.For) {
		f.Say("for", "The recipe is for %q: it must be for sintering or tempering.", e.For)
	}
	f.needFurnaceHeat("soak", e.Soak, "The soak temperature")
	f.needPositive("band", e.Band, "The band of the soak")
	f.needPositive("time", e.Time, "The soak time")
	f.needPositive("tolerance", e.Tolerance, "The tolerance of the soak time")
	if e.DewPoint.Taken() && (e.DewPoint.Value() < -100 || e.DewPoint.Value() > 40) {
		f.Say("dew_point", "The dew point is %s: it must lie from -100 to 40 °C.", e.DewPoint)
	}
	f.Need("steps", e.Steps, "What the steps are")
	return f.Err()
}

// RecipeIsReleased asks for a recipe that is released for the operation and
// not superseded.
var RecipeIsReleased = Gate{"recipe released", "the process engineer", askRecipeReleased}

func askRecipeReleased(f Facts) string {
	name := f.LoadRecipe
	switch r := f.Recipe; {
	case name == "":
		return ""
	case r.Seq == 0 || r.ReleasedAt.After(f.AsOf()):
		return fmt.Sprintf("Recipe %s is not released.", name)
	case r.For != f.Operation:
		return fmt.Sprintf("Recipe %s is for %s, not for %s.", name, r.For, f.Operation)
	case !r.InForce(f.AsOf()):
		return fmt.Sprintf("Recipe %s was superseded by revision %s at %s.", name, r.SupersededBy, f.clock(r.SupersededAt))
	}
	return ""
}
