package store

import (
	"errors"
	"slices"
	"testing"

	"sinterbook/store/shop"
)

// One act holds what is here, lists what is not, and asks for a notice to each
// customer; the holds are lifted one by one or together.
func TestContainment(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for _, insert := range []string{"I-0001", "I-0002", "I-0003"} {
			opened(t, s, insert)
		}
		delivered(t, s, "I-0001")
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0003", Why: "looked at"})
		begin := shop.ContainmentBegun{Containment: "CA-001", OfKind: "lot", OfCode: "L1", Why: "small in Z", Inserts: []string{"I-0001", "I-0002", "I-0003"}}
		conflict(t, s, "501", begin, "it is for the process engineer and the quality manager")
		before := size(t, s)
		e := entryBy("601", begin)
		for range 2 { // a resend is the same act
			if _, err := s.Record(t.Context(), e); err != nil {
				t.Fatal(err)
			}
		}
		if grown := size(t, s) - before; grown != 3 {
			t.Errorf("the log grew by %d entries; want the containment and its two holds", grown)
		}
		c, err := s.Containment(t.Context(), "CA-001")
		if err != nil || len(c.Holds) != 2 || c.Holds[0].OnCode != "I-0002" || c.Holds[0].Hold != "H-002" || c.Holds[1].Hold != "H-003" || c.Holds[1].Reason != "small in Z" {
			t.Errorf("held: %+v, %v", c.Holds, err)
		}
		if len(c.Outside) != 1 || c.Outside[0].Insert != "I-0001" || c.Outside[0].Customer != "K1" || c.Outside[0].Mould != "M301" || c.Outside[0].Note != "DN-501" || len(c.Notices) != 1 || c.Notices[0].State() != "to be written" {
			t.Errorf("out of reach: %+v, notices %+v", c.Outside, c.Notices)
		}
		stopped(t, s, entryBy("204", printStart("I-0002", "PL-02")), shop.NotHeld.Name, "H-002")
		conflict(t, s, "601", begin, "There is already a containment CA-001")

		answer := shop.NoticeAnswered{Containment: "CA-001", Customer: "K1", Answer: "taken out"}
		conflict(t, s, "601", answer, "was not sent yet")
		send := shop.NoticeSent{Containment: "CA-001", Customer: "K1", Says: "Stop using I-0001.", How: "letter to the toolroom"}
		put(t, s, "601", send)
		conflict(t, s, "601", send, "was sent already")
		put(t, s, "601", answer)
		conflict(t, s, "601", answer, "was answered already")
		conflict(t, s, "601", shop.NoticeSent{Containment: "CA-001", Customer: "K9", Says: "x", How: "y"}, "Nothing of containment CA-001 was delivered to K9")

		lift := func(holds ...string) shop.ContainmentLifted {
			return shop.ContainmentLifted{Containment: "CA-001", Why: "measured, good", Holds: holds}
		}
		conflict(t, s, "601", lift("H-001"), "H-001 does not belong to containment CA-001")
		put(t, s, "601", shop.HoldLifted{Hold: "H-003", OnKind: "insert", OnCode: "I-0003", Why: "it is another lot"})
		before = size(t, s)
		conflict(t, s, "601", lift("H-002", "H-003"), "H-003 was lifted by 601 already")
		if size(t, s) != before {
			t.Error("a part of what was refused stands in the log")
		}
		put(t, s, "601", lift("H-002"))
		if c, err = s.Containment(t.Context(), "CA-001"); err != nil || len(c.Standing()) != 0 || c.Waiting() != 0 {
			t.Errorf("in the end %+v stand, %d wait, %v", c.Standing(), c.Waiting(), err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
		var none *shop.Refusal
		if _, err := s.Containment(t.Context(), "CA-009"); !errors.As(err, &none) {
			t.Errorf("CA-009: %v", err)
		}
		all, err := s.Containments(t.Context())
		if err != nil || len(all) != 1 || !slices.Equal([]string{all[0].OfKind, all[0].OfCode}, []string{"lot", "L1"}) {
			t.Errorf("containments %+v, %v", all, err)
		}
	})
}

// What comes back after a containment named it is held at once, under a number
// that is free.
func TestRecalledComesBack(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for _, insert := range []string{"I-0001", "I-0002"} {
			opened(t, s, insert)
		}
		delivered(t, s, "I-0001")
		put(t, s, "601", shop.HoldSet{Hold: "H-002", OnKind: "insert", OnCode: "I-0002", Why: "numbered by hand"})
		put(t, s, "601", shop.ContainmentBegun{Containment: "CA-001", OfKind: "lot", OfCode: "L1", Why: "small in Z", Inserts: []string{"I-0001", "I-0002"}})
		e := entryBy("501", shop.MouldReturned{Mould: "M301", Why: "flash", Inserts: []string{"I-0001"}})
		for range 2 {
			if _, err := s.Record(t.Context(), e); err != nil {
				t.Fatal(err)
			}
		}
		c, err := s.Containment(t.Context(), "CA-001")
		if err != nil || len(c.Holds) != 2 || c.Holds[0].Hold != "H-003" || c.Holds[1].Hold != "H-004" || c.Holds[1].OnCode != "I-0001" || c.Holds[1].Reason != "small in Z" {
			t.Errorf("held: %+v, %v", c.Holds, err)
		}
		stopped(t, s, signed("601", shop.MouldShipped{Mould: "M301", Note: "DN-777", Inserts: []string{"I-0001"}}), shop.NotHeld.Name, "H-004")
		put(t, s, "601", shop.ContainmentLifted{Containment: "CA-001", Why: "good", Holds: []string{"H-003", "H-004"}})
		if _, err := s.Record(t.Context(), signed("601", shop.MouldShipped{Mould: "M301", Note: "DN-778", Inserts: []string{"I-0001"}})); err != nil {
			t.Fatal(err)
		}
		put(t, s, "601", shop.NoticeSent{Containment: "CA-001", Customer: "K1", Says: "it is good", How: "by letter"})
		put(t, s, "601", shop.NoticeAnswered{Containment: "CA-001", Customer: "K1", Answer: "thank you"})
		put(t, s, "501", shop.InsertReturned{Insert: "I-0001", Why: "worn", Place: "cage", Back: shop.OpFit})
		if w, err := s.Where(t.Context(), "I-0001"); err != nil || len(w.HeldBy) != 0 {
			t.Errorf("once all is over it comes back held by %v, %v", w.HeldBy, err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}
