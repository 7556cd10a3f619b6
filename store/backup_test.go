package store

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// A backup is taken while a client records numbered events as fast as it can.
// The service is then killed, and the backup restored on an empty machine: it
// has the events 1 to K without a hole, where K is at least the last one that
// was answered before the backup began. A copy that lost its last 100 bytes is
// refused, and what stands is not touched.
func TestBackupInTheMiddleOfWork(t *testing.T) {
	t.Parallel()
	address := liteAddress(t)
	s := openAt(t, address, newClock(day))
	seeded(t, s)
	opened(t, s, "I-0001")
	put(t, s, "204", printStart("I-0001", "PL-01"))
	client := recording(t, address, 1, 1)
	for len(client.acknowledged()) < 50 {
		time.Sleep(time.Millisecond)
	}
	copyTo := filepath.Join(t.TempDir(), "copy.db")
	acks := client.acknowledged()
	before := acks[len(acks)-1].n
	report, err := s.Backup(t.Context(), copyTo, nil)
	if err != nil {
		t.Fatal(err)
	}
	client.kill()
	after := client.acknowledged()[len(client.acknowledged())-1].n
	if after <= before {
		t.Errorf("nothing was recorded meanwhile: %d before, %d after", before, after)
	}

	empty := filepath.Join(t.TempDir(), "book.db")
	restored, err := Restore(t.Context(), Options{DB: empty}, copyTo, nil)
	if err != nil {
		t.Fatal(err)
	}
	if restored.Aside != "" || restored.Entries != report.Entries || restored.Root != report.Root {
		t.Errorf("restored %+v from a backup of %+v", restored, report)
	}
	there := openAt(t, empty, newClock(day))
	if last := wholeTo(t, there); last < before {
		t.Errorf("it holds the events up to %d; %d was answered before the backup began", last, before)
	}

	raw, err := os.ReadFile(copyTo)
	if err != nil {
		t.Fatal(err)
	}
	cut := filepath.Join(t.TempDir(), "cut.db")
	if err := os.WriteFile(cut, raw[:len(raw)-100], 0o600); err != nil {
		t.Fatal(err)
	}
	if err := there.Close(); err != nil {
		t.Fatal(err)
	}
	stands := files(t, filepath.Dir(empty))
	if _, err := Restore(t.Context(), Options{DB: empty}, cut, nil); !errors.As(err, new(*Finding)) {
		t.Errorf("the cut copy: %v; want a finding", err)
	}
	if now := files(t, filepath.Dir(empty)); !slices.Equal(now, stands) {
		t.Errorf("after refusing the cut copy there are %q, before %q", now, stands)
	}
	if last := wholeTo(t, openAt(t, empty, newClock(day))); last < before {
		t.Errorf("after refusing the cut copy the book ends at %d", last)
	}
}

// wholeTo is the number of the last event that the client recorded; all before
// it stand.
func wholeTo(t *testing.T, s *Store) int {
	t.Helper()
	if err := sound(t.Context(), s.db); err != nil {
		t.Error(err)
	}
	if _, err := s.Verify(t.Context(), nil); err != nil {
		t.Error(err)
	}
	made, err := list(t.Context(), s.db, "layers", func(row scanner) (n int, err error) { return n, row.Scan(&n) }, "SELECT from_layer FROM layers_made ORDER BY id")
	if err != nil {
		t.Fatal(err)
	}
	for i, n := range made {
		if n != i+1 {
			t.Fatalf("event %d follows on event %d", n, i)
		}
	}
	return len(made)
}

// files are the names in a folder with the bytes of each.
func files(t *testing.T, dir string) (all []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		raw, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, e.Name()+" "+TokenHash(string(raw)))
	}
	return all
}

func TestBackupIsANewFile(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		to := filepath.Join(t.TempDir(), "copy")
		r, err := s.Backup(t.Context(), to, nil)
		if err != nil || r.Entries != size(t, s) {
			t.Fatalf("%+v, %v", r, err)
		}
		info, err := os.Stat(to)
		if err != nil || info.Mode() != 0o600 {
			t.Errorf("others can read the copy: %v (%v)", info.Mode(), err)
		}
		first, err := os.ReadFile(to)
		if err != nil {
			t.Fatal(err)
		}
		put(t, s, "601", shop.HoldSet{Hold: "H-002", OnKind: "lot", OnCode: "L1", Why: "check"})
		if _, err := s.Backup(t.Context(), to, nil); !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "never overwritten") {
			t.Errorf("onto itself: %v", err)
		}
		if again, err := os.ReadFile(to); err != nil || !bytes.Equal(again, first) {
			t.Errorf("the first copy changed (%v)", err)
		}
		if _, err := s.Backup(t.Context(), filepath.Join(to, "no", "folder"), nil); err == nil {
			t.Error("into a folder that is not there: no error")
		}
		if names, err := filepath.Glob(to + "*"); err != nil || len(names) != 1 {
			t.Errorf("beside the copy stand %q", names)
		}
	})
}

