package server

import (
	"net/http"
	"slices"
	"strings"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) personRoutes(r chi.Router) {
	r.Get("/people", s.page(s.people))
	r.Get("/people/{badge}", s.page(s.person))
	r.Post("/people/{badge}/roles", s.page(s.changePerson))
	r.Post("/people/{badge}/authorise", s.page(s.authorise))
	r.Post("/people/{badge}/keys", s.page(s.setKeys))
	r.Post("/people/{badge}/erase", s.page(s.eraseName))
	offer(s, r, s.newPerson())
}

// people answers GET /people.
func (s *Server) people(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.People(r.Context())
	if err != nil {
		return err
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.PeoplePage(views.People{Frame: s.frame(r, "/book"), People: all, Today: shop.DayOf(s.now(), zone), New: s.may(r, shop.PersonAdded{}, "")}))
}

// newPerson is the form that gives somebody a badge.
func (s *Server) newPerson() making[shop.PersonAdded] {
	return making[shop.PersonAdded]{
		path: "/new/person",
		start: func(r *http.Request, f *views.Form) error {
			zone, err := s.zone(r.Context())
			if err == nil {
				f.Values.Set("from", string(shop.DayOf(s.now(), zone)))
			}
			return err
		},
		read: func(_ *http.Request, f *views.Form) (shop.PersonAdded, error) {
			return shop.PersonAdded{Badge: strings.TrimSpace(f.Value("badge")), Roles: rolesOf(f), From: shop.Date(f.Value("from")), Code: newCode(f)}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewPersonPage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.PersonAdded) (to, notice string) {
			return views.PageOf("person", e.Badge), "Badge " + e.Badge + " was given out. Set a name, a PIN and what it is authorised for below."
		},
	}
}

func rolesOf(f *views.Form) []shop.Role {
	var roles []shop.Role
	for _, r := range f.Values["roles"] {
		roles = append(roles, shop.Role(r))
	}
	return roles
}

// personPage is a person's page with one of its forms as it was sent; the
// others are new.
func (s *Server) personPage(r *http.Request, sent views.Form) (views.PersonPage, error) {
	badge := pathWord(r, "badge")
	person, err := s.store.Person(r.Context(), badge)
	if err != nil {
		return views.PersonPage{}, err
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return views.PersonPage{}, err
	}
	keys, err := s.store.Keys(r.Context(), badge)
	if err != nil {
		return views.PersonPage{}, err
	}
	p := views.PersonPage{Frame: s.frame(r, "/book"), Person: person, Zone: zone, Today: shop.DayOf(s.now(), zone), Own: badge == visitorOf(r).Person.Badge,
		HasPIN: keys.PIN != "", HasPassword: keys.Password != "", Manages: s.may(r, shop.PersonChanged{}, "")}
	if p.Wrong, p.WrongLast, err = s.store.WrongTries(r.Context(), spelled(badge)); err != nil {
		return p, err
	}
	if err := s.readings(r, &p); err != nil {
		return p, err
	}
	p.Roles, p.Authorise, p.Keys, p.Erase = blank("roles", views.PageOf("person", badge)+"/roles"), blank("authorise", views.PageOf("person", badge)+"/authorise"),
		blank("keys", views.PageOf("person", badge)+"/keys"), blank("erase", views.PageOf("person", badge)+"/erase")
	for _, role := range person.Roles {
		p.Roles.Values.Add("roles", string(role))
	}
	p.Roles.Values.Set("until", string(person.Until))
	p.Authorise.Values.Set("from", string(p.Today))
	for _, f := range []*views.Form{&p.Roles, &p.Authorise, &p.Keys, &p.Erase} {
		if f.Name == sent.Name {
			*f = sent
		}
	}
	return p, nil
}

