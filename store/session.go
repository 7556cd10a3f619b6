package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// A Session is somebody signed in on one browser. What the browser holds is a
// token; the book keeps its hash only.
type Session struct {
	Badge   string
	Station string // "" away from a registered tablet
	Device  string
	How     string // "PIN" or "password"
	Began   time.Time
	Ends    time.Time
	Seen    time.Time // when this person last did something there
}

// A Device is a tablet that is registered at a station.
type Device struct {
	Device  string
	Station string
}

// NewToken makes a token: 256 random bits that nobody guesses.
func NewToken() string {
	raw := make([]byte, 32)
	rand.Read(raw) // never fails: crypto/rand.Read ends the program instead
	return base64.RawURLEncoding.EncodeToString(raw)
}

// IsToken reports whether a text has the form of a token.
func IsToken(text string) bool {
	raw, err := base64.RawURLEncoding.DecodeString(text)
	return err == nil && len(raw) == 32
}

// TokenHash is what is kept of a token: its SHA-256, hexadecimal. A token is
// random, so that it needs no salt and no slow hash.
func TokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// BeginSession signs somebody in under a new token. At a tablet it takes the
// place of that person's earlier session there, and parks that of whoever was
// there before: a badge scan calls it back, its old token does not. Elsewhere
// it ends the session of the browser's old token.
func (s *Store) BeginSession(ctx context.Context, b Session, token, old string) error {
	err := s.submit(ctx, func(ctx context.Context, w *session, _ *int64) error {
		if err := leave(ctx, w, b.Device, old); err != nil {
			return err
		}
		if _, err := w.ExecContext(ctx, "DELETE FROM session WHERE badge = $1 AND device = $2 AND device <> ''", b.Badge, b.Device); err != nil {
			return err
		}
		if _, err := w.ExecContext(ctx, "DELETE FROM session WHERE ends_at < $1", stamp{s.Now()}); err != nil {
			return err
		}
		_, err := w.ExecContext(ctx, "INSERT INTO session (token_hash, badge, station, device, how, began_at, ends_at, seen_at) VALUES ($1, $2, $3, $4, $5, $6, $7, $6)",
			TokenHash(token), b.Badge, b.Station, b.Device, b.How, stamp{b.Began}, stamp{b.Ends})
		return err
	})
	if err != nil {
		return fmt.Errorf("signing in badge %s: %w", b.Badge, err)
	}
	return nil
}

// leave takes the token of a browser out of use.
func leave(ctx context.Context, q querier, device, old string) error {
	if old == "" {
		return nil
	}
	if device == "" {
		_, err := q.ExecContext(ctx, "DELETE FROM session WHERE token_hash = $1", TokenHash(old))
		return err
	}
	_, err := q.ExecContext(ctx, "UPDATE session SET token_hash = $1 WHERE token_hash = $2", TokenHash(NewToken()), TokenHash(old))
	return err
}

// SwitchSession gives a tablet to somebody who gave their PIN there earlier in
// the shift; their session goes on under a new token. It is ErrNotFound when
// they did not.
func (s *Store) SwitchSession(ctx context.Context, badge, device, token, old string) error {
	err := s.submit(ctx, func(ctx context.Context, w *session, _ *int64) error {
		if err := leave(ctx, w, device, old); err != nil {
			return err
		}
		_, err := one("sign-in of badge", badge, word, w.QueryRowContext(ctx, `UPDATE session SET token_hash = $1, seen_at = $4
			WHERE badge = $2 AND device = $3 AND device <> '' AND ends_at > $4 RETURNING badge`, TokenHash(token), badge, device, stamp{s.Now()}))
		return err
	})
	if err != nil {
		return fmt.Errorf("switching to badge %s: %w", badge, err)
	}
	return nil
}

