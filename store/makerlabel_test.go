package store

import (
	"testing"

	"sinterbook/store/shop"
)

// A supplier's label is kept to the byte in the log and in what is made from
// it, and one of its serial numbers is booked in once: in its lot, and as its
// article in whatever lot.
func TestMakerLabels(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		const raw = "[)>\x1e06\x1d1TL1\x1d1PPX-7\x1dSJ-0031\x1e\x04\r\xe8\\"
		box := func(number, lot, article, serial, scan string) shop.ContainerReceived {
			return shop.ContainerReceived{Container: number, Lot: lot, Mass: gram("2500"), Article: article, Serial: serial, Label: shop.Visible(scan), Code: shop.NewScanCode()}
		}
		first := put(t, s, "204", box("L1/02", "L1", "PX-7", "J-0031", raw))
		put(t, s, "101", shop.LotReceived{Lot: "L2", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Article: "PX-8", Label: shop.Visible("]d2240PX-8\x1d10L2\r"), Code: shop.NewScanCode()})
		put(t, s, "204", box("L1/03", "L1", "PX-7", "J-0032", ""))
		put(t, s, "204", box("L2/01", "L2", "PX-8", "J-0031", "")) // another article's number
		put(t, s, "204", box("L2/02", "L2", "", "", ""))
		put(t, s, "204", box("L2/03", "L2", "", "", "")) // none said is no number
		for name, again := range map[string]shop.ContainerReceived{"the same lot": box("L1/04", "L1", "", "J-0031", ""), "the same article": box("L2/04", "L2", "PX-7", "J-0032", "")} {
			refusedFor(t, s, name, entryBy("204", again), shop.ErrConflict, "was booked in already: it is L1/0")
		}

		c, err := s.Container(t.Context(), "L1/02")
		if err != nil || c.Article != "PX-7" || c.Serial != "J-0031" {
			t.Errorf("%+v, %v", c, err)
		}
		logged, err := entryBySeq(t.Context(), s.db, first.Seq)
		if err != nil {
			t.Fatal(err)
		}
		for where, label := range map[string]string{"the table": c.Label, "the log": logged.Event.(shop.ContainerReceived).Label} {
			if back, ok := shop.AsScanned(label); !ok || back != raw {
				t.Errorf("in %s the label is %q; want %q back", where, label, raw)
			}
		}
		if l, err := s.Lot(t.Context(), "L2"); err != nil || l.Article != "PX-8" || l.Label != `]d2240PX-8\x1d10L2\x0d` {
			t.Errorf("%+v, %v", l, err)
		}
		if _, err := s.Verify(t.Context(), func(int64, int64) {}); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}
