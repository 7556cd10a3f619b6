package store

import (
	"encoding/base64"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

func checkpointed(t testing.TB, s *Store) (int64, string) {
	t.Helper()
	if err := s.Checkpoint(t.Context()); err != nil {
		t.Fatal(err)
	}
	size, signed, err := s.LatestCheckpoint(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return size, signed
}

func TestCheckpoint(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		if err := s.Checkpoint(t.Context()); err != nil {
			t.Fatalf("of an empty log: %v", err)
		}
		if _, _, err := s.LatestCheckpoint(t.Context()); !errors.Is(err, shop.ErrNotFound) {
			t.Fatalf("an empty log has a checkpoint (%v)", err)
		}
		seeded(t, s)
		n, signed := checkpointed(t, s)
		root, err := s.Root(t.Context(), n)
		if err != nil {
			t.Fatal(err)
		}
		if n != size(t, s) || !strings.HasPrefix(signed, "sinterbook-test\n"+strconv.FormatInt(n, 10)+"\n"+root.String()+"\n\n— sinterbook-test ") {
			t.Errorf("at %d entries it reads\n%s", n, signed)
		}
		if _, again := checkpointed(t, s); again != signed {
			t.Errorf("a second one of the same size reads\n%s", again)
		}
		opened(t, s, "I-0001")
		if more, _ := checkpointed(t, s); more != n+2 {
			t.Errorf("the next one covers %d entries, want %d", more, n+2)
		}
	})
}

// Another key signs nothing until the log names it, and the old one nothing
// after that. Both keep their checkpoints.
func TestKeyIsTheOneOfTheLog(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		checkpointed(t, s)
		signer, verifier, err := note.GenerateKey(nil, "sinterbook-second")
		if err != nil {
			t.Fatal(err)
		}
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "check"})
		s.signer = signer
		if err := s.Checkpoint(t.Context()); !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), testVerifier) {
			t.Errorf("with a key that the log does not name: %v; want a refusal that names the right one", err)
		}
		put(t, s, "601", shop.KeyChanged{Verifier: verifier})
		last, _ := checkpointed(t, s)
		s.signer = testSigner
		put(t, s, "601", shop.HoldLifted{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "it was good"})
		if err := s.Checkpoint(t.Context()); !errors.Is(err, shop.ErrConflict) {
			t.Errorf("with the key before: %v; want a refusal", err)
		}
		r, err := s.Verify(t.Context(), nil)
		if err != nil || r.Checkpoints != 2 || r.Sealed != last || r.Verifier != verifier {
			t.Errorf("verify reports %+v, %v; want two checkpoints and the second key", r, err)
		}
	})
}

func TestNoKeyNoCheckpoint(t *testing.T) {
	t.Parallel()
	s := openAt(t, liteAddress(t), newClock(day))
	s.signer = ""
	if err := s.Checkpoint(t.Context()); err == nil || !strings.Contains(err.Error(), "no key was given") {
		t.Errorf("without a key: %v", err)
	}
}

func TestParseSealed(t *testing.T) {
	t.Parallel()
	root := tlog.Hash{1, 2, 3}.String()
	good := "shop\n12\n" + root + "\n"
	if c, err := parseSealed(good); err != nil || c.origin != "shop" || c.size != 12 || c.root != (tlog.Hash{1, 2, 3}) {
		t.Errorf("%+v, %v", c, err)
	}
	for _, tt := range []struct{ name, text string }{
		{"empty", ""},
		{"without its last line end", strings.TrimSuffix(good, "\n")},
		{"with a line more", good + "more\n"},
		{"a size in words", "shop\ntwelve\n" + root + "\n"},
		{"a size with a zero before it", "shop\n012\n" + root + "\n"},
		{"a size with a sign", "shop\n+12\n" + root + "\n"},
		{"a root that is cut", "shop\n12\n" + root[:20] + "\n"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if c, err := parseSealed(tt.text); err == nil {
				t.Errorf("it is taken for %+v", c)
			}
		})
	}
}

// A checkpoint is checked by a program that shares no line with ours: what is
// signed is the text, what signs it is Ed25519.
func TestOpensslChecksACheckpoint(t *testing.T) {
	t.Parallel()
	s := openAt(t, liteAddress(t), newClock(day))
	seeded(t, s)
	_, signed := checkpointed(t, s)
	if said, err := opensslOn(t, signed, signed); err != nil || !strings.Contains(said, "Signature Verified Successfully") {
		t.Errorf("openssl says %q (%v)", said, err)
	}
	if said, err := opensslOn(t, signed, strings.Replace(signed, "\n", "\n1", 1)); err == nil {
		t.Errorf("of another size openssl says %q", said)
	}
}

// opensslOn asks openssl whether the signature of a note by testSigner is that
// of the text of another one.
func opensslOn(t *testing.T, signed, other string) (string, error) {
	t.Helper()
	openssl := outside.Program(t, "openssl", "openssl")
	_, signature, _ := strings.Cut(signed, "\n\n")
	raw, err := base64.StdEncoding.DecodeString(strings.Fields(signature)[2])
	if err != nil || len(raw) != 4+64 {
		t.Fatalf("the signature has %d bytes (%v)", len(raw), err)
	}
	key, err := base64.StdEncoding.DecodeString(strings.SplitN(testVerifier, "+", 3)[2])
	if err != nil || len(key) != 1+32 {
		t.Fatalf("the key has %d bytes (%v)", len(key), err)
	}
	// RFC 8410: SubjectPublicKeyInfo of an Ed25519 key is this and the 32 bytes.
	der := append([]byte("\x30\x2a\x30\x05\x06\x03\x2b\x65\x70\x03\x21\x00"), key[1:]...)
	dir := t.TempDir()
	text, _, _ := strings.Cut(other, "\n\n")
	for name, what := range map[string][]byte{"key.der": der, "text": []byte(text + "\n"), "signature": raw[4:]} {
		if err := os.WriteFile(filepath.Join(dir, name), what, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	c := exec.CommandContext(t.Context(), openssl, "pkeyutl", "-verify", "-pubin", "-keyform", "DER", "-inkey", "key.der", "-rawin", "-in", "text", "-sigfile", "signature")
	c.Dir = dir
	said, err := c.CombinedOutput()
	return string(said), err
}
