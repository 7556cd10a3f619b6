package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"sinterbook/store/shop"
)

// book is a seeded book with one insert that was delivered, another one on the
// floor, a correction, a refusal, a person who changed, and two checkpoints.
func book(t testing.TB, s *Store) {
	t.Helper()
	seeded(t, s)
	checkpointed(t, s)
	put(t, s, "601", shop.PersonKeysSet{Badge: "207", What: []string{"name", "PIN"}, Private: shop.PersonKeys{Name: "Mara Test", PIN: "a hash"}})
	put(t, s, "601", shop.PersonChanged{Badge: "207", Roles: []shop.Role{shop.PrintOperator, shop.Inspector}})
	put(t, s, "601", shop.DeviceRegistered{Device: "tablet 1", Station: "ST1", Private: TokenHash("token 1")})
	opened(t, s, "I-0001")
	opened(t, s, "I-0002")
	delivered(t, s, "I-0001")
	put(t, s, "204", printStart("I-0002", "PL-01"))
	drawn := put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0002", FromLayer: 1, ToLayer: 10, Drawn: gram("100")})
	again := entryBy("204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0002", FromLayer: 1, ToLayer: 10, Drawn: gram("10.0")})
	again.Corrects, again.Reason = drawn.Seq, "a digit too many"
	if _, err := s.Record(t.Context(), again); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Record(t.Context(), entryBy("311", printStart("I-0002", "PL-02"))); !errors.Is(err, shop.ErrRefused) {
		t.Fatalf("a second start: %v; want a refusal", err)
	}
	put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0002", Why: "coupons are small"})
	checkpointed(t, s)
	put(t, s, "601", shop.HoldLifted{Hold: "H-001", OnKind: "insert", OnCode: "I-0002", Why: "they were not"})
}

func TestVerifyAndRebuild(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		var done, total int64
		r, err := s.Verify(t.Context(), func(d, all int64) { done, total = d, all })
		if err != nil {
			t.Fatal(err)
		}
		n := size(t, s)
		root, err := s.Root(t.Context(), n)
		if err != nil {
			t.Fatal(err)
		}
		if r.Entries != n || r.Root != root || r.Checkpoints != 2 || r.Sealed != n-1 || r.Verifier != testVerifier || r.Tables != len(projected) {
			t.Errorf("the report is %+v; want %d entries with root %v", r, n, root)
		}
		if done != total || total != n+r.Rows {
			t.Errorf("progress ended at %d of %d; want %d entries and %d rows", done, total, n, r.Rows)
		}
		before := dump(t, s, slices.Concat(projected, private))
		if len(before) < 120 {
			t.Errorf("the book has %d rows only: the test compares little", len(before))
		}
		replayed, err := s.Rebuild(t.Context(), func(d, all int64) { done, total = d, all })
		if err != nil || replayed != n || done != n || total != n {
			t.Fatalf("%d of %d entries replayed, %d of %d told: %v", replayed, n, done, total, err)
		}
		if after := dump(t, s, slices.Concat(projected, private)); !slices.Equal(after, before) {
			t.Errorf("after rebuilding\n%s\nbefore\n%s", strings.Join(after, "\n"), strings.Join(before, "\n"))
		}
		put(t, s, "204", shop.LayersMade{Insert: "I-0002", FromLayer: 1, ToLayer: 10})
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("after rebuilding and one more entry: %v", err)
		}
	})
}

