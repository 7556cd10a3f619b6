package store

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

// certificateOn is a certificate of n bytes that no other seed gives.
func certificateOn(lot, number string, seed uint64, n int) shop.DocumentFiled {
	file := make([]byte, n)
	rand.NewChaCha8([32]byte{byte(seed)}).Read(file)
	return shop.DocumentFiled{OnKind: "lot", OnCode: lot, Type: "certificate of analysis", Number: number, IssuedOn: "2025-09-01", IssuedBy: "Maker One", Note: "two pages",
		Document: shop.DocumentNamed(file), MediaType: "application/pdf", Size: int64(n), Name: number + ".pdf", Bytes: file}
}

func lotBeside(t testing.TB, s *Store) {
	t.Helper()
	put(t, s, "101", shop.LotReceived{Lot: "L2", Material: "HT44 paste", MadeOn: "2025-09-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
}

// A certificate is filed with its lot as it came; the same file is filed with
// another lot too, but not twice with one.
func TestDocumentFiled(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		lotBeside(t, s)
		first := certificateOn("L1", "C-118", 1, 70_000)
		at := put(t, s, "101", first)
		other := first
		other.OnCode = "L2"
		put(t, s, "204", other)
		put(t, s, "601", certificateOn("L1", "", 2, 1))
		all, err := s.FilingsOn(t.Context(), "lot", "L1")
		if err != nil || len(all) != 2 {
			t.Fatalf("%d on the lot, %v", len(all), err)
		}
		want := shop.Filing{Document: shop.Document{Seq: at.Seq, Document: first.Document, MediaType: "application/pdf", Size: 70_000, Name: "C-118.pdf", OnKind: "lot", OnCode: "L1", Shows: "two pages", At: day, By: "101"},
			Type: "certificate of analysis", Number: "C-118", IssuedOn: "2025-09-01", IssuedBy: "Maker One"}
		got := all[0]
		got.At = got.At.UTC()
		if got != want || !got.Stands() || !got.Certifies() || got.Words() != "certificate of analysis C-118" || all[1].Words() != "certificate of analysis" {
			t.Errorf("the first is %+v; want %+v", got, want)
		}
		if d, err := s.Document(t.Context(), first.Document, at.Seq+1); err != nil || d.OnCode != "L2" {
			t.Errorf("as the other entry filed it: %+v, %v", d, err)
		}
		if d, err := s.Document(t.Context(), first.Document, 0); err != nil || d.OnCode != "L1" {
			t.Errorf("as the first filed it: %+v, %v", d, err)
		}
		if file, err := s.DocumentBytes(t.Context(), first.Document); err != nil || !bytes.Equal(file, first.Bytes) {
			t.Errorf("%d bytes come back, %v", len(file), err)
		}
		if n := len(dumpBytes(t, s)); n != 2 {
			t.Errorf("bytes of %d documents are kept; want 2", n)
		}
		renamed := first
		renamed.Name, renamed.Type = "again.pdf", "certificate of conformity"
		conflict(t, s, "101", renamed, fmt.Sprintf("The very same file is filed with lot L1 already: certificate of analysis C-118, as C-118.pdf, in entry %d.", at.Seq))
		nowhere := first
		nowhere.OnCode = "L9"
		conflict(t, s, "101", nowhere, "There is no lot L9 in this book.")
		bare := certificateOn("L1", "C-119", 3, 9)
		bare.Bytes = nil
		conflict(t, s, "101", bare, "did not come along")
		early := certificateOn("L1", "C-119", 3, 9)
		early.IssuedOn = "2052-09-01"
		conflict(t, s, "101", early, "2052-09-01, which is still to come")
		conflict(t, s, "501", certificateOn("L1", "C-119", 3, 9), "Badge 501 may not do this")
		conflict(t, s, "900", certificateOn("L1", "C-119", 3, 9), "An auditor reads and prints")
	})
}

