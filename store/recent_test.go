package store

import (
	"errors"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// Who signs out is out at once, and on another server of the same book soon.
func TestSignedOutEverywhere(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		other := openAt(t, s.address, clockOf(s))
		token := NewToken()
		if err := s.BeginSession(t.Context(), Session{Badge: "204", How: "password", Began: s.Now(), Ends: s.Now().Add(time.Hour)}, token, ""); err != nil {
			t.Fatal(err)
		}
		for _, at := range []*Store{s, other, s, other} {
			if b, err := at.Session(t.Context(), token); err != nil || b.Badge != "204" {
				t.Fatalf("Session = %+v, %v", b, err)
			}
		}
		if err := s.EndSession(t.Context(), token); err != nil {
			t.Fatal(err)
		}
		if b, err := s.Session(t.Context(), token); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("after signing out: %+v, %v", b, err)
		}
		time.Sleep(recentFor)
		if b, err := other.Session(t.Context(), token); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("on the other server, a moment later: %+v, %v", b, err)
		}
	})
}

// A person whose work changes has the new roles with the next request.
func TestPersonChangesAtOnce(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		was, err := s.Person(t.Context(), "204")
		if err != nil {
			t.Fatal(err)
		}
		put(t, s, "601", shop.PersonAuthorised{Badge: "204", Operation: shop.OpInspect, From: was.From, Evidence: "trained"})
		now, err := s.Person(t.Context(), "204")
		if err != nil || len(now.Authorised) != len(was.Authorised)+1 {
			t.Errorf("%d authorisations, %v; want %d", len(now.Authorised), err, len(was.Authorised)+1)
		}
	})
}