// dump is every row of some tables as a line of text.
func dump(t testing.TB, s *Store, tables []string) []string {
	t.Helper()
	given, err := newScratch(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer given.close()
	var all []string
	for _, name := range tables {
		tab, err := tableNamed(t.Context(), given.w, name)
		if err != nil {
			t.Fatal(err)
		}
		c, err := openCursor(t.Context(), s.db, tab)
		if err != nil {
			t.Fatal(err)
		}
		for {
			if err := c.next(); err != nil {
				t.Fatal(err)
			}
			if !c.more {
				break
			}
			all = append(all, fmt.Sprintf("%s %v", name, c.values))
		}
		c.rows.Close()
	}
	return all
}

// disarmed are the statements that take away what guards the log, as somebody
// could who has the database in their hands.
func disarmed(s *Store) (queries []string) {
	for _, name := range []string{"entry", "node", "checkpoint"} {
		if isPostgres(s.address) {
			queries = append(queries, "ALTER TABLE "+name+" DISABLE TRIGGER ALL")
			continue
		}
		queries = append(queries, "DROP TRIGGER "+name+"_stays", "DROP TRIGGER "+name+"_kept")
	}
	return queries
}

func damage(t testing.TB, q querier, queries ...string) {
	t.Helper()
	for _, query := range queries {
		if _, err := q.ExecContext(t.Context(), query); err != nil {
			t.Fatalf("%s: %v", query, err)
		}
	}
}

// Whatever is changed behind the program's back is named.
func TestVerifyNamesWhatDiffers(t *testing.T) {
	t.Parallel()
	damages := []struct{ name, query, want string }{
		{"a changed value", "UPDATE draw SET drawn_text = '90.0' WHERE drawn_text = '10.0'", `column drawn_text is "90.0"; the log gives "10.0".`},
		{"a changed time", "UPDATE mould_insert SET since_at = '2025-09-01T06:00:01.000000Z' WHERE serial = 'I-0001'", `column since_at is "2025-09-01T06:00:01.000000Z"; the log gives "2025-09-01T07:00:00.000000Z".`},
		{"a value where none was", "UPDATE container SET opened_at = NULL WHERE container = 'L1/01'", `column opened_at is nothing; the log gives "2025-`},
		{"a row too few", "DELETE FROM refusal", "Table refusal has no row with seq "},
		{"a row too many", "INSERT INTO refusal (seq, tried, subject, operation, gate, why, at, entered_at, by_badge, station) VALUES (7, '', '', '', '', '', '2025-09-01T06:00:00.000000Z', '2025-09-01T06:00:00.000000Z', '', '')", "Table refusal has a row with seq 7, which the log does not give."},
		{"a count of a history", "UPDATE subject SET n = n + 1 WHERE name = 'lot/L1'", `In table subject, in the row with name "lot/L1", column n is`},
		{"a row of a history", "DELETE FROM subject_entry WHERE name = 'lot/L1' AND n = 1", `Table subject_entry has no row with name "lot/L1", n 1, which the log gives.`},
		{"a rewritten entry", "UPDATE entry SET payload = replace(payload, '\"280.5\"', '\"180.5\"')", "one of the two was changed."},
		{"an entry in another form", "UPDATE entry SET payload = replace(payload, '{\"at\"', '{ \"at\"') WHERE seq = 5", "The text of entry 5 is not in the canonical form."},
		{"an entry that is no entry", "UPDATE entry SET payload = 'gone' WHERE seq = 5", "Entry 5 cannot be read"},
		{"an entry under another kind", "UPDATE entry SET kind = 'hold-set' WHERE seq = 5", "Entry 5 is stored as hold-set"},
		{"an entry that was left out", "DELETE FROM entry WHERE seq = 5", "Entry 5 is missing: the next one that stands is 6."},
		{"the last entry left out", "DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)", "The log's head counts"},
		{"a hash that was changed", "UPDATE node SET hash = (SELECT hash FROM node WHERE idx = 0) WHERE idx = 2", "hash 2 of the tree"},
		{"a hash that was left out", "DELETE FROM node WHERE idx = 4", "Hash 4 of the log's tree is missing; entry 3 makes it."},
		{"a hash too many", "INSERT INTO node (idx, hash) SELECT 100000, hash FROM node WHERE idx = 0", "The tree has 1 hashes that no entry of the log makes."},
		{"a checkpoint of another root", "UPDATE checkpoint SET note = (SELECT max(note) FROM checkpoint)", "The checkpoint of "},
		{"a checkpoint of another key", "UPDATE checkpoint SET note = replace(note, 'sinterbook-test', 'sinterbook-tess')", "is not signed by the key"},
		{"a checkpoint of what is not there", "INSERT INTO checkpoint (size, note) SELECT 100000, max(note) FROM checkpoint", "There is a checkpoint of 100000 entries"},
		{"another key in the book", "UPDATE book SET verifier = 'another'", "In table book, in the row with id 1, column verifier is \"another\""},
	}
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		for _, tt := range damages {
			t.Run(tt.name, func(t *testing.T) {
				tx, err := s.write.BeginTx(t.Context(), nil)
				if err != nil {
					t.Fatal(err)
				}
				defer tx.Rollback()
				damage(t, tx, append(disarmed(s), tt.query)...)
				_, err = verify(t.Context(), tx, nil)
				f, ok := errors.AsType[*Finding](err)
				if !ok || !strings.Contains(f.Why, tt.want) {
					t.Errorf("verify says %v\nwant a finding with %q", err, tt.want)
				}
			})
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("without any damage: %v", err)
		}
	})
}