// A copy that is not good is no backup: the command says so and leaves none.
func TestBackupThatFailsItsCheck(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		damage(t, s.write, append(disarmed(s), "UPDATE entry SET payload = replace(payload, '\"280.5\"', '\"180.5\"')")...)
		to := filepath.Join(t.TempDir(), "copy")
		if _, err := s.Backup(t.Context(), to, nil); !errors.As(err, new(*Finding)) {
			t.Errorf("of a damaged book: %v; want a finding", err)
		}
		if names, err := filepath.Glob(to + "*"); err != nil || len(names) != 0 {
			t.Errorf("it leaves %q", names)
		}
	})
}

func TestRestoreKeepsTheOldBook(t *testing.T) {
	t.Parallel()
	address := liteAddress(t)
	s := openAt(t, address, newClock(day))
	book(t, s)
	if err := s.BeginSession(t.Context(), Session{Badge: "207", How: "password", Began: day, Ends: day.AddDate(1, 0, 0)}, NewToken(), ""); err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(t.TempDir(), "copy.db")
	want, err := s.Backup(t.Context(), copied, nil)
	if err != nil {
		t.Fatal(err)
	}
	put(t, s, "601", shop.HoldSet{Hold: "H-002", OnKind: "lot", OnCode: "L1", Why: "after the backup"})
	later := size(t, s)

	if _, err := Restore(t.Context(), Options{DB: address}, copied, nil); !errors.Is(err, shop.ErrBusy) || !strings.Contains(err.Error(), "is in use. Stop the service first; nothing was changed.") {
		t.Errorf("while it is open: %v", err)
	}
	put(t, s, "601", shop.HoldSet{Hold: "H-003", OnKind: "lot", OnCode: "L1", Why: "the service goes on"})
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	var asides []string
	for range 2 {
		r, err := Restore(t.Context(), Options{DB: address, Now: newClock(day).now}, copied, nil)
		if err != nil || r.Entries != want.Entries || r.Root != want.Root || !strings.Contains(filepath.Base(r.Aside), "book-until-20250901T060000Z") {
			t.Fatalf("restored %+v, %v", r, err)
		}
		asides = append(asides, r.Aside)
	}
	there := openAt(t, address, newClock(day))
	if n := size(t, there); n != want.Entries {
		t.Errorf("it has %d entries, the backup has %d", n, want.Entries)
	}
	if n, err := rowsIn(t.Context(), there.db, []string{"session"}); n != 0 || err != nil {
		t.Errorf("%d people are signed in still (%v)", n, err)
	}
	if n := size(t, openAt(t, asides[0], newClock(day))); n != later+1 {
		t.Errorf("the old book has %d entries; want %d", n, later+1)
	}
	if asides[1] == asides[0] {
		t.Error("the second one moved aside took the name of the first")
	}
	if names, err := filepath.Glob(address + ".restoring*"); err != nil || len(names) != 0 {
		t.Errorf("it leaves %q", names)
	}
}

