package store

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/shop"
)

// A sealed log is what a checkpoint fixes: so many entries with this root. Its
// text has the three lines of C2SP's tlog-checkpoint.
type sealed struct {
	origin string
	size   int64
	root   tlog.Hash
}

func (c sealed) text() string {
	return fmt.Sprintf("%s\n%d\n%s\n", c.origin, c.size, base64.StdEncoding.EncodeToString(c.root[:]))
}

// parseSealed reads what text wrote, and nothing else.
func parseSealed(text string) (sealed, error) {
	lines := strings.Split(text, "\n")
	if len(lines) != 4 {
		return sealed{}, fmt.Errorf("it has not the three lines of a checkpoint")
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil {
		return sealed{}, fmt.Errorf("its second line %q is not a number of entries", lines[1])
	}
	root, err := tlog.ParseHash(lines[2])
	if err != nil {
		return sealed{}, fmt.Errorf("its third line %q is not a root hash", lines[2])
	}
	c := sealed{origin: lines[0], size: size, root: root}
	if c.text() != text {
		return sealed{}, fmt.Errorf("it is not written as checkpoints are")
	}
	return c, nil
}

// openSealed reads a signed checkpoint and checks its signature.
func openSealed(signed, verifier string) (sealed, error) {
	v, err := note.NewVerifier(verifier)
	if err != nil {
		return sealed{}, fmt.Errorf("the verifier key %q cannot be used: %w", verifier, err)
	}
	n, err := note.Open([]byte(signed), note.VerifierList(v))
	if err != nil {
		return sealed{}, fmt.Errorf("it is not signed by the key %s: %w", verifier, err)
	}
	c, err := parseSealed(n.Text)
	if err != nil {
		return sealed{}, err
	}
	if c.origin != v.Name() {
		return sealed{}, fmt.Errorf("its origin is %q, not %q", c.origin, v.Name())
	}
	return c, nil
}

// Checkpoint signs the log as it stands. It writes nothing for an empty log,
// and nothing when that size is signed already. The key must be the one that
// the log names, else it is ErrConflict: another key's checkpoint would prove
// nothing to whoever holds the log's.
func (s *Store) Checkpoint(ctx context.Context) error {
	if s.signer == "" {
		return errors.New("signing the log: no key was given")
	}
	err := s.submit(ctx, func(ctx context.Context, w *session, size *int64) error {
		if *size == 0 {
			return nil
		}
		return s.seal(ctx, w, *size)
	})
	if err != nil {
		return fmt.Errorf("signing the log: %w", err)
	}
	return nil
}

func (s *Store) seal(ctx context.Context, w *session, size int64) error {
	var standing int64
	if err := w.QueryRowContext(ctx, "SELECT count(*) FROM checkpoint WHERE size = $1", size).Scan(&standing); err != nil || standing > 0 {
		return err
	}
	verifier, err := one("book", "set up", word, w.QueryRowContext(ctx, "SELECT verifier FROM book WHERE id = 1"))
	if err != nil {
		return err
	}
	root, err := tlog.TreeHash(size, tlog.HashReaderFunc(func(idx []int64) ([]tlog.Hash, error) { return w.hashes(ctx, idx) }))
	if err != nil {
		return fmt.Errorf("reading the root: %w", err)
	}
	signed, err := sign(s.signer, size, root)
	if err != nil {
		return err
	}
	if _, err := openSealed(signed, verifier); err != nil {
		return shop.Conflict("The key of this service is not the one that the log names, %s. No checkpoint was signed: put that key's file in its place.", verifier)
	}
	_, err = w.ExecContext(ctx, "INSERT INTO checkpoint (size, note) VALUES ($1, $2)", size, signed)
	return err
}

// sign makes the checkpoint of a log; its origin is the key's name.
func sign(key string, size int64, root tlog.Hash) (string, error) {
	signer, err := note.NewSigner(key)
	if err != nil {
		return "", fmt.Errorf("the key cannot be used: %w", err)
	}
	signed, err := note.Sign(&note.Note{Text: sealed{signer.Name(), size, root}.text()}, signer)
	return string(signed), err
}

// Signs reports whether a key is at hand that signs.
func (s *Store) Signs() bool { return s.signer != "" }

// A Checkpoint is a signed one that the book keeps.
type Checkpoint struct {
	Size int64  // entries that it covers
	Root string // of these entries, in base64
	Note string // its whole text
}

// Checkpoints lists signed checkpoints, newest first: those that cover fewer
// than before entries, or all where before is 0; limit at the most.
func (s *Store) Checkpoints(ctx context.Context, before int64, limit int) ([]Checkpoint, error) {
	return list(ctx, s.db, "checkpoints", scanCheckpoint, "SELECT size, note FROM checkpoint WHERE size < $1 OR $1 = 0 ORDER BY size DESC LIMIT $2", before, limit)
}

// CheckpointAt is the checkpoint that covers so many entries, or ErrNotFound.
func (s *Store) CheckpointAt(ctx context.Context, size int64) (Checkpoint, error) {
	return one("checkpoint of the size", strconv.FormatInt(size, 10), scanCheckpoint, s.db.QueryRowContext(ctx, "SELECT size, note FROM checkpoint WHERE size = $1", size))
}

func scanCheckpoint(row scanner) (Checkpoint, error) {
	var c Checkpoint
	if err := row.Scan(&c.Size, &c.Note); err != nil {
		return c, err
	}
	fixed, err := parseSealed(unopened(c.Note))
	if err != nil {
		return c, fmt.Errorf("the checkpoint of %d entries: %w", c.Size, err)
	}
	c.Root = fixed.root.String()
	return c, nil
}
