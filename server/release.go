package server

import (
	"errors"
	"net/http"
	"strings"
	"unicode"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// releases answers GET /releases.
func (s *Server) releases(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Releases(r.Context())
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.ReleasesPage(views.Releases{Frame: s.frame(r, "/book"), Releases: all, At: s.now(), New: s.may(r, shop.ReleaseDrafted{}, "")}))
}

// release answers GET /releases/{release}.
func (s *Server) release(w http.ResponseWriter, r *http.Request) error {
	p, err := s.releasePage(r)
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.ReleasePage(p))
}

// releasePage reads a release and makes the forms that belong to its state and
// to the visitor.
func (s *Server) releasePage(r *http.Request) (views.Release, error) {
	ctx := r.Context()
	p := views.Release{Frame: s.frame(r, "/book"), At: s.now()}
	var err error
	if p.Release, err = s.store.Release(ctx, pathWord(r, "release")); err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(ctx); err != nil {
		return p, err
	}
	if p.Inserts, err = s.store.Inserts(ctx, "release", p.Release.Release); err != nil {
		return p, err
	}
	if !p.Release.InForce(p.At) {
		return p, nil
	}
	if p.Shifts, err = s.store.Shifts(ctx, p.Release); err != nil {
		return p, err
	}
	at := views.ReleaseHref(p.Release.Release)
	if s.may(r, shop.ReleaseSigned{}, "") && !p.SignedBy(visitorOf(r).Person.Badge) && len(p.Release.Signatures) < 2 {
		f := blank("sign", at+"/sign")
		p.Sign = &f
	}
	if s.may(r, shop.ReleaseWithdrawn{}, "") {
		f := blank("withdraw", at+"/withdraw")
		p.Withdraw = &f
	}
	p.Replace = s.may(r, shop.ReleaseDrafted{}, "")
	return p, nil
}

// signRelease answers POST /releases/{release}/sign.
func (s *Server) signRelease(w http.ResponseWriter, r *http.Request) error {
	p, err := s.releasePage(r)
	if err != nil {
		return err
	}
	number := p.Release.Release
	f, err := typed(r, "sign", views.ReleaseHref(number)+"/sign")
	if err != nil {
		return err
	}
	ok, err := s.recordSigned(r, &f, shop.ReleaseSigned{Release: number}, views.MeaningOfRelease)
	if err != nil {
		return err
	}
	if !ok {
		p.Sign = &f
		return show(w, r, statusOf(f), views.ReleasePage(p))
	}
	return seeOther(w, r, views.ReleaseHref(number), "You signed release "+number+".")
}

// withdrawRelease answers POST /releases/{release}/withdraw.
func (s *Server) withdrawRelease(w http.ResponseWriter, r *http.Request) error {
	p, err := s.releasePage(r)
	if err != nil {
		return err
	}
	number := p.Release.Release
	f, err := typed(r, "withdraw", views.ReleaseHref(number)+"/withdraw")
	if err != nil {
		return err
	}
	ok := false
	if strings.TrimSpace(f.Value("reason")) == "" {
		f.Wrong = map[string]string{"reason": "The reason for withdrawing it is missing."}
	} else if ok, err = s.recordSigned(r, &f, shop.ReleaseWithdrawn{Release: number}, views.MeaningOfReleaseEnd); err != nil {
		return err
	}
	if !ok {
		p.Withdraw = &f
		return show(w, r, statusOf(f), views.ReleasePage(p))
	}
	return seeOther(w, r, views.ReleaseHref(number), "Release "+number+" was withdrawn.")
}

// newRelease is the form that drafts a release.
func (s *Server) newRelease() making[shop.ReleaseDrafted] {
	return making[shop.ReleaseDrafted]{
		path:  "/new/release",
		start: s.proposeRelease,
		more:  s.takeOrientation,
		read:  s.releaseOf,
		page:  s.newReleasePage,
		made: func(e shop.ReleaseDrafted) (to, notice string) {
			return views.ReleaseHref(e.Release), "Release " + e.Release + " was drafted. It counts once two people signed it."
		},
	}
}

