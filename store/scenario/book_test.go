package scenario

import (
	"errors"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"sinterbook/store"
	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

// some are inserts that show every state of the demo shop.
var some = []string{"I-0001", "I-0005", "I-0013", "I-0016", "I-0029", "I-0033", "I-0036", "I-0039", "I-0040", "I-0041"}

// verifier stands in the books of tests; none of them signs.
const verifier = "scenario-test+00000000+key"

func openAt(t testing.TB, address string) *store.Store {
	t.Helper()
	st, err := store.Open(t.Context(), store.Options{DB: address})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	return st
}

func emptyBook(t testing.TB) *store.Store {
	t.Helper()
	return openAt(t, filepath.Join(t.TempDir(), "book.db"))
}

// onPostgres is an empty book in a schema of its own on the test server.
func onPostgres(t *testing.T) *store.Store {
	t.Helper()
	return openAt(t, outside.Schema(t))
}

func load(t testing.TB, st *store.Store, fsys fs.FS, inserts ...string) Report {
	t.Helper()
	r, err := Load(t.Context(), st, fsys, Options{Inserts: inserts, Verifier: verifier})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// loaded is a book with some inserts of the demo.
func loaded(t testing.TB, inserts ...string) *store.Store {
	t.Helper()
	st := emptyBook(t)
	load(t, st, Demo(), inserts...)
	return st
}

func size(t testing.TB, st *store.Store) int64 {
	t.Helper()
	b, err := st.Book(t.Context())
	if errors.Is(err, shop.ErrNotFound) {
		return 0
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Size
}

// edited is the demo folder with one text in one file replaced.
func edited(t testing.TB, file, old, new string) fstest.MapFS {
	t.Helper()
	folder := fstest.MapFS{}
	names, err := fs.Glob(Demo(), "*.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		text, err := fs.ReadFile(Demo(), name)
		if err != nil {
			t.Fatal(err)
		}
		folder[name] = &fstest.MapFile{Data: text}
	}
	text := string(folder[file].Data)
	if n := strings.Count(text, old); n != 1 {
		t.Fatalf("%s has %q %d times, not once", file, old, n)
	}
	folder[file].Data = []byte(strings.Replace(text, old, new, 1))
	return folder
}

// history is everything about a subject.
func history(t testing.TB, st *store.Store, subject string) []store.Logged {
	t.Helper()
	all, err := st.History(t.Context(), subject, 0, 1000)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// only is the one entry of a kind about a subject.
func only(t testing.TB, st *store.Store, subject, kind string) store.Logged {
	t.Helper()
	all := slices.DeleteFunc(history(t, st, subject), func(e store.Logged) bool { return e.Event.Kind() != kind })
	if len(all) != 1 {
		t.Fatalf("%s has %d entries %s, not one", subject, len(all), kind)
	}
	return all[0]
}

func vienna(t testing.TB, text string) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		t.Fatal(err)
	}
	return at
}