// readings adds which instructions a person has read, and which still wait.
func (s *Server) readings(r *http.Request, p *views.PersonPage) error {
	all, err := s.store.Instructions(r.Context())
	if err != nil {
		return err
	}
	if p.Reads, err = s.store.ReadBy(r.Context(), p.Person.Badge); err != nil {
		return err
	}
	for _, operation := range shop.Operations {
		in, ok := shop.InstructionAt(all, operation, s.now())
		read := slices.ContainsFunc(p.Reads, func(a shop.Acknowledgement) bool { return a.Of(in) })
		if ok && !read && p.Person.MayDo(operation, p.Today) {
			p.Unread = append(p.Unread, in)
		}
	}
	return nil
}

// person answers GET /people/{badge}.
func (s *Server) person(w http.ResponseWriter, r *http.Request) error {
	return s.showPerson(w, r, http.StatusOK, views.Form{})
}

func (s *Server) showPerson(w http.ResponseWriter, r *http.Request, status int, sent views.Form) error {
	p, err := s.personPage(r, sent)
	if err != nil {
		return err
	}
	return show(w, r, status, views.OnePersonPage(p))
}

// onPerson records what one of the forms of a person's page says.
func (s *Server) onPerson(w http.ResponseWriter, r *http.Request, form, notice string, read func(f *views.Form, badge string) (shop.Event, error)) error {
	badge := pathWord(r, "badge")
	f, err := typed(r, form, views.PageOf("person", badge)+"/"+form)
	if err != nil {
		return err
	}
	e, err := read(&f, badge)
	ok, err := s.keep(r, &f, e, "", err)
	if err != nil {
		return err
	}
	if !ok {
		return s.showPerson(w, r, statusOf(f), f)
	}
	return seeOther(w, r, views.PageOf("person", badge), notice)
}

// changePerson answers POST /people/{badge}/roles.
func (s *Server) changePerson(w http.ResponseWriter, r *http.Request) error {
	return s.onPerson(w, r, "roles", "The roles and days were recorded. Whoever was signed in with this badge must sign in again.", func(f *views.Form, badge string) (shop.Event, error) {
		return shop.PersonChanged{Badge: badge, Roles: rolesOf(f), Until: shop.Date(f.Value("until"))}, nil
	})
}

// authorise answers POST /people/{badge}/authorise.
func (s *Server) authorise(w http.ResponseWriter, r *http.Request) error {
	return s.onPerson(w, r, "authorise", "The authorisation was recorded.", func(f *views.Form, badge string) (shop.Event, error) {
		return shop.PersonAuthorised{Badge: badge, Operation: f.Value("operation"), From: shop.Date(f.Value("from")), Until: shop.Date(f.Value("until")), Evidence: strings.TrimSpace(f.Value("evidence"))}, nil
	})
}

// eraseName answers POST /people/{badge}/erase.
func (s *Server) eraseName(w http.ResponseWriter, r *http.Request) error {
	return s.onPerson(w, r, "erase", "The name, PIN and password were erased. The badge and what it did stay.", func(f *views.Form, badge string) (shop.Event, error) {
		said := shop.Fields{}
		if f.Value("sure") != badge {
			said.Say("sure", "Type the badge %s to say that you mean it.", badge)
		}
		return shop.NameErased{Badge: badge}, said.Err()
	})
}

// setKeys answers POST /people/{badge}/keys: a person's name, PIN or password.
// Whoever sets their own shows first that they know the old one.
func (s *Server) setKeys(w http.ResponseWriter, r *http.Request) error {
	badge := pathWord(r, "badge")
	own := badge == visitorOf(r).Person.Badge
	if err := visitorOf(r).Person.MayRecord(shop.PersonKeysSet{Badge: badge}); err != nil {
		return err
	}
	f, err := typed(r, "keys", views.PageOf("person", badge)+"/keys")
	if err != nil {
		return err
	}
	said := shop.Fields{}
	if own {
		if err := s.sayOwn(r, said, f.Value("old")); err != nil {
			return err
		}
	}
	keys, wrong := s.readKeys(r, &f, badge)
	if err := said.Take(wrong.Err()); err != nil {
		return err
	}
	ok, err := s.keep(r, &f, keysSet(badge, keys), "", said.Err())
	for _, secret := range secretFields {
		f.Values.Del(secret)
	}
	if err != nil {
		return err
	}
	if !ok {
		return s.showPerson(w, r, statusOf(f), f)
	}
	if own && (keys.PIN != "" || keys.Password != "") {
		d, err := s.device(r)
		if err != nil {
			return err
		}
		if err := s.begin(w, r, badge, "password", d); err != nil {
			return err
		}
	}
	return seeOther(w, r, views.PageOf("person", badge), "Recorded: "+shop.Listed(keysSet(badge, keys).What)+". What was set is kept beside the log.")
}

