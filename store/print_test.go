package store

import (
	"errors"
	"strings"
	"testing"

	"sinterbook/store/shop"
)

func layersDrawn(insert string, from, to int, mass string) shop.PasteDrawn {
	return shop.PasteDrawn{Container: "L1/01", Insert: insert, FromLayer: from, ToLayer: to, Drawn: gram(mass)}
}

// Paste for layers that have theirs is asked about, and a reason lets it pass.
// The same draw put right is not two draws.
func TestLayersAreDrawnOnce(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		first := put(t, s, "204", layersDrawn("I-0001", 1, 100, "92.3"))
		put(t, s, "204", layersDrawn("I-0001", 101, 150, "46.1"))
		again := entryBy("204", layersDrawn("I-0001", 91, 200, "100.0"))
		if _, err := s.Record(t.Context(), again); !errors.Is(err, shop.ErrAsks) || !strings.Contains(err.Error(), "Paste for layers 91 to 100 of I-0001 was drawn already: 92.3 g from L1/01 for layers 1 to 100, by 204.") {
			t.Fatalf("layers 91 to 200 once more: %v; want to be asked about 91 to 100", err)
		}
		fix := entryBy("204", layersDrawn("I-0001", 1, 100, "93.2"))
		fix.Corrects, fix.Reason = first.Seq, "digits swapped"
		if _, err := s.Record(t.Context(), fix); err != nil {
			t.Errorf("the first draw put right: %v", err)
		}
		over := entryBy("204", layersDrawn("I-0001", 1, 110, "93.2"))
		over.Reason = "a layer more"
		standing, err := s.Draws(t.Context(), "I-0001")
		if err != nil {
			t.Fatal(err)
		}
		over.Corrects = standing[len(standing)-1].Seq
		if _, err := s.Record(t.Context(), over); !errors.Is(err, shop.ErrAsks) || !strings.Contains(err.Error(), "layers 101 to 110") {
			t.Errorf("put right into the layers of the next draw: %v; want to be asked", err)
		}
		again.Answers = map[string]string{shop.LayersDrawnOnce.Name: "bead tore off, scraped and printed again"}
		if _, err := s.Record(t.Context(), again); err != nil {
			t.Errorf("with a reason: %v", err)
		}
	})
}

// A print ends when each layer that was made has its paste and its record, with
// a mass that the paste can have given.
func TestPrintEndsWithItsRecords(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		end := func(layers int, mass string, answers map[string]string) error {
			e := entryBy("204", shop.PrintFinished{Insert: "I-0001", LayersDone: layers, Printed: gram(mass)})
			e.Answers = answers
			_, err := s.Record(t.Context(), e)
			return err
		}
		said := func(what string, err, kind error, words ...string) {
			t.Helper()
			for _, w := range words {
				if !errors.Is(err, kind) || !strings.Contains(err.Error(), w) {
					t.Errorf("%s: %v; want %v with %q", what, err, kind, w)
				}
			}
		}
		said("nothing recorded", end(304, "254.3", nil), shop.ErrRefused, "Missing: the paste drawn for it")
		put(t, s, "204", layersDrawn("I-0001", 1, 100, "92.3"))
		said("layers without a record", end(304, "92.0", nil), shop.ErrRefused, "the paste drawn for layers 101 to 304 and the record of its layers.")
		put(t, s, "204", layersDrawn("I-0001", 151, 304, "142.0"))
		put(t, s, "204", shop.LayersMade{Insert: "I-0001", FromLayer: 11, ToLayer: 303})
		said("with gaps", end(304, "220.0", nil), shop.ErrRefused, "the paste drawn for layers 101 to 150", "the record of layers 1 to 10 and the record of layer 304")
		put(t, s, "204", layersDrawn("I-0001", 101, 150, "46.2"))
		put(t, s, "204", shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 10})
		put(t, s, "204", shop.LayersMade{Insert: "I-0001", FromLayer: 304, ToLayer: 304})
		said("more than was drawn", end(304, "280.6", nil), shop.ErrInvalid, "280.6 g were printed, and only 280.5 g were drawn")
		said("a digit too few", end(304, "25.43", nil), shop.ErrAsks, "25.43 g were printed of 280.5 g drawn for I-0001: less than 70 %")
		if err := end(304, "190.0", map[string]string{shop.PrintedAsDrawn.Name: "half of it was milled away by drawing"}); err != nil {
			t.Errorf("little, with a reason: %v", err)
		}
	})
}
