package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestExportImport(t *testing.T) {
	t.Parallel()
	data, there := small(t), t.TempDir()
	first, second := filepath.Join(t.TempDir(), "first.jsonl"), filepath.Join(t.TempDir(), "second.jsonl")
	out := must(t, "export", first, "--data", data)
	if after(t, out, "Entries") != "6" {
		t.Errorf("export says\n%s", out)
	}
	if info, err := os.Stat(first); err != nil || info.Mode() != 0o600 {
		t.Errorf("others can read the export: %v (%v)", info.Mode(), err)
	}
	if s := ran(t, "export", first, "--data", data); s.code != codeNo || !strings.Contains(s.err, "never overwritten") {
		t.Errorf("onto a file: %d, %q", s.code, s.err)
	}
	if in := must(t, "import", "--data", there, first); after(t, in, "Root") != after(t, out, "Root") {
		t.Errorf("the export has\n%s\nthe import\n%s", out, in)
	}
	must(t, "export", second, "--data", there)
	a, errA := os.ReadFile(first)
	b, errB := os.ReadFile(second)
	if errA != nil || errB != nil || !bytes.Equal(a, b) {
		t.Errorf("exported again it is\n%s\nbefore\n%s", b, a)
	}
	if s := ran(t, "import", "--data", there, first); s.code != codeNo || !strings.Contains(s.err, "This book has 6 entries already.") {
		t.Errorf("a second time: %d, %q", s.code, s.err)
	}
	edited := filepath.Join(t.TempDir(), "edited.jsonl")
	if err := os.WriteFile(edited, bytes.Replace(a, []byte(`"K1"`), []byte(`"K2"`), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	if s := ran(t, "import", "--data", t.TempDir(), edited); s.code != codeNo || !strings.HasPrefix(s.err, "sinterbook import: Line 5: Entry 3 has the hash") || !strings.HasSuffix(s.err, "Nothing was imported.\n") {
		t.Errorf("an edited file: %d, %q", s.code, s.err)
	}
	if s := ran(t, "import", "--data", t.TempDir(), filepath.Join(there, "none")); s.code != codeFailed {
		t.Errorf("no file: %d, %q", s.code, s.err)
	}
}

func TestBackupRestore(t *testing.T) {
	t.Parallel()
	data, copied := small(t), filepath.Join(t.TempDir(), "copy.db")
	out := must(t, "backup", copied, "--data", data)
	if !strings.Contains(out, "and the copy is good") || after(t, out, "Entries") != "6" {
		t.Errorf("backup says\n%s", out)
	}
	if s := ran(t, "backup", copied, "--data", data); s.code != codeNo || !strings.Contains(s.err, "never overwritten") {
		t.Errorf("onto a file: %d, %q", s.code, s.err)
	}
	must(t, "verify", "--db", copied)
	damage(t, filepath.Join(data, "book.db"), "DELETE FROM mould")
	back := must(t, "restore", "--data", data, copied)
	if after(t, back, "Root") != after(t, out, "Root") || !strings.Contains(back, "The book before is "+filepath.Join(data, "book-until-")) {
		t.Errorf("restore says\n%s", back)
	}
	must(t, "verify", "--data", data)
	empty := filepath.Join(t.TempDir(), "new", "machine")
	if back := must(t, "restore", "--data", empty, copied); strings.Contains(back, "The book before") {
		t.Errorf("on an empty machine restore says\n%s", back)
	}
	must(t, "verify", "--data", empty)
	raw, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	cut := filepath.Join(t.TempDir(), "cut.db")
	if err := os.WriteFile(cut, raw[:len(raw)-100], 0o600); err != nil {
		t.Fatal(err)
	}
	if s := ran(t, "restore", "--data", empty, cut); s.code != codeNo || !strings.HasPrefix(s.err, "sinterbook restore: The file is damaged") {
		t.Errorf("a copy that was cut: %d, %q", s.code, s.err)
	}
	must(t, "verify", "--data", empty)
}

// TestMeter: on a terminal one line changes, elsewhere a line now and then.
func TestMeter(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	m := newMeter(&b, "Replaying entries")
	if m.terminal {
		t.Error("a buffer is taken for a terminal")
	}
	m.tell(1, 200)
	m.every = 0
	m.tell(50, 200)
	m.tell(0, 0)
	m.end()
	if want := "Replaying entries: 25 % of 200\nReplaying entries: 100 % of 0\n"; b.String() != want {
		t.Errorf("it says %q; want %q", b.String(), want)
	}
	b.Reset()
	m.terminal = true
	m.tell(50, 200)
	m.tell(100, 200)
	m.end()
	if want := "\rReplaying entries: 25 % of 200\rReplaying entries: 50 % of 200\r\033[K"; b.String() != want {
		t.Errorf("on a terminal it says %q; want %q", b.String(), want)
	}
}
