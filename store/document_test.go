package store

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

// photoOn is a document of n bytes that no other seed gives; the store looks at
// the bytes' hash, not at what they show.
func photoOn(kind, number, name string, seed uint64, n int) shop.DocumentAdded {
	file := make([]byte, n)
	rand.NewChaCha8([32]byte{byte(seed)}).Read(file)
	return shop.DocumentAdded{Document: shop.DocumentNamed(file), MediaType: "image/jpeg", Size: int64(n), Name: name, OnKind: kind, OnCode: number, Shows: "contact on +X", Bytes: file}
}

func dumpBytes(t testing.TB, s *Store) []string {
	t.Helper()
	all, err := list(t.Context(), s.db, "bytes", func(row scanner) (string, error) {
		var name string
		var file []byte
		err := row.Scan(&name, &file)
		return fmt.Sprintf("%s %d %s", name, len(file), shop.DocumentNamed(file)), err
	}, "SELECT document, bytes FROM document_bytes ORDER BY document")
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// A photo is on its thing with its words; its bytes are kept once, whatever
// they are on and however they are called.
func TestDocumentAdded(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		first := photoOn("insert", "I-0001", "a.jpg", 1, 70_000)
		at := put(t, s, "501", first)
		lot := photoOn("lot", "L1", "b.jpg", 1, 70_000)
		put(t, s, "101", lot)
		put(t, s, "501", photoOn("insert", "I-0001", "c.jpg", 2, 1))
		all, err := s.DocumentsOn(t.Context(), "insert", "I-0001")
		if err != nil || len(all) != 2 || all[0].Seq != at.Seq || all[0].Document != first.Document || all[0].Size != 70_000 || all[0].Shows != "contact on +X" || all[0].By != "501" || !all[0].At.Equal(day) || all[1].Name != "c.jpg" {
			t.Errorf("on the insert are %+v, %v", all, err)
		}
		if got, err := s.DocumentBytes(t.Context(), first.Document); err != nil || !bytes.Equal(got, first.Bytes) {
			t.Errorf("%d bytes come back, %v", len(got), err)
		}
		if d, err := s.Document(t.Context(), first.Document, 0); err != nil || d.Name != "a.jpg" {
			t.Errorf("by its hash it is %+v, %v", d, err)
		}
		if d, err := s.Document(t.Context(), first.Document, at.Seq+1); err != nil || d.Name != "b.jpg" || d.OnCode != "L1" {
			t.Errorf("by its second entry it is %+v, %v", d, err)
		}
		if _, err := s.Document(t.Context(), first.Document, at.Seq+2); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("by an entry about another: %v", err)
		}
		if n := len(dumpBytes(t, s)); n != 2 {
			t.Errorf("bytes of %d documents are kept; want 2", n)
		}
		conflict(t, s, "402", first, "a.jpg is on insert I-0001 already, as entry "+fmt.Sprint(at.Seq))
		conflict(t, s, "402", photoOn("insert", "I-0009", "a.jpg", 3, 9), "There is no insert I-0009 in this book.")
		bare := photoOn("insert", "I-0001", "d.jpg", 4, 9)
		bare.Bytes = nil
		conflict(t, s, "402", bare, "did not come along")
		changed := photoOn("insert", "I-0001", "d.jpg", 4, 9)
		changed.Bytes = photoOn("insert", "I-0001", "d.jpg", 5, 9).Bytes
		conflict(t, s, "402", changed, "changed on its way")
		conflict(t, s, "900", photoOn("insert", "I-0001", "d.jpg", 4, 9), "An auditor reads and prints")
	})
}