// sayOwn asks for the PIN or the password that stands.
func (s *Server) sayOwn(r *http.Request, said shop.Fields, old string) error {
	if old == "" {
		said.Say("old", "Your present PIN or password is missing: it shows that it is you.")
		return nil
	}
	right, err := s.prove(r, visitorOf(r).Person.Badge, old, passwordOf, pinOf)
	if err == nil && !right {
		said.Say("old", "That is neither your present PIN nor your present password.")
	}
	return err
}

// secretFields are never shown again.
var secretFields = []string{"old", "pin", "pin_again", "password", "password_again"}

const (
	shortestPIN, longestPIN           = 6, 12
	shortestPassword, longestPassword = 10, 200
)

// readKeys reads the name, PIN and password of a form; need names those that
// must be there.
func (s *Server) readKeys(r *http.Request, f *views.Form, badge string, need ...string) (shop.PersonKeys, shop.Fields) {
	said := shop.Fields{}
	name, pin, password := strings.TrimSpace(f.Value("name")), f.Value("pin"), f.Value("password")
	if len([]rune(name)) > 100 {
		said.Say("name", "The name is longer than 100 letters.")
	}
	if pin != "" {
		sayPIN(said, pin, badge)
	}
	if pin != f.Value("pin_again") {
		said.Say("pin_again", "The two PINs differ.")
	}
	if n := len([]rune(password)); password != "" && (n < shortestPassword || n > longestPassword) {
		said.Say("password", "The password has %d letters: it must have %d to %d. A sentence is a good one.", n, shortestPassword, longestPassword)
	}
	if password == "" && slices.Contains(need, "password") {
		said.Say("password", "The password is missing: it has at least %d letters.", shortestPassword)
	}
	if password != f.Value("password_again") {
		said.Say("password_again", "The two passwords differ.")
	}
	keys := shop.PersonKeys{Name: name}
	if len(said) > 0 {
		return keys, said
	}
	for _, k := range []struct {
		typed string
		into  *string
	}{{pin, &keys.PIN}, {password, &keys.Password}} {
		if k.typed == "" {
			continue
		}
		var err error
		if *k.into, err = s.hashes.hash(r.Context(), k.typed); err != nil {
			said.Say("", "This was stopped before it was recorded: send it again.")
		}
	}
	return keys, said
}

// sayPIN refuses a PIN that is too short or the first that anybody would try.
func sayPIN(said shop.Fields, pin, badge string) {
	if len(pin) < shortestPIN || len(pin) > longestPIN || strings.Trim(pin, "0123456789") != "" {
		said.Say("pin", "A PIN has %d to %d digits.", shortestPIN, longestPIN)
		return
	}
	steps := map[int]bool{}
	for i := range len(pin) - 1 {
		steps[int(pin[i+1])-int(pin[i])] = true
	}
	if len(steps) == 1 && (steps[0] || steps[1] || steps[-1]) || strings.Contains(pin, badge) && badge != "" {
		said.Say("pin", "That PIN is too easy to guess: take one without a row of digits and without the badge number.")
	}
}

// keysSet is the event of what was set.
func keysSet(badge string, keys shop.PersonKeys) shop.PersonKeysSet {
	e := shop.PersonKeysSet{Badge: badge, Private: keys}
	for _, k := range []struct{ what, set string }{{"name", keys.Name}, {"PIN", keys.PIN}, {"password", keys.Password}} {
		if k.set != "" {
			e.What = append(e.What, k.what)
		}
	}
	return e
}
