package server

import (
	"net/http"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// recipes answers GET /recipes.
func (s *Server) recipes(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Recipes(r.Context())
	if err != nil {
		return err
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	return s.register(w, r, views.Register{Title: "Recipes", Soft: "What a furnace or tempering oven is set to. Only a revision in force is run.", Sheet: "By number, newest revision first", Listing: views.Recipes(all, zone, s.now())},
		form{"/new/recipe", "Release a recipe", shop.RecipeReleased{}})
}

// newRecipe is the form that releases a revision of a recipe.
func (s *Server) newRecipe() making[shop.RecipeReleased] {
	return making[shop.RecipeReleased]{
		path: "/new/recipe", meaning: views.MeaningOfRecipe,
		read: func(_ *http.Request, f *views.Form) (shop.RecipeReleased, error) {
			said := shop.Fields{}
			e := shop.RecipeReleased{Recipe: f.Value("recipe"), Revision: f.Value("revision"), For: f.Value("for"), Steps: f.Value("steps"),
				Soak: measured(said, f, "soak", "unit", "The scale of the degrees", shop.Temperature), Band: difference(said, f, "band"),
				Time: said.Read("time", f.Value("time"), "min", shop.Duration), Tolerance: said.Read("tolerance", f.Value("tolerance"), "min", shop.Duration)}
			if f.Value("dew_point") != "" {
				e.DewPoint = measured(said, f, "dew_point", "unit", "The scale of the degrees", shop.Temperature)
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewRecipePage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.RecipeReleased) (to, notice string) {
			return "/recipes", "Recipe " + shop.RecipeName(e.Recipe, e.Revision) + " is released."
		},
	}
}

// difference reads a difference of temperatures on the scale that is chosen
// for the form in the field unit.
func difference(said shop.Fields, f *views.Form, field string) shop.Reading {
	in := "K"
	if f.Value("unit") == "F" {
		in = "dF"
	}
	return said.Read(field, f.Value(field), in, shop.Difference)
}