// A book that cannot even be opened can be restored, and is kept as it was.
func TestRestoreOverADamagedBook(t *testing.T) {
	t.Parallel()
	s := openAt(t, liteAddress(t), newClock(day))
	book(t, s)
	copied := filepath.Join(t.TempDir(), "copy.db")
	want, err := s.Backup(t.Context(), copied, nil)
	if err != nil {
		t.Fatal(err)
	}
	address := liteAddress(t)
	for _, part := range []string{"", "-wal"} {
		if err := os.WriteFile(address+part, []byte("rubbish"+part), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	r, err := Restore(t.Context(), Options{DB: address}, copied, nil)
	if err != nil || r.Entries != want.Entries {
		t.Fatalf("%+v, %v", r, err)
	}
	for _, part := range []string{"", "-wal"} {
		if raw, err := os.ReadFile(r.Aside + part); err != nil || string(raw) != "rubbish"+part {
			t.Errorf("of the damaged book, %q stands aside as %q (%v)", part, raw, err)
		}
	}
	if n := size(t, openAt(t, address, newClock(day))); n != want.Entries {
		t.Errorf("it has %d entries; want %d", n, want.Entries)
	}
}

// What is no good backup is refused, and nothing is touched.
func TestRestoreRefuses(t *testing.T) {
	t.Parallel()
	source := openAt(t, liteAddress(t), newClock(day))
	book(t, source)
	for i := range page { // so many that progress is told before the end
		put(t, source, "204", shop.LayersMade{Insert: "I-0002", FromLayer: 1 + i, ToLayer: 1 + i})
	}
	dir := t.TempDir()
	copied := filepath.Join(dir, "copy.db")
	if _, err := source.Backup(t.Context(), copied, nil); err != nil {
		t.Fatal(err)
	}
	good, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	file := func(name string, raw []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, raw, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	changed := func(name string, queries ...string) string {
		path := file(name, good)
		s := openAt(t, path, newClock(day))
		damage(t, s.write, append(disarmed(s), queries...)...)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		return path
	}
	middle := slices.Clone(good)
	for i := len(middle) / 2; i < len(middle)/2+5000; i++ {
		middle[i] ^= 0x55
	}
	walled := file("walled.db", good)
	file("walled.db-wal", []byte("some"))
	for _, tt := range []struct{ name, from, want string }{
		{"no file", filepath.Join(dir, "none.db"), "There is no book at"},
		{"a folder", dir, "is not a file with a book"},
		{"another file", file("list.csv", []byte("Lot,Mass\n")), "is not a backup of a book"},
		{"an empty file", file("empty.db", nil), "is not a backup of a book"},
		{"an export", file("book.jsonl", []byte(exported(t, source))), "is an export, not a backup of this kind of database"},
		{"the beginning only", file("beginning.db", good[:len(good)/2]), "The file is damaged: it has "},
		{"damage in the middle", file("middle.db", middle), ""},
		{"a book in use", walled, "has a write-ahead log beside it"},
		{"a changed table", changed("table.db", "UPDATE draw SET drawn_text = '90.0' WHERE drawn_text = '10.0'"), "In table draw"},
		{"a changed log", changed("log.db", "UPDATE entry SET payload = replace(payload, '\"280.5\"', '\"180.5\"')"), "one of the two was changed"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			address := liteAddress(t)
			s := openAt(t, address, newClock(day))
			seeded(t, s)
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			before := files(t, filepath.Dir(address))
			_, err := Restore(t.Context(), Options{DB: address}, tt.from, nil)
			if err == nil || !strings.Contains(err.Error(), tt.want) || !errors.As(err, new(*Finding)) && !errors.As(err, new(*shop.Refusal)) {
				t.Errorf("it says %v; want a sentence with %q", err, tt.want)
			}
			if after := files(t, filepath.Dir(address)); !slices.Equal(after, before) {
				t.Errorf("there are %q after it, %q before", after, before)
			}
		})
	}
	t.Run("the book itself", func(t *testing.T) {
		if _, err := Restore(t.Context(), Options{DB: copied}, copied, nil); err == nil || !strings.Contains(err.Error(), "is the book itself") {
			t.Errorf("it says %v", err)
		}
	})
	t.Run("into PostgreSQL", func(t *testing.T) {
		if _, err := Restore(t.Context(), Options{DB: "postgres://nobody@127.0.0.1:1/none"}, copied, nil); err == nil || !strings.Contains(err.Error(), "is restored by importing its backup") {
			t.Errorf("it says %v", err)
		}
	})
	t.Run("told to stop", func(t *testing.T) {
		ctx, stop := context.WithCancel(t.Context())
		address := filepath.Join(t.TempDir(), "book.db")
		if _, err := Restore(ctx, Options{DB: address}, copied, func(int64, int64) { stop() }); !errors.Is(err, context.Canceled) {
			t.Errorf("it says %v", err)
		}
		if _, err := os.Stat(address); err == nil {
			t.Error("it left a book")
		}
	})
}

// Nobody opens a book while it is being restored; copies are read by anybody.
func TestPresence(t *testing.T) {
	t.Parallel()
	address := liteAddress(t)
	p, err := alone(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), Options{DB: address}); !errors.Is(err, shop.ErrBusy) || !strings.Contains(err.Error(), "is being restored") {
		t.Errorf("opening it: %v", err)
	}
	if _, err := os.Stat(address); err == nil {
		t.Error("opening it made a file")
	}
	if err := p.leave(); err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	for range 3 {
		s := openAt(t, address, newClock(day))
		wg.Go(func() {
			if _, err := s.Verify(t.Context(), nil); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
}

func TestOpenToRead(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		r, err := OpenToRead(t.Context(), Options{DB: s.address})
		if err != nil {
			t.Fatal(err)
		}
		defer r.Close()
		if _, err := r.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
		damage(t, s.write, "UPDATE goose_db_version SET version_id = version_id + 1")
		if _, err := OpenToRead(t.Context(), Options{DB: s.address}); err == nil || !strings.Contains(err.Error(), "by a newer version") {
			t.Errorf("a book of a newer version: %v", err)
		}
		damage(t, s.write, "UPDATE goose_db_version SET version_id = version_id - 2")
		if _, err := OpenToRead(t.Context(), Options{DB: s.address}); err == nil || !strings.Contains(err.Error(), "by an older version") {
			t.Errorf("a book of an older version: %v", err)
		}
	})
	t.Run("what is no book", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "list.csv")
		if _, err := OpenToRead(t.Context(), Options{DB: path}); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("no file: %v", err)
		}
		if err := os.WriteFile(path, []byte("Lot,Mass\nL1,12\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := OpenToRead(t.Context(), Options{DB: path}); !errors.As(err, new(*Finding)) {
			t.Errorf("another file: %v", err)
		}
	})
}
