package main

import (
	"database/sql"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"
	_ "modernc.org/sqlite" // to damage books
)

func damage(t *testing.T, book string, queries ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", book)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, q := range queries {
		if _, err := db.Exec(q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
}

// after finds what stands behind a word in what a command said.
func after(t *testing.T, text, word string) string {
	t.Helper()
	found := regexp.MustCompile(`(?m)^` + word + ` +(.+)$`).FindStringSubmatch(text)
	if found == nil {
		t.Fatalf("there is no %s in\n%s", word, text)
	}
	return found[1]
}

func TestVerifyDamageRebuild(t *testing.T) {
	t.Parallel()
	data := small(t)
	book := filepath.Join(data, "book.db")
	whole := must(t, "verify", "--data", data)
	if after(t, whole, "Entries") != "6" || after(t, whole, "Checkpoints") != "1; the newest covers 6 entries" {
		t.Errorf("it says\n%s", whole)
	}
	damage(t, book, "UPDATE mould SET customer = 'K2' WHERE mould = 'M-2'")
	s := ran(t, "verify", "--data", data)
	if want := "sinterbook verify: In table mould, in the row with id 4, column customer is \"K2\"; the log gives \"K1\".\n"; s.code != codeNo || s.err != want || s.out != "" {
		t.Errorf("of the damaged book it says %q %q (%d); want %q", s.out, s.err, s.code, want)
	}
	if out := must(t, "rebuild", "--data", data); !strings.Contains(out, "were made again from 6 entries") {
		t.Errorf("rebuild says %q", out)
	}
	if again := must(t, "verify", "--data", data); again != whole {
		t.Errorf("after rebuilding it says\n%s\nbefore\n%s", again, whole)
	}
	damage(t, book, "DROP TRIGGER entry_stays", "UPDATE entry SET payload = replace(payload, 'M-2', 'M-9') WHERE seq = 4")
	if s := ran(t, "verify", "--data", data); s.code != codeNo || !strings.Contains(s.err, "Entry 4 has the hash") {
		t.Errorf("of the changed log it says %q (%d)", s.err, s.code)
	}
	if s := ran(t, "rebuild", "--db", filepath.Join(data, "none.db")); s.code != codeNo || !strings.Contains(s.err, "There is no book at") {
		t.Errorf("rebuilding what is not there: %d, %q", s.code, s.err)
	}
}

func TestVerifyWithAKeptKey(t *testing.T) {
	t.Parallel()
	data := small(t)
	key := after(t, must(t, "key", "--data", data), "Verifier key")
	file := filepath.Join(t.TempDir(), "kept")
	if err := os.WriteFile(file, []byte(key+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	must(t, "verify", "--data", data, "--key", key)
	must(t, "verify", "--data", data, "--key", file)
	_, other, err := note.GenerateKey(nil, "another")
	if err != nil {
		t.Fatal(err)
	}
	private, err := os.ReadFile(filepath.Join(data, keyFile))
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name, key string
		code      int
		want      string
	}{
		{"another key", other, codeNo, "not the one that you gave, " + other + "."},
		{"no key", "kept", codeMisuse, "is neither a verifier key nor a file that has one"},
		{"the private key", filepath.Join(data, keyFile), codeMisuse, "this is the private one"},
	} {
		s := ran(t, "verify", "--data", data, "--key", tt.key)
		if s.code != tt.code || !strings.Contains(s.err, tt.want) || s.out != "" {
			t.Errorf("%s: %d, %q %q; want %d and %q", tt.name, s.code, s.out, s.err, tt.code, tt.want)
		}
		if strings.Contains(s.err, strings.TrimSpace(string(private))) {
			t.Errorf("%s: it shows the private key", tt.name)
		}
	}
	damage(t, filepath.Join(data, "book.db"), "DROP TRIGGER checkpoint_kept", "DELETE FROM checkpoint")
	must(t, "verify", "--data", data)
	if s := ran(t, "verify", "--data", data, "--key", key); s.code != codeNo || !strings.Contains(s.err, "does not vouch for any entry") {
		t.Errorf("without checkpoints: %d, %q", s.code, s.err)
	}
}

func TestKey(t *testing.T) {
	t.Parallel()
	data := small(t)
	said := must(t, "key", "--data", data)
	key := after(t, said, "Verifier key")
	if _, err := note.NewVerifier(key); err != nil {
		t.Errorf("%q is no verifier key: %v", key, err)
	}
	if print := after(t, said, "Fingerprint"); !regexp.MustCompile(`^([0-9a-f]{8} ){7}[0-9a-f]{8}$`).MatchString(print) {
		t.Errorf("the fingerprint is %q", print)
	}
	info, err := os.Stat(filepath.Join(data, keyFile))
	if err != nil || info.Mode() != 0o600 {
		t.Errorf("others can read the private key: %v (%v)", info.Mode(), err)
	}
	if elsewhere := must(t, "key", "--db", filepath.Join(data, "book.db"), "--data", t.TempDir()); after(t, elsewhere, "Verifier key") != key || !strings.Contains(elsewhere, "no checkpoint can be signed here") {
		t.Errorf("without the private key it says\n%s", elsewhere)
	}
	if s := ran(t, "key", "--db", filepath.Join(data, "book.db"), "--data", small(t)); s.code != codeNo || !strings.Contains(s.err, "belongs to another book") {
		t.Errorf("with another book's key: %d, %q", s.code, s.err)
	}
	if s := ran(t, "key", "--data", t.TempDir()); s.code != codeNo || !strings.Contains(s.err, "There is no book at") {
		t.Errorf("without anything: %d, %q", s.code, s.err)
	}
	bad := t.TempDir()
	if err := os.WriteFile(filepath.Join(bad, keyFile), []byte("not a key\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if s := ran(t, "key", "--data", bad); s.code != codeFailed || !strings.Contains(s.err, "has no key that can be used") {
		t.Errorf("with a key file that has none: %d, %q", s.code, s.err)
	}
}