// A damaged table is named, rebuilt, and good again; people stay signed in and
// keep their names.
func TestRebuildMendsTables(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		put(t, s, "601", shop.PersonKeysSet{Badge: "204", What: []string{"name"}, Private: shop.PersonKeys{Name: "first"}})
		put(t, s, "601", shop.NameErased{Badge: "204"})
		put(t, s, "601", shop.PersonKeysSet{Badge: "204", What: []string{"name"}, Private: shop.PersonKeys{Name: "second"}})
		if err := s.BeginSession(t.Context(), Session{Badge: "207", How: "password", Began: day, Ends: day.AddDate(0, 0, 1)}, NewToken(), ""); err != nil {
			t.Fatal(err)
		}
		before := dump(t, s, slices.Concat(projected, private))
		damage(t, s.write, "UPDATE mould_insert SET status = 'delivered' WHERE serial = 'I-0002'")
		damage(t, s.write, "DELETE FROM layers_made")
		if _, err := s.Verify(t.Context(), nil); err == nil || !strings.Contains(err.Error(), "mould_insert") {
			t.Errorf("verify says %v; want the first damaged table", err)
		}
		if _, err := s.Rebuild(t.Context(), nil); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("after rebuilding: %v", err)
		}
		if after := dump(t, s, slices.Concat(projected, private)); !slices.Equal(after, before) {
			t.Errorf("after rebuilding\n%s\nbefore the damage\n%s", strings.Join(after, "\n"), strings.Join(before, "\n"))
		}
	})
}

// A log that cannot be replayed leaves the tables as they were.
func TestRebuildOfABrokenLogChangesNothing(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		before := dump(t, s, slices.Concat(projected, private))
		damage(t, s.write, append(disarmed(s), "UPDATE entry SET payload = replace(payload, '\"PL-01\"', '12') WHERE kind = 'print-started'")...)
		if _, err := s.Rebuild(t.Context(), nil); err == nil || !strings.Contains(err.Error(), "cannot be read") {
			t.Errorf("rebuild says %v", err)
		}
		if after := dump(t, s, slices.Concat(projected, private)); !slices.Equal(after, before) {
			t.Error("the tables changed")
		}
		put(t, s, "601", shop.HoldSet{Hold: "H-002", OnKind: "lot", OnCode: "L1", Why: "check"})
	})
}

