package server

import (
	"net/http"
	"net/url"
	"slices"
	"testing"

	"sinterbook/store/shop"
)

// TestNewVersionOfARoute starts from the newest one and counts on.
func TestNewVersionOfARoute(t *testing.T) {
	b := staffed(t)
	form := b.get("101", "/new/route?template=RT-1").mustForm("/new/route")
	for field, want := range map[string]string{"template": "RT-1", "version": "2", "steps.1": shop.OpRelease, "steps.8": shop.OpDeliver} {
		if got := valueOf(namedField(t, form, field)); got != want {
			t.Errorf("%s is proposed as %q; want %q", field, got, want)
		}
	}
	b.post("101", form, url.Values{"steps.2": {""}, "steps.2.yields": {""}}).says(http.StatusUnprocessableEntity, "The operation print is missing from the route.").linked()
	b.post("101", form, url.Values{"steps.3": {"tempering"}}).says(http.StatusUnprocessableEntity, "The operation tempering stands twice.").linked()
	b.post("101", form, url.Values{"version": {"1"}}).says(http.StatusConflict, "There is already a route RT-1 in this book.")
	if p := b.post("101", form, url.Values{"steps.5": {""}, "steps.5.yields": {""}, "steps.7.optional": {"yes"}}); p.to != "/routes" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	rt, err := b.store.Route(t.Context(), "RT-1", 0)
	if err != nil {
		t.Fatal(err)
	}
	if rt.Version != 2 || len(rt.Steps) != 7 || !slices.Equal(rt.Steps[1].Group, shop.BuildParts) || rt.Steps[4].Operation != shop.OpInspect || !rt.Steps[5].Optional {
		t.Errorf("route %+v; want version 2 without tempering, fit-up optional, print interleaved", rt)
	}
	b.get("900", "/routes").says(http.StatusOK, "RT-1, version 2", "RT-1, version 1", "superseded: Release, then Print, dry, shape")
}
