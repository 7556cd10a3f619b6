package server

import (
	"context"
	"crypto/subtle"
	"errors"
	"net/http"
	"strings"
	"time"

	"github.com/google/uuid"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// setup is what the first page of a new book needs.
type setup struct {
	token    string // of the one-time link, "" where there is none
	verifier string // the key that checks checkpoints, as BookOpened records it
}

// Empty reports whether a book still waits for its set-up: it has no first
// page, or nobody who can sign in.
func Empty(ctx context.Context, st *store.Store) (bool, error) {
	if _, err := st.Book(ctx); errors.Is(err, shop.ErrNotFound) {
		return true, nil
	} else if err != nil {
		return false, err
	}
	n, err := st.KeyHolders(ctx)
	return n == 0, err
}

func (s *Server) empty(ctx context.Context) (bool, error) { return Empty(ctx, s.store) }

// invited refuses whoever comes without the link of the console, or after the
// set-up is done.
func (s *Server) invited(r *http.Request) error {
	empty, err := s.empty(r.Context())
	if err != nil {
		return err
	}
	if !empty {
		return &shop.Refusal{Kind: shop.ErrNotFound, Why: "This book is set up: the link worked once. Sign in instead."}
	}
	if s.setup.token == "" || subtle.ConstantTimeCompare([]byte(r.FormValue("token")), []byte(s.setup.token)) != 1 {
		return &shop.Refusal{Kind: shop.ErrForbidden, Why: "This is not the link of the set-up. It stands on the console of the service, and is made anew at each start."}
	}
	return nil
}

// setUpForm answers GET /set-up?token=….
func (s *Server) setUpForm(w http.ResponseWriter, r *http.Request) error {
	if err := s.invited(r); err != nil {
		return err
	}
	f := blank("", "/set-up")
	f.Values.Set("token", s.setup.token)
	f.Values.Set("code", string(shop.NewScanCode()))
	return show(w, r, http.StatusOK, views.SetUpPage(views.SetUp{Frame: s.frame(r, ""), Form: f, Verifier: s.setup.verifier}))
}

// setUp answers POST /set-up: it opens the book, gives the first quality
// manager a badge, and signs them in.
func (s *Server) setUp(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "/set-up")
	if err != nil {
		return err
	}
	if err := s.invited(r); err != nil {
		return err
	}
	keys, said := s.readKeys(r, &f, f.Value("badge"), "password")
	opened, person, err := s.firstPage(&f, said)
	if err == nil {
		err = s.openBook(r, opened, person, keysSet(person.Badge, keys))
	}
	if err := returned(&f, err); err != nil {
		return err
	}
	if len(f.Wrong) > 0 || f.Refused != "" {
		return show(w, r, statusOf(f), views.SetUpPage(views.SetUp{Frame: s.frame(r, ""), Form: f, Verifier: s.setup.verifier}))
	}
	if err := s.begin(w, r, f.Value("badge"), "password", store.Device{}); err != nil {
		return err
	}
	return seeOther(w, r, "/book", "The book is open. Next: the people of the shop, its stations and its machines.")
}

// firstPage makes the first entries out of the form, with all that is wrong.
func (s *Server) firstPage(f *views.Form, said shop.Fields) (shop.BookOpened, shop.PersonAdded, error) {
	opened := shop.BookOpened{Site: strings.TrimSpace(f.Value("site")), Zone: f.Value("zone"), Verifier: s.setup.verifier}
	person := shop.PersonAdded{Badge: f.Value("badge"), Roles: []shop.Role{shop.QualityManager}, Code: newCode(f)}
	zone, err := time.LoadLocation(opened.Zone)
	if err != nil {
		zone = time.UTC
	}
	person.From = shop.DayOf(s.now(), zone)
	for _, err := range []error{shop.Check(opened), shop.Check(person)} {
		if err := said.Take(err); err != nil {
			return opened, person, err
		}
	}
	return opened, person, said.Err()
}

// openBook records the first entries of a book. What a try before this one
// has recorded already is not recorded again.
func (s *Server) openBook(r *http.Request, opened shop.BookOpened, person shop.PersonAdded, keys shop.PersonKeysSet) error {
	ctx := r.Context()
	put := func(by string, e shop.Event) error {
		_, err := s.store.Record(ctx, shop.Entry{ID: uuid.Must(uuid.NewV7()), Zone: opened.Zone, By: by, Event: e})
		return err
	}
	if _, err := s.store.Book(ctx); errors.Is(err, shop.ErrNotFound) {
		if err := put("", opened); err != nil {
			return err
		}
	} else if err != nil {
		return err
	}
	if _, err := s.store.Person(ctx, person.Badge); errors.Is(err, shop.ErrNotFound) {
		if err := put("", person); err != nil {
			return err
		}
	} else if err != nil {
		return err
	}
	return put(person.Badge, keys)
}