func TestVerifyWhileOthersWrite(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		ctx, stop := context.WithCancel(t.Context())
		var writers sync.WaitGroup
		for w := range 4 {
			writers.Go(func() {
				for i := 1; ctx.Err() == nil; i++ {
					if _, err := s.Record(t.Context(), entryBy("204", shop.LayersMade{Insert: "I-0002", FromLayer: i, ToLayer: i + w})); err != nil {
						t.Errorf("while the book is verified: %v", err)
						return
					}
				}
			})
		}
		last := int64(0)
		for range 5 {
			r, err := s.Verify(t.Context(), nil)
			if err != nil {
				t.Errorf("while others write: %v", err)
			}
			if r.Entries < last {
				t.Errorf("it saw %d entries after %d", r.Entries, last)
			}
			last = r.Entries
		}
		stop()
		writers.Wait()
		if size(t, s) <= last {
			t.Error("nothing was written meanwhile: the test shows little")
		}
	})
}

func TestVerifyAndRebuildStopWhenTold(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		for i := range 2 * page {
			put(t, s, "204", shop.LayersMade{Insert: "I-0002", FromLayer: 1 + i, ToLayer: 1 + i})
		}
		before := dump(t, s, projected)
		for name, run := range map[string]func(context.Context, func(done, total int64)) error{
			"verify":  func(ctx context.Context, p func(done, total int64)) error { _, err := s.Verify(ctx, p); return err },
			"rebuild": func(ctx context.Context, p func(done, total int64)) error { _, err := s.Rebuild(ctx, p); return err },
		} {
			ctx, stop := context.WithCancel(t.Context())
			if err := run(ctx, func(int64, int64) { stop() }); !errors.Is(err, context.Canceled) {
				t.Errorf("%s says %v; want that it was stopped", name, err)
			}
			stop()
		}
		if after := dump(t, s, projected); !slices.Equal(after, before) {
			t.Error("the tables changed")
		}
		put(t, s, "601", shop.HoldSet{Hold: "H-002", OnKind: "lot", OnCode: "L1", Why: "check"})
	})
}

func TestVerifyAnEmptyBook(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		r, err := s.Verify(t.Context(), nil)
		if err != nil || r.Entries != 0 || r.Rows != 0 {
			t.Errorf("%+v, %v", r, err)
		}
		if n, err := s.Rebuild(t.Context(), nil); n != 0 || err != nil {
			t.Errorf("rebuilding replayed %d, %v", n, err)
		}
	})
}

// Whoever adds a table says whether it is part of the log, follows from it, or
// stands beside it.
func TestEveryTableIsOfOneKind(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		query := "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> 'goose_db_version'"
		if isPostgres(s.address) {
			query = "SELECT table_name FROM information_schema.tables WHERE table_schema = current_schema() AND table_name <> 'goose_db_version'"
		}
		stand, err := list(t.Context(), s.db, "tables", word, query)
		if err != nil {
			t.Fatal(err)
		}
		kinds := slices.Concat(logged, hashed, private, projected)
		slices.Sort(stand)
		slices.Sort(kinds)
		if !slices.Equal(stand, kinds) {
			t.Errorf("the tables are\n%q\nthose named in tables.go are\n%q", stand, kinds)
		}
	})
}

// The database itself refuses to change the log.
func TestTheLogIsNeverChanged(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		book(t, s)
		before := dump(t, s, []string{"entry", "node", "checkpoint"})
		queries := []string{
			"UPDATE entry SET payload = ''", "UPDATE entry SET seq = seq + 1000", "DELETE FROM entry", "DELETE FROM entry WHERE seq = 5",
			"UPDATE node SET hash = hash", "DELETE FROM node WHERE idx = 0",
			"UPDATE checkpoint SET size = size + 1", "DELETE FROM checkpoint",
		}
		if isPostgres(s.address) {
			queries = append(queries, "TRUNCATE entry", "TRUNCATE node", "TRUNCATE checkpoint")
		}
		for _, q := range queries {
			if _, err := s.write.ExecContext(t.Context(), q); err == nil || !strings.Contains(err.Error(), "never") {
				t.Errorf("%s: %v; want to be refused", q, err)
			}
		}
		if after := dump(t, s, []string{"entry", "node", "checkpoint"}); !slices.Equal(after, before) {
			t.Error("the log changed")
		}
	})
}
