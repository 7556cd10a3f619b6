package store

import (
	"fmt"
	"testing"

	"sinterbook/store/shop"
)

// TestOrderRows counts what is on the route and what is made; scrap is
// neither.
func TestOrderRows(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		rows := func(open, made string) {
			t.Helper()
			o, err := s.OpenOrders(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			m, err := s.MadeOrders(t.Context(), 10)
			if err != nil {
				t.Fatal(err)
			}
			if got := said(o); got != open {
				t.Errorf("to be made %q; want %q", got, open)
			}
			if got := said(m); got != made {
				t.Errorf("made %q; want %q", got, made)
			}
		}
		rows("O-1 0+0/3", "")
		opened(t, s, "I-0001")
		opened(t, s, "I-0002")
		put(t, s, "601", shop.InsertScrapped{Insert: "I-0002", Why: "cracked"})
		rows("O-1 1+0/3", "")
		delivered(t, s, "I-0001")
		rows("O-1 0+1/3", "")
		o, err := s.Order(t.Context(), "O-1")
		if err != nil {
			t.Fatal(err)
		}
		fewer := entryBy("700", shop.OrderChanged{Order: "O-1", Changes: []shop.Change{{Field: "quantity", From: "3", To: "1"}}})
		fewer.Seen = o.Count
		if _, err := s.Record(t.Context(), fewer); err != nil {
			t.Fatal(err)
		}
		rows("", "O-1 0+1/1")
	})
}

func said(rows []OrderRow) string {
	text := ""
	for _, o := range rows {
		text += fmt.Sprintf("%s %d+%d/%d", o.Order.Order, o.OnRoute, o.Made, o.Quantity)
	}
	return text
}

func TestNextSerial(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for _, step := range []struct{ open, want string }{{"", "I-0001"}, {"I-0007", "I-0008"}, {"X-9", "I-0008"}, {"I-12345", "I-12346"}, {"I-0003", "I-12346"}} {
			if step.open != "" {
				opened(t, s, step.open)
			}
			if got, err := s.NextSerial(t.Context()); got != step.want || err != nil {
				t.Errorf("after %q: %q, %v; want %q", step.open, got, err, step.want)
			}
		}
	})
}