// proposeRelease takes what the address names: a design, or a release to be
// replaced, from which all but its number, factors and evidence is taken.
func (s *Server) proposeRelease(r *http.Request, f *views.Form) error {
	for _, field := range []string{"design", "lot", "machine"} {
		f.Values.Set(field, r.FormValue(field))
	}
	if old := r.FormValue("supersedes"); old != "" {
		was, err := s.store.Release(r.Context(), old)
		if err != nil {
			return err
		}
		for field, value := range map[string]string{"supersedes": was.Release, "design": was.Design, "lot": was.Lot, "machine": was.Machine,
			"recipe": was.Recipe, "program": was.Program, "program_sha256": was.ProgramHash} {
			f.Values.Set(field, value)
		}
	}
	return s.takeOrientation(r, f)
}

// takeOrientation fills in the orientation of the design in force.
func (s *Server) takeOrientation(r *http.Request, f *views.Form) error {
	number := f.Value("design")
	if number == "" {
		return nil
	}
	d, err := s.store.Design(r.Context(), number, "")
	if errors.Is(err, shop.ErrNotFound) {
		return returned(f, err)
	}
	f.Values.Set("orientation", d.Orientation)
	return err
}

// releaseOf reads a release. It is for the design's revision in force, if that
// is what the page showed.
func (s *Server) releaseOf(r *http.Request, f *views.Form) (shop.ReleaseDrafted, error) {
	said := shop.Fields{}
	e := shop.ReleaseDrafted{
		Release: f.Value("release"), Design: f.Value("design"), Revision: follows, Lot: f.Value("lot"), Machine: f.Value("machine"),
		Recipe: f.Value("recipe"), Orientation: f.Value("orientation"), Evidence: f.Value("evidence"), Program: f.Value("program"),
		ProgramHash: strings.ToLower(strings.TrimSpace(f.Value("program_sha256"))), Supersedes: f.Value("supersedes"),
		KX: said.Read("kx", f.Value("kx"), "1", shop.Ratio), KY: said.Read("ky", f.Value("ky"), "1", shop.Ratio), KZ: said.Read("kz", f.Value("kz"), "1", shop.Ratio),
	}
	e.Firsts = strings.FieldsFunc(f.Value("first_inserts"), func(c rune) bool { return c == ',' || c == ';' || unicode.IsSpace(c) })
	if f.Value("further.1") != "" || f.Value("further_layer") != "" {
		e.Further = []shop.LayerLot{{Lot: f.Value("further.1"), FromLayer: countOf(said, f, "further_layer", "The layer from which it takes over")}}
	}
	if e.Design == "" {
		said.Say("design", "The part number is missing.")
		return e, said.Err()
	}
	d, err := s.store.Design(r.Context(), e.Design, "")
	if err != nil {
		return e, err
	}
	e.Revision = d.Revision
	inForce(said, f, d)
	return e, said.Err()
}

func (s *Server) newReleasePage(r *http.Request, f views.Form) (templ.Component, error) {
	ctx := r.Context()
	p := views.NewRelease{New: views.New{Frame: s.frame(r, "/book"), Form: f}, At: s.now()}
	var err error
	if p.Designs, err = s.store.Designs(ctx); err != nil {
		return nil, err
	}
	if p.Design, err = s.store.Design(ctx, f.Value("design"), ""); err == nil {
		f.Values.Set("revision", p.Design.Revision)
	} else if !errors.Is(err, shop.ErrNotFound) {
		return nil, err
	}
	if p.Lots, err = s.store.Lots(ctx); err != nil {
		return nil, err
	}
	if p.Machines, err = s.store.Machines(ctx); err != nil {
		return nil, err
	}
	if p.Recipes, err = s.store.Recipes(ctx); err != nil {
		return nil, err
	}
	p.Releases, err = s.store.Releases(ctx)
	return views.NewReleasePage(p), err
}
