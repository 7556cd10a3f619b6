package main

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/mod/sumdb/note"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// keyFile has the private key that signs checkpoints. It stands beside the
// database, never in it: whoever can change the book can then not sign it.
const keyFile = "checkpoint.key"

func keyCommand() command {
	var p place
	return command{
		name: "key", does: "print the key that checks this book's checkpoints",
		more: `Prints the verifier key of the book and its fingerprint, and whether this data
folder has the private key that goes with it. Keep the verifier key, or the
fingerprint on paper, away from the book: verify --key checks any copy of the
book by it. serve makes the private key when it starts the first time.`,
		flags: p.flags,
		run:   func(ctx context.Context, _ []string, c console) error { return key(ctx, p, c) },
	}
}

func key(ctx context.Context, p place, c console) error {
	path := filepath.Join(p.data, keyFile)
	own, err := ownVerifier(path)
	if err != nil {
		return err
	}
	named, err := namedVerifier(ctx, p)
	if err != nil && (own == "" || !errors.Is(err, shop.ErrNotFound)) {
		return err
	}
	verifier := named
	if verifier == "" {
		verifier = own
	}
	if verifier == "" {
		return &store.Finding{Why: "There is no key yet: serve makes one when it starts the first time."}
	}
	fmt.Fprintf(c.out, "Verifier key   %s\nFingerprint    %s\n", verifier, fingerprint(verifier))
	switch {
	case own == "":
		fmt.Fprintf(c.out, "The private key is not in %s: no checkpoint can be signed here.\n", path)
	case own == verifier:
		fmt.Fprintf(c.out, "The private key is in %s.\n", path)
	default:
		return &store.Finding{Why: fmt.Sprintf("The private key in %s belongs to another book: its verifier key is %s.", path, own)}
	}
	return nil
}

// namedVerifier is the key that the book's log names, "" before set-up.
func namedVerifier(ctx context.Context, p place) (verifier string, err error) {
	st, err := store.OpenToRead(ctx, store.Options{DB: p.book()})
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	b, err := st.Book(ctx)
	if errors.Is(err, shop.ErrNotFound) {
		return "", nil
	}
	return b.Verifier, err
}

// fingerprint is the SHA-256 of the verifier key's text, as people read it out.
func fingerprint(verifier string) string {
	sum := sha256.Sum256([]byte(verifier))
	text := hex.EncodeToString(sum[:])
	var groups []string
	for at := 0; at < len(text); at += 8 {
		groups = append(groups, text[at:at+8])
	}
	return strings.Join(groups, " ")
}

// readKey reads the private key; it is fs.ErrNotExist where none is.
func readKey(path string) (string, error) {
	raw, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	signer := strings.TrimSpace(string(raw))
	if _, err := note.NewSigner(signer); err != nil {
		return "", fmt.Errorf("%s has no key that can be used: %w", path, err)
	}
	return signer, nil
}

// makeKey makes a private key that only its owner can read.
func makeKey(path string) (string, error) {
	raw := make([]byte, 4)
	rand.Read(raw) // never fails
	signer, _, err := note.GenerateKey(rand.Reader, "sinterbook-"+hex.EncodeToString(raw))
	if err != nil {
		return "", fmt.Errorf("making a key: %w", err)
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return "", fmt.Errorf("making a key: %w", err)
	}
	_, err = f.WriteString(signer + "\n")
	return signer, errors.Join(err, f.Sync(), f.Close())
}

// ownVerifier is the verifier key that goes with a private key in a file, ""
// where there is none.
func ownVerifier(path string) (string, error) {
	signer, err := readKey(path)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	return verifierOf(signer)
}

// verifierOf computes the public key of a private key of package note, whose
// text is PRIVATE+KEY+name+hash+base64(algorithm, seed).
func verifierOf(signer string) (string, error) {
	parts := strings.SplitN(signer, "+", 5)
	if len(parts) != 5 {
		return "", errors.New("the private key is not in five parts")
	}
	raw, err := base64.StdEncoding.DecodeString(parts[4])
	if err != nil || len(raw) != 1+ed25519.SeedSize {
		return "", errors.New("the private key has not the length of one")
	}
	public := ed25519.NewKeyFromSeed(raw[1:]).Public().(ed25519.PublicKey)
	return note.NewEd25519VerifierKey(parts[2], public)
}