// Verify hashes every document and names what is missing, altered or known to no
// entry; a rebuild leaves the bytes alone; another copy of the file heals them.
func TestVerifyLooksAtDocuments(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		one, two := photoOn("insert", "I-0001", "one.jpg", 1, 3_000_000), photoOn("lot", "L1", "two.jpg", 2, 5000)
		first := put(t, s, "501", one)
		put(t, s, "101", two)
		r, err := s.Verify(t.Context(), nil)
		if err != nil || r.Documents != 2 {
			t.Fatalf("%d documents, %v", r.Documents, err)
		}
		kept, rows := dumpBytes(t, s), dump(t, s, projected)
		if _, err := s.Rebuild(t.Context(), nil); err != nil || !slices.Equal(dumpBytes(t, s), kept) || !slices.Equal(dump(t, s, projected), rows) {
			t.Errorf("after rebuilding the documents differ, %v", err)
		}
		for _, tt := range []struct{ name, query, want string }{
			{"missing", "DELETE FROM document_bytes WHERE document = '" + one.Document + "'", fmt.Sprintf("The document of entry %d is missing: the log names its bytes by the SHA-256 %s.", first.Seq, one.Document)},
			{"altered", "INSERT INTO document_bytes (document, bytes) SELECT '" + one.Document + "', bytes FROM document_bytes", fmt.Sprintf("The document of entry %d was altered: its bytes have the SHA-256 %s", first.Seq, two.Document)},
			{"strange", "INSERT INTO document_bytes (document, bytes) SELECT 'f00', bytes FROM document_bytes WHERE document = '" + two.Document + "'", "There are bytes of a document f00, which no entry of the log names."},
		} {
			if tt.name == "strange" { // the next copy puts the altered one right
				put(t, s, "101", photoOn("lot", "L1", "one.jpg", 1, 3_000_000))
				if _, err := s.Verify(t.Context(), nil); err != nil {
					t.Errorf("healed: %v", err)
				}
			}
			damage(t, s.write, tt.query)
			for what, try := range map[string]func() error{
				"verify": func() error { _, err := s.Verify(t.Context(), nil); return err },
				"export": func() error { _, err := s.Export(t.Context(), new(bytes.Buffer), nil); return err },
				"backup": func() error { _, err := s.Backup(t.Context(), filepath.Join(t.TempDir(), "copy"), nil); return err },
			} {
				if f, ok := errors.AsType[*Finding](try()); !ok || !strings.Contains(f.Why, tt.want) {
					t.Errorf("%s, %s says %v; want %q", tt.name, what, f, tt.want)
				}
			}
			if tt.name == "altered" {
				if _, err := s.DocumentBytes(t.Context(), one.Document); err == nil {
					t.Error("altered bytes are handed out")
				}
			}
		}
	})
}