// What was filed wrongly is corrected, with its file or without another; what
// belongs elsewhere is withdrawn. Neither can be done twice.
func TestFilingIsPutRight(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		lotBeside(t, s)
		correct := func(seq int64, e shop.DocumentFiled) (Receipt, error) {
			entry := entryBy("101", e)
			entry.Corrects, entry.Reason = seq, "the number was misread"
			return s.Record(t.Context(), entry)
		}
		wrong := put(t, s, "101", certificateOn("L1", "C-181", 1, 70_000))
		right := certificateOn("L1", "C-118", 1, 70_000)
		right.Bytes = nil // the file stays
		second, err := correct(wrong.Seq, right)
		if err != nil {
			t.Fatal(err)
		}
		third, err := correct(second.Seq, certificateOn("L1", "C-118", 2, 500))
		if err != nil {
			t.Fatal(err)
		}
		all, err := s.FilingsOn(t.Context(), "lot", "L1")
		if err != nil || len(all) != 3 || all[0].CorrectedBy != second.Seq || all[1].CorrectedBy != third.Seq || all[1].Document.Document != all[0].Document.Document || !all[2].Stands() {
			t.Fatalf("they are %+v, %v", all, err)
		}
		if by, err := s.Corrections(t.Context(), "lot/L1", 0, 100); err != nil || by[wrong.Seq] != second.Seq || by[second.Seq] != third.Seq {
			t.Errorf("the history says %v, %v", by, err)
		}
		if _, err := correct(wrong.Seq, certificateOn("L1", "C-118", 3, 500)); !errors.Is(err, shop.ErrStale) {
			t.Errorf("corrected twice: %v", err)
		}
		if _, err := correct(third.Seq, certificateOn("L2", "C-118", 3, 500)); err == nil || !strings.Contains(err.Error(), "about the same thing") {
			t.Errorf("corrected to another lot: %v", err)
		}
		away := func(seq int64, lot string) shop.FilingWithdrawn {
			return shop.FilingWithdrawn{OnKind: "lot", OnCode: lot, Filing: seq, Why: "it is that of L2"}
		}
		conflict(t, s, "101", away(wrong.Seq, "L1"), fmt.Sprintf("was corrected by entry %d: withdraw that one", second.Seq))
		conflict(t, s, "101", away(third.Seq, "L2"), "filed a document with lot L1, not with lot L2")
		conflict(t, s, "101", away(third.Seq+50, "L1"), "There is no filed document of entry")
		conflict(t, s, "204", away(third.Seq, "L1"), "Badge 204 may not do this")
		another := entryBy("204", certificateOn("L1", "C-118", 3, 500))
		another.Corrects, another.Reason = third.Seq, "a nicer one"
		if _, err := s.Record(t.Context(), another); !errors.Is(err, shop.ErrForbidden) || !strings.Contains(err.Error(), "what badge 101 filed") {
			t.Errorf("put in the place of another's: %v", err)
		}
		gone := put(t, s, "101", away(third.Seq, "L1"))
		conflict(t, s, "101", away(third.Seq, "L1"), fmt.Sprintf("was withdrawn by entry %d already", gone.Seq))
		if _, err := correct(third.Seq, certificateOn("L1", "C-118", 3, 500)); err == nil || !strings.Contains(err.Error(), "there is nothing to correct") {
			t.Errorf("corrected after it was withdrawn: %v", err)
		}
		if f, err := s.Filing(t.Context(), third.Seq); err != nil || f.WithdrawnBy != gone.Seq || f.WithdrawnWhy != "it is that of L2" || f.Stands() {
			t.Errorf("withdrawn it is %+v, %v", f, err)
		}
		put(t, s, "101", certificateOn("L1", "C-118", 2, 500)) // the same file again, after all
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
		rows := dump(t, s, projected)
		if _, err := s.Rebuild(t.Context(), nil); err != nil || !slices.Equal(dump(t, s, projected), rows) {
			t.Errorf("after rebuilding the tables differ, %v", err)
		}
	})
}

// Filed documents are part of verify, of a proof bundle and of an export, like
// all others.
func TestFilingsAreVerifiedAndExported(t *testing.T) {
	t.Parallel()
	s := openAt(t, liteAddress(t), newClock(day))
	book(t, s)
	file := certificateOn("L1", "C-118", 1, documentPart+1)
	at := put(t, s, "101", file)
	put(t, s, "101", shop.FilingWithdrawn{OnKind: "lot", OnCode: "L1", Filing: at.Seq, Why: "torn"})
	checkpointed(t, s)
	lines, _ := bundled(t, s, "lot/L1", 0)
	if _, err := checked(lines, BundleKey{}); err != nil || !strings.Contains(strings.Join(lines, ""), file.Document) {
		t.Errorf("the bundle does not name the file: %v", err)
	}
	text, kept := exported(t, s), dumpBytes(t, s)
	for _, address := range []string{outside.Schema(t), liteAddress(t)} {
		there := imported(t, address, text)
		if got := dumpBytes(t, there); !slices.Equal(got, kept) || len(got) != 1 {
			t.Errorf("the documents are %q; before %q", got, kept)
		}
		if f, err := there.FilingsOn(t.Context(), "lot", "L1"); err != nil || len(f) != 1 || f[0].WithdrawnWhy != "torn" {
			t.Errorf("imported are %+v, %v", f, err)
		}
	}
	damage(t, s.write, "DELETE FROM document_bytes")
	if _, err := s.Verify(t.Context(), nil); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("The document of entry %d is missing", at.Seq)) {
		t.Errorf("without the bytes verify says %v", err)
	}
}