// SeenSession notes that whoever holds a token did something now.
func (s *Store) SeenSession(ctx context.Context, token string) error {
	err := s.submit(ctx, func(ctx context.Context, w *session, _ *int64) error {
		_, err := w.ExecContext(ctx, "UPDATE session SET seen_at = $1 WHERE token_hash = $2", stamp{s.Now()}, TokenHash(token))
		return err
	})
	if err != nil {
		return fmt.Errorf("noting who was seen: %w", err)
	}
	return nil
}

// EndSession signs out.
func (s *Store) EndSession(ctx context.Context, token string) error {
	err := s.submit(ctx, func(ctx context.Context, w *session, _ *int64) error {
		_, err := w.ExecContext(ctx, "DELETE FROM session WHERE token_hash = $1", TokenHash(token))
		return err
	})
	if err != nil {
		return fmt.Errorf("signing out: %w", err)
	}
	return nil
}

// Session is who holds a token, or ErrNotFound when nobody does or their time
// is over.
func (s *Store) Session(ctx context.Context, token string) (Session, error) {
	hash := TokenHash(token)
	b, err := recently(&s.recent, "session/"+hash, func() (Session, error) {
		return one("session", "of this browser", scanSession, s.db.QueryRowContext(ctx, "SELECT badge, station, device, how, began_at, ends_at, coalesce(seen_at, began_at) FROM session WHERE token_hash = $1", hash))
	})
	if err == nil && !s.Now().Before(b.Ends) {
		return Session{}, shop.NotFound("session", "of this browser")
	}
	return b, err
}

func scanSession(row scanner) (Session, error) {
	var b Session
	var began, ends, seen stamp
	err := row.Scan(&b.Badge, &b.Station, &b.Device, &b.How, &began, &ends, &seen)
	b.Began, b.Ends, b.Seen = began.Time, ends.Time, seen.Time
	return b, err
}

// BadgesAt lists who gave their PIN at a tablet in this shift: who works there,
// and those whose session is parked.
func (s *Store) BadgesAt(ctx context.Context, device string) ([]string, error) {
	return s.BadgesSince(ctx, device, s.Now())
}

// BadgesSince lists those of BadgesAt who were there by a moment.
func (s *Store) BadgesSince(ctx context.Context, device string, by time.Time) ([]string, error) {
	return list(ctx, s.db, "sessions of a tablet", word, "SELECT DISTINCT badge FROM session WHERE device = $1 AND device <> '' AND ends_at > $2 AND began_at <= $3 ORDER BY badge", device, stamp{s.Now()}, stamp{by})
}

func scanDevice(row scanner) (Device, error) {
	var d Device
	err := row.Scan(&d.Device, &d.Station)
	return d, err
}

// Device is the tablet that holds a token, or ErrNotFound.
func (s *Store) Device(ctx context.Context, token string) (Device, error) {
	return one("tablet", "of this token", scanDevice, s.db.QueryRowContext(ctx, "SELECT device, station FROM device WHERE token_hash = $1", TokenHash(token)))
}

// Devices lists the registered tablets.
func (s *Store) Devices(ctx context.Context) ([]Device, error) {
	return list(ctx, s.db, "tablets", scanDevice, "SELECT device, station FROM device ORDER BY station, device")
}

// RenewDevice gives a tablet a new token, so that the address that was opened
// on it opens nothing more.
func (s *Store) RenewDevice(ctx context.Context, old, token string) error {
	err := s.submit(ctx, func(ctx context.Context, w *session, _ *int64) error {
		_, err := one("tablet", "of this token", word, w.QueryRowContext(ctx,
			"UPDATE device SET token_hash = $1 WHERE token_hash = $2 RETURNING device", TokenHash(token), TokenHash(old)))
		return err
	})
	if err != nil {
		return fmt.Errorf("registering a tablet: %w", err)
	}
	return nil
}

// Ready says whether the book can be read.
func (s *Store) Ready(ctx context.Context) error {
	var size int64
	if err := s.db.QueryRowContext(ctx, "SELECT size FROM head WHERE id = 1").Scan(&size); err != nil {
		return errors.Join(&shop.Refusal{Kind: shop.ErrBusy, Why: "The book cannot be read just now."}, err)
	}
	return nil
}
