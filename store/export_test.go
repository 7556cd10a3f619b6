package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

func exported(t testing.TB, s *Store) string {
	t.Helper()
	var b bytes.Buffer
	if _, err := s.Export(t.Context(), &b, nil); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func imported(t testing.TB, address, text string) *Store {
	t.Helper()
	s := openAt(t, address, newClock(day))
	r, err := s.Import(t.Context(), strings.NewReader(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	if root, err := s.Root(t.Context(), r.Entries); err != nil || root != r.Root {
		t.Errorf("after the import the root is %v, %v; the file's is %v", root, err, r.Root)
	}
	v, err := s.Verify(t.Context(), nil)
	if err != nil {
		t.Fatalf("after the import: %v", err)
	}
	if v.Checkpoints != r.Checkpoints || v.Sealed != r.Sealed || v.Verifier != r.Verifier || v.Entries != r.Entries {
		t.Errorf("verify reports %+v, the import %+v", v, r)
	}
	return s
}

// A book goes to the other database and back without losing a byte.
func TestExportGoesThereAndBack(t *testing.T) {
	t.Parallel()
	addresses := map[string]func(testing.TB) string{"sqlite": liteAddress, "postgres": outside.Schema}
	for _, way := range [][]string{{"sqlite", "sqlite"}, {"sqlite", "postgres", "sqlite"}, {"postgres", "sqlite", "postgres"}} {
		t.Run(strings.Join(way, " to "), func(t *testing.T) {
			t.Parallel()
			s := openAt(t, addresses[way[0]](t), newClock(day))
			book(t, s)
			put(t, s, "601", shop.HoldSet{Hold: "H-002", OnKind: "lot", OnCode: "L1", Why: "<b>5 µm & more</b> \u2028 \"quoted\" 😀"})
			if err := s.BeginSession(t.Context(), Session{Badge: "207", How: "password", Began: day, Ends: day.AddDate(0, 0, 1)}, NewToken(), ""); err != nil {
				t.Fatal(err)
			}
			first := exported(t, s)
			rows := dump(t, s, slices.Concat(projected, []string{"private_person", "device"}))
			for _, next := range way[1:] {
				s = imported(t, addresses[next](t), first)
				if text := exported(t, s); text != first {
					t.Errorf("exported again from %s it is\n%s\nbefore\n%s", next, text, first)
				}
				if again := dump(t, s, slices.Concat(projected, []string{"private_person", "device"})); !slices.Equal(again, rows) {
					t.Errorf("in %s the rows are\n%s\nbefore\n%s", next, strings.Join(again, "\n"), strings.Join(rows, "\n"))
				}
				if n, err := rowsIn(t.Context(), s.db, []string{"session", "sign_in_try"}); n != 0 || err != nil {
					t.Errorf("%d sessions and tries came along (%v)", n, err)
				}
			}
			put(t, s, "601", shop.HoldSet{Hold: "H-003", OnKind: "lot", OnCode: "L1", Why: "the book goes on"})
			if _, err := s.Verify(t.Context(), nil); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestExportOfAnEmptyBook(t *testing.T) {
	t.Parallel()
	s := openAt(t, liteAddress(t), newClock(day))
	text := exported(t, s)
	if strings.Count(text, "\n") != 2 {
		t.Errorf("it is\n%s", text)
	}
	imported(t, liteAddress(t), text)
}

// A log that was changed is not exported as if it were good.
func TestExportRefusesAChangedLog(t *testing.T) {
	t.Parallel()
	for _, query := range []string{
		"UPDATE entry SET payload = replace(payload, '\"280.5\"', '\"180.5\"')",
		"DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)",
		"DELETE FROM entry WHERE seq = 7",
	} {
		s := openAt(t, liteAddress(t), newClock(day))
		book(t, s)
		damage(t, s.write, append(disarmed(s), query)...)
		if _, err := s.Export(t.Context(), &bytes.Buffer{}, nil); err == nil || !errors.As(err, new(*Finding)) {
			t.Errorf("after %s: %v; want a finding", query, err)
		}
	}
}

// What is not the file that was written is refused whole, with the line and
// what was expected there.
func TestImportRefuses(t *testing.T) {
	t.Parallel()
	source := openAt(t, liteAddress(t), newClock(day))
	book(t, source)
	good := strings.SplitAfter(exported(t, source), "\n")
	good = good[:len(good)-1]
	n := int(size(t, source))
	last, person := len(good), slices.IndexFunc(good, func(l string) bool { return strings.HasPrefix(l, `{"person"`) })
	change := func(at int, old, with string) func([]string) []string { // at counts from 1, as people do
		return func(l []string) []string {
			if !strings.Contains(l[at-1], old) {
				t.Errorf("line %d has no %s: %s", at, old, l[at-1])
			}
			l[at-1] = strings.Replace(l[at-1], old, with, 1)
			return l
		}
	}
	for _, tt := range []struct {
		name string
		edit func([]string) []string
		want string
	}{
		{"an empty file", func(l []string) []string { return nil }, "The file ends before line 1; expected the first line of a sinterbook export, version 1."},
		{"another file", func(l []string) []string { return []string{"Lot,Mass\n", "L1,12\n"} }, "Line 1: It is not a line of an exported book"},
		{"a database", func(l []string) []string { return []string{"SQLite format 3\x00\xff\xfe\n"} }, "Line 1: It is not UTF-8."},
		{"another form", change(1, "sinterbook export", "other export"), "Line 1: It begins no file that can be imported; expected the first line of a sinterbook export, version 1."},
		{"a later form", change(1, `"version":1`, `"version":2`), "Line 1: It begins no file that can be imported"},
		{"without its first line", func(l []string) []string { return l[1:] }, "Line 1: It begins no file"},
		{"a value of an entry", change(9, `"by":"601"`, `"by":"602"`), "Line 9: Entry 7 has the hash"},
		{"an entry in another form", change(9, `{"at"`, `{ "at"`), "Line 9: It is not written as exported books are."},
		{"an entry of another kind", change(9, `"kind":"person-added"`, `"kind":"person-retired"`), `Line 9: Entry 7 cannot be read`},
		{"an entry left out", func(l []string) []string { return slices.Delete(l, 8, 9) }, "Line 9: Entry 7 is stored as"},
		{"two entries exchanged", func(l []string) []string { l[8], l[9] = l[9], l[8]; return l }, "Line 9: Entry 7 is stored as"},
		{"an entry twice", func(l []string) []string { return slices.Insert(l, 9, l[8]) }, "Line 10: Entry 8 is stored as"},
		{"the last entry left out", func(l []string) []string { return slices.Delete(l, n, n+1) }, fmt.Sprintf("Line %d: It is out of its place; expected entry %d of the %d that the first line announces.", n+1, n-1, n)},
		{"another root", change(1, `"root":"`, `"root":"AAAA`), "Line 1: It is not a line of an exported book"},
		{"a root of another log", func(l []string) []string {
			h := tlog.RecordHash(nil).String()
			at := strings.Index(l[0], `"root":"`) + len(`"root":"`)
			l[0] = l[0][:at] + h + l[0][at+len(h):]
			return l
		}, fmt.Sprintf("Line %d: The %d entries have the root", n+1, n)},
		{"a checkpoint of more", change(n+2, `"size":`, `"size":9`), fmt.Sprintf("Line %d: There is a checkpoint of 9", n+2)},
		{"a checkpoint by another", change(n+2, "— sinterbook-test ", "— sinterbook-tess "), fmt.Sprintf("Line %d: The checkpoint of", n+2)},
		{"checkpoints exchanged", func(l []string) []string { l[n+1], l[n+2] = l[n+2], l[n+1]; return l }, fmt.Sprintf("Line %d: It is out of its place", n+3)},
		{"a name", change(person+1, "Mara Test", "Mara Best"), fmt.Sprintf("Line %d: The lines above have the SHA-256", last)},
		{"a person twice", func(l []string) []string { return slices.Insert(l, person, l[person]) }, fmt.Sprintf("Line %d: It is out of its place", person+2)},
		{"a person left out", func(l []string) []string { return slices.Delete(l, person, person+1) }, "The lines above have the SHA-256"},
		{"another sum", change(last, `"sha256":"`, `"sha256":"0`), "this line says 0"},
		{"another count", change(last, `"devices":1`, `"devices":2`), fmt.Sprintf("Line %d: It counts", last)},
		{"without its end", func(l []string) []string { return l[:last-1] }, fmt.Sprintf("The file ends before line %d; expected a checkpoint, a person, a tablet, a part of a document or the end.", last)},
		{"cut in an entry", func(l []string) []string { l[8] = l[8][:40]; return l[:9] }, fmt.Sprintf("Line 9 is cut: the file ends in it; expected entry 7 of the %d that the first line announces.", n)},
		{"more behind its end", func(l []string) []string { return append(l, l[0]) }, fmt.Sprintf("Line %d: There is more behind the end of the book.", last+1)},
		{"a line without end", func(l []string) []string { l[4] = strings.Repeat("x", lineLimit+1); return l }, "Line 5 is longer than 4194304 bytes; expected entry 3"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := openAt(t, liteAddress(t), newClock(day))
			_, err := s.Import(t.Context(), strings.NewReader(strings.Join(tt.edit(slices.Clone(good)), "")), nil)
			f, ok := errors.AsType[*Finding](err)
			if !ok || !strings.Contains(f.Why, tt.want) || !strings.HasSuffix(f.Why, "Nothing was imported.") {
				t.Errorf("it says %v\nwant a finding with %q", err, tt.want)
			}
			if n, err := rowsIn(t.Context(), s.db, slices.Concat(projected, private, []string{"entry", "node", "checkpoint"})); n != 0 || err != nil {
				t.Errorf("%d rows were stored (%v)", n, err)
			}
			if _, err := s.Import(t.Context(), strings.NewReader(strings.Join(good, "")), nil); err != nil {
				t.Errorf("the good file after that: %v", err)
			}
		})
	}
}

func TestImportIntoAUsedBook(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		text, before := exported(t, s), size(t, s)
		_, err := s.Import(t.Context(), strings.NewReader(text), nil)
		if !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "into an empty one only; nothing was imported.") || size(t, s) != before {
			t.Errorf("it says %v", err)
		}
	})
}

func TestImportStopsWhenTold(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		source := openAt(t, liteAddress(t), newClock(day))
		book(t, source)
		for i := range page {
			put(t, source, "204", shop.LayersMade{Insert: "I-0002", FromLayer: 1 + i, ToLayer: 1 + i})
		}
		text := exported(t, source)
		ctx, stop := context.WithCancel(t.Context())
		if _, err := s.Import(ctx, strings.NewReader(text), func(int64, int64) { stop() }); !errors.Is(err, context.Canceled) {
			t.Errorf("it says %v", err)
		}
		if n, err := rowsIn(t.Context(), s.db, slices.Concat(projected, private, []string{"entry", "node", "checkpoint"})); n != 0 || err != nil {
			t.Errorf("%d rows were stored (%v)", n, err)
		}
	})
}

// Whatever is read as an exported book is, written again, the same bytes; all
// else is refused with a sentence about a line.
func FuzzImport(f *testing.F) {
	s := openAt(f, liteAddress(f), newClock(day))
	f.Add(exported(f, s))
	book(f, s)
	f.Add(exported(f, s))
	f.Add("")
	f.Add(`{"header":{"format":"sinterbook export","version":1,"site":"","size":9223372036854775807,"root":"47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU="}}` + "\n" + `{"entry":null}`)
	f.Fuzz(func(t *testing.T, text string) {
		var again []byte
		err := readBook(strings.NewReader(text), func(l line) error {
			part, err := l.text()
			again = append(again, part...)
			return err
		})
		if err != nil {
			if f, ok := errors.AsType[*Finding](err); !ok || !strings.Contains(strings.ToLower(f.Why), "line ") {
				t.Errorf("it says %v", err)
			}
			return
		}
		if string(again) != text {
			t.Errorf("read as a book, but written again it is\n%s", again)
		}
	})
}