// Documents go to the other database and back, and through a backup, to the
// last byte; one that is a part short, or longer, is refused.
func TestDocumentsAreExported(t *testing.T) {
	t.Parallel()
	s := openAt(t, liteAddress(t), newClock(day))
	book(t, s)
	put(t, s, "501", photoOn("insert", "I-0001", "one.jpg", 1, shop.DocumentLimit))
	put(t, s, "501", photoOn("insert", "I-0001", "two.jpg", 2, documentPart))
	put(t, s, "501", photoOn("insert", "I-0001", "three.jpg", 3, documentPart+1))
	text, kept := exported(t, s), dumpBytes(t, s)
	for _, address := range []string{outside.Schema(t), liteAddress(t)} {
		there := imported(t, address, text)
		if again := exported(t, there); again != text {
			t.Errorf("exported again it has %d bytes; before %d", len(again), len(text))
		}
		if got := dumpBytes(t, there); !slices.Equal(got, kept) {
			t.Errorf("the documents are\n%q\nbefore\n%q", got, kept)
		}
	}
	lines := strings.SplitAfter(text, "\n")
	first := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, `{"document"`) })
	last := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, `{"end"`) })
	for _, tt := range []struct {
		name string
		edit func([]string) []string
		want string
	}{
		{"a part left out", func(l []string) []string { return slices.Delete(l, first+1, first+2) }, "of document"},
		{"a part twice", func(l []string) []string { return slices.Insert(l, first, l[first]) }, "It is out of its place"},
		{"parts exchanged", func(l []string) []string { l[first], l[first+1] = l[first+1], l[first]; return l }, "expected part 1"},
		{"all of them left out", func(l []string) []string { return slices.Delete(l, first, last) }, "The lines above have the SHA-256"},
		{"a byte changed", func(l []string) []string {
			at := strings.Index(l[first], `"bytes":"`) + 20
			with := byte('A')
			if l[first][at] == with {
				with = 'B'
			}
			l[first] = l[first][:at] + string(with) + l[first][at+1:]
			return l
		}, "was altered"},
		{"under another name", func(l []string) []string {
			for i := first; i < last; i++ {
				l[i] = strings.Replace(l[i], `"document":"`, `"document":"0`, 1)
			}
			return l
		}, "which no entry of the log names"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			into := openAt(t, liteAddress(t), newClock(day))
			_, err := into.Import(t.Context(), strings.NewReader(strings.Join(tt.edit(slices.Clone(lines)), "")), nil)
			if f, ok := errors.AsType[*Finding](err); !ok || !strings.Contains(f.Why, tt.want) || !strings.HasSuffix(f.Why, "Nothing was imported.") {
				t.Errorf("it says %v; want %q", err, tt.want)
			}
			if n := len(dumpBytes(t, into)); n != 0 {
				t.Errorf("%d documents were stored", n)
			}
		})
	}
	copyTo := filepath.Join(t.TempDir(), "copy.db")
	if _, err := s.Backup(t.Context(), copyTo, nil); err != nil {
		t.Fatal(err)
	}
	at := filepath.Join(t.TempDir(), "book.db")
	if _, err := Restore(t.Context(), Options{DB: at}, copyTo, nil); err != nil {
		t.Fatal(err)
	}
	if got := dumpBytes(t, openAt(t, at, newClock(day))); !slices.Equal(got, kept) {
		t.Errorf("restored are\n%q\nbefore\n%q", got, kept)
	}
}

// The photos of a fit are entries behind it, or neither is recorded.
func TestFitWithPhotos(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		fitted(t, s, "I-0001", "K1")
		fits, err := s.Fits(t.Context(), "I-0001")
		if err != nil || len(fits) != 1 {
			t.Fatalf("%d fits, %v", len(fits), err)
		}
		a, b := photoOn("insert", "I-0001", "a.jpg", 1, 100), photoOn("insert", "I-0001", "b.jpg", 2, 100)
		entry := entryBy("501", fitNote("I-0001", "K2"))
		entry.Corrects, entry.Reason = fits[0].Seq, "another place"
		note := fitNote("I-0001", "K2")
		note.Faces = []shop.Face{{Face: "+X", Removed: mm("0.02"), Added: mm("0.35")}, {Face: "base", Shim: mm("0,010")}}
		note.Photos = []shop.DocumentAdded{a, b}
		entry.Event = note
		for range 2 { // the second is a resend
			r, err := s.Record(t.Context(), entry)
			if err != nil {
				t.Fatal(err)
			}
			all, err := s.DocumentsOn(t.Context(), "insert", "I-0001")
			if err != nil || len(all) != 2 || all[0].Seq != r.Seq+1 || all[1].Seq != r.Seq+2 || all[1].Name != "b.jpg" {
				t.Errorf("behind entry %d the photos are %+v, %v", r.Seq, all, err)
			}
		}
		fits, err = s.Fits(t.Context(), "I-0001")
		if err != nil || len(fits) != 2 || !slices.Equal(fits[1].Faces, note.Faces) {
			t.Errorf("the fits are %+v, %v", fits, err)
		}
		again := fitNote("I-0001", "K3")
		again.Photos = []shop.DocumentAdded{photoOn("insert", "I-0001", "c.jpg", 3, 100), b}
		entry = entryBy("501", again)
		entry.Corrects, entry.Reason = fits[1].Seq, "a third place"
		before := size(t, s)
		if _, err := s.Record(t.Context(), entry); err == nil || !strings.Contains(err.Error(), "b.jpg is on insert I-0001 already") || size(t, s) != before {
			t.Errorf("a photo that is there: %v", err)
		}
		if got := dumpBytes(t, s); len(got) != 2 {
			t.Errorf("%d documents are kept; want 2", len(got))
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}
