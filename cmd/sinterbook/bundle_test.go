package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// grown is a small book with a hold that was set, signed, and lifted, once more
// signed, and lifted another time: its data folder, its key, and the
// checkpoint before.
func grown(t *testing.T) (data, key, before string) {
	t.Helper()
	data = small(t)
	signer, err := readKey(filepath.Join(data, keyFile))
	if err != nil {
		t.Fatal(err)
	}
	st, err := store.Open(t.Context(), store.Options{DB: filepath.Join(data, "book.db"), Signer: signer})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	_, text, err := st.LatestCheckpoint(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	before = filepath.Join(t.TempDir(), "before.txt")
	write(t, before, text)
	put := func(e shop.Event) {
		if _, err := st.Record(t.Context(), shop.Entry{ID: uuid.Must(uuid.NewV7()), Zone: "Europe/Vienna", By: "601", Event: e}); err != nil {
			t.Fatal(err)
		}
	}
	put(shop.HoldSet{Hold: "H-001", OnKind: "mould", OnCode: "M-1", Why: "sprue is bent"})
	if err := st.Checkpoint(t.Context()); err != nil {
		t.Fatal(err)
	}
	put(shop.HoldSet{Hold: "H-002", OnKind: "mould", OnCode: "M-1", Why: "a pin is missing"})
	return data, after(t, must(t, "key", "--data", data), "Verifier key"), before
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestBundleAndCheck(t *testing.T) {
	t.Parallel()
	data, key, before := grown(t)
	file := filepath.Join(t.TempDir(), "m-1.jsonl")
	s := ran(t, "bundle", "m-1", "--data", data, "-o", file)
	if s.code != codeFine || s.out != "The proof of mould M-1 was written to "+file+".\n" || after(t, s.err, "Not in it") != "1 later entry about mould M-1: no checkpoint covers them yet" {
		t.Fatalf("bundle ended with %d and says %q\n%s", s.code, s.out, s.err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode() != 0o600 {
		t.Errorf("others can read the bundle: %v (%v)", info.Mode(), err)
	}
	text, err := os.ReadFile(file)
	if err != nil || strings.Contains(string(text), "Ada Test") {
		t.Errorf("the bundle names a person (%v)", err)
	}
	if streamed := must(t, "bundle", "M-1", "--data", data); streamed != string(text) {
		t.Errorf("to standard output it writes\n%s\nto the file\n%s", streamed, text)
	}
	if again := ran(t, "bundle", "M-1", "--data", data, "-o", file); again.code != codeNo || !strings.Contains(again.err, "never overwritten") {
		t.Errorf("onto a file: %d, %q", again.code, again.err)
	}
	kept := filepath.Join(t.TempDir(), "kept")
	write(t, kept, key+"\n")
	out := must(t, "check", file, "--key", kept, "--since", before)
	for _, want := range []string{"The proof of mould M-1 is good, by the key " + key + ".", "What it proves:\n  - " + shop.BundleProves[0], shop.BundleProves[1], shop.BundleProves[2], "What it does not:\n  - " + shop.BundleLeaves[0], shop.BundleLeaves[4]} {
		if !strings.Contains(out, want) {
			t.Errorf("check does not say %q:\n%s", want, out)
		}
	}
	if after(t, out, "Entries") != "2, numbered from 1 to 2 without a gap" || after(t, out, "Seal") != "the shop signed for the bundle as a whole" || !strings.HasPrefix(after(t, out, "Since"), "the 6 entries of your older checkpoint are the beginning") {
		t.Errorf("check says\n%s", out)
	}
	if alone := must(t, "check", file, "--key", key); strings.Contains(alone, shop.BundleProves[2]) || after(t, alone, "Since") != "not held against an older checkpoint (--since)" {
		t.Errorf("without an older checkpoint it says\n%s", alone)
	}
}

func TestCheckSaysNo(t *testing.T) {
	t.Parallel()
	data, key, before := grown(t)
	bundle := must(t, "bundle", "M-1", "--data", data)
	_, foreign, err := note.GenerateKey(nil, "another")
	if err != nil {
		t.Fatal(err)
	}
	older, err := os.ReadFile(before)
	if err != nil {
		t.Fatal(err)
	}
	_, _, elsewhere := grown(t)
	unsealed := must(t, "bundle", "M-1", "--db", filepath.Join(data, "book.db"), "--data", t.TempDir())
	folder := t.TempDir()
	for _, tt := range []struct {
		name, text string
		args       []string
		code       int
		want       string
	}{
		{"a changed entry", strings.Replace(bundle, `"K1"`, `"K2"`, 1), []string{"--key", key}, codeNo, "sinterbook check: Line 2: The text of number 1 about mould M-1 has the hash "},
		{"the last entry is gone", strings.Join(append(strings.SplitAfter(bundle, "\n")[:2], strings.SplitAfter(bundle, "\n")[3:]...), ""), []string{"--key", key}, codeNo, "Number 2 about mould M-1 is missing"},
		{"a foreign key", bundle, []string{"--key", foreign}, codeNo, "not by the one that you gave, another+"},
		{"no key", bundle, nil, codeMisuse, "check needs --key"},
		{"the older checkpoint as key", bundle, []string{"--key", before}, codeMisuse, "is neither a verifier key nor a file that has one"},
		{"no seal", unsealed, []string{"--key", key}, codeNo, "The bundle has no seal: the key that signed the checkpoint was not at hand"},
		{"no seal, which is let pass", unsealed, []string{"--key", key, "--unsealed"}, codeFine, "Seal           none: the key"},
		{"a checkpoint of another shop", bundle, []string{"--key", key, "--since", elsewhere}, codeNo, "The older checkpoint is signed by the key"},
		{"an older checkpoint that is none", bundle, []string{"--key", key, "--since", filepath.Join(data, "book.db")}, codeNo, "is no checkpoint: it is too large"},
		{"an older checkpoint that is not there", bundle, []string{"--key", key, "--since", filepath.Join(data, "none")}, codeFailed, "no such file"},
		{"nothing", "", []string{"--key", key}, codeNo, "The file ends before line 1"},
		{"the checkpoint alone", string(older), []string{"--key", key}, codeNo, "Line 1: It is not a line of a proof bundle"},
	} {
		file := filepath.Join(folder, "bundle")
		write(t, file, tt.text)
		s := ran(t, append([]string{"check", file}, tt.args...)...)
		if s.code != tt.code || !strings.Contains(s.out+s.err, tt.want) {
			t.Errorf("%s: %d, %q %q; want %d and %q", tt.name, s.code, s.out, s.err, tt.code, tt.want)
		}
		if tt.code != codeFine && s.out != "" {
			t.Errorf("%s: it says %q as if it were the answer", tt.name, s.out)
		}
		if tt.code == codeFine && strings.Contains(s.out, shop.BundleProves[1]) {
			t.Errorf("%s: it says that a seal proves something", tt.name)
		}
	}
	if s := ran(t, "check", filepath.Join(data, "none"), "--key", key); s.code != codeFailed {
		t.Errorf("no file: %d, %q", s.code, s.err)
	}
}

// TestBundleSince: a size at which the book kept no checkpoint is proven when
// the shop is asked for it.
func TestBundleSince(t *testing.T) {
	t.Parallel()
	data, key, _ := grown(t)
	signer, err := readKey(filepath.Join(data, keyFile))
	if err != nil {
		t.Fatal(err)
	}
	st, err := store.OpenToRead(t.Context(), store.Options{DB: filepath.Join(data, "book.db")})
	if err != nil {
		t.Fatal(err)
	}
	root, err := st.Root(t.Context(), 3)
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	by, err := note.NewSigner(signer)
	if err != nil {
		t.Fatal(err)
	}
	checkpoint := func(size, root string) string {
		signed, err := note.Sign(&note.Note{Text: by.Name() + "\n" + size + "\n" + root + "\n"}, by)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "since.txt")
		write(t, file, string(signed))
		return file
	}
	since, file := checkpoint("3", root.String()), filepath.Join(t.TempDir(), "bundle.jsonl")
	write(t, file, must(t, "bundle", "M-1", "--data", data))
	if s := ran(t, "check", file, "--key", key, "--since", since); s.code != codeNo || !strings.Contains(s.err, "/proof/mould/M-1?since=3, or by the command bundle \"mould/M-1\" --since FILE") {
		t.Errorf("without the proof: %d, %q", s.code, s.err)
	}
	write(t, file, must(t, "bundle", "M-1", "--data", data, "--since", since))
	if out := must(t, "check", file, "--key", key, "--since", since); !strings.HasPrefix(after(t, out, "Since"), "the 3 entries") {
		t.Errorf("with it check says\n%s", out)
	}
	// A bundle that was kept has a checkpoint in it.
	signs, err := store.Open(t.Context(), store.Options{DB: filepath.Join(data, "book.db"), Signer: signer})
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(signs.Checkpoint(t.Context()), signs.Close()); err != nil {
		t.Fatal(err)
	}
	newer := filepath.Join(t.TempDir(), "newer.jsonl")
	write(t, newer, must(t, "bundle", "M-1", "--data", data, "--since", file))
	if out := must(t, "check", newer, "--key", key, "--since", file); !strings.HasPrefix(after(t, out, "Since"), "the 7 entries") {
		t.Errorf("against the bundle before check says\n%s", out)
	}
	if s := ran(t, "check", file, "--key", key, "--since", newer); s.code != codeNo || !strings.Contains(s.err, "Your older checkpoint covers 8 entries, more than the bundle's") {
		t.Errorf("the older one against the newer one: %d, %q", s.code, s.err)
	}
	for since, want := range map[string]string{
		checkpoint("4", root.String()):    "It is of another log, or this one was rewritten.",
		checkpoint("99", root.String()):   "The log has 8 entries, not 99.",
		filepath.Join(data, keyFile):      "The file has no checkpoint",
		checkpoint("-1", root.String()):   "The log has 8 entries, not -1.",
		checkpoint("four", root.String()): "is not a number of entries",
	} {
		if s := ran(t, "bundle", "M-1", "--data", data, "--since", since); s.code != codeNo || !strings.Contains(s.err, want) || s.out != "" {
			t.Errorf("since %s: %d, %q; want %q", since, s.code, s.err, want)
		}
	}
}

func TestBundleSaysNo(t *testing.T) {
	t.Parallel()
	data, _, _ := grown(t)
	file := filepath.Join(t.TempDir(), "bundle.jsonl")
	for _, tt := range []struct {
		code string
		want string
	}{
		{"M-9", "Nothing in this book is called M-9."},
		{"10ABCDEF90", "has a wrong character"},
		{"H-002", "The newest checkpoint covers no entry about hold H-002"},
	} {
		if s := ran(t, "bundle", tt.code, "--data", data, "-o", file); s.code != codeNo || !strings.Contains(s.err, tt.want) || s.out != "" {
			t.Errorf("%s: %d, %q %q; want %q", tt.code, s.code, s.out, s.err, tt.want)
		}
		if _, err := os.Stat(file); err == nil {
			t.Errorf("%s: it leaves a file", tt.code)
		}
	}
	damage(t, filepath.Join(data, "book.db"), "DROP TRIGGER checkpoint_kept", "DELETE FROM checkpoint")
	if s := ran(t, "bundle", "M-1", "--data", data); s.code != codeNo || !strings.Contains(s.err, "No checkpoint of this book was signed yet") {
		t.Errorf("without a checkpoint: %d, %q", s.code, s.err)
	}
}

// TestBundleOfTheDemo: all that is found in the demo can be proven, also with
// the key of the demo named by its file.
func TestBundleOfTheDemo(t *testing.T) {
	t.Parallel()
	o, _ := built(t, demoOptions{})
	book, seal := filepath.Join(o.data, demoBook), filepath.Join(o.data, demoKey)
	key := after(t, must(t, "key", "--db", book, "--data", t.TempDir()), "Verifier key")
	for _, code := range []string{"I-0001", "I-0037", "L2509-A", "601", "M301", "M-12"} {
		file := filepath.Join(t.TempDir(), "bundle.jsonl")
		must(t, "bundle", code, "--db", book, "--seal-key", seal, "-o", file)
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if out := must(t, "check", file, "--key", key); !strings.Contains(out, "the shop signed for the bundle as a whole") {
			t.Errorf("of %s check says\n%s", code, out)
		}
		t.Logf("%s: %d entries, %d bytes", code, bytes.Count(text, []byte(`{"entry":{`)), len(text))
	}
}
