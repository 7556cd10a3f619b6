package server

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"runtime"
	"strings"

	"golang.org/x/crypto/argon2"
)

// The cost of argon2id, from the OWASP cheat sheet on password storage
// (19 MiB, two passes, one lane).
const (
	argonMemory = 19 * 1024 // KiB
	argonPasses = 2
	argonLanes  = 1
	argonSalt   = 16
	argonKey    = 32

	argonMost = 64 * 1024 // KiB that a stored hash may ask for
)

// HashSecret is the argon2id hash of a PIN or password, in PHC form.
func HashSecret(secret string) (string, error) {
	if secret == "" {
		return "", errors.New("hashing an empty secret")
	}
	salt := make([]byte, argonSalt)
	rand.Read(salt)
	key := argon2.IDKey([]byte(secret), salt, argonPasses, argonMemory, argonLanes, argonKey)
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, argonMemory, argonPasses, argonLanes, b64.EncodeToString(salt), b64.EncodeToString(key)), nil
}

// matches reports whether a secret is the one that was hashed.
func matches(secret, phc string) (bool, error) {
	var version int
	var memory, passes uint32
	var lanes uint8
	parts := strings.Split(phc, "$")
	if len(parts) != 6 || parts[1] != "argon2id" {
		return false, errors.New("a stored hash is not argon2id in PHC form")
	}
	_, errV := fmt.Sscanf(parts[2], "v=%d", &version)
	_, errC := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &memory, &passes, &lanes)
	salt, errS := base64.RawStdEncoding.DecodeString(parts[4])
	want, errK := base64.RawStdEncoding.DecodeString(parts[5])
	if err := errors.Join(errV, errC, errS, errK); err != nil {
		return false, fmt.Errorf("reading a stored hash: %w", err)
	}
	if version != argon2.Version || memory > argonMost || passes < 1 || passes > 16 || lanes < 1 || len(want) < 16 {
		return false, errors.New("a stored hash asks for a cost that this program does not take")
	}
	got := argon2.IDKey([]byte(secret), salt, passes, memory, lanes, uint32(len(want)))
	return subtle.ConstantTimeCompare(got, want) == 1, nil
}

// A hasher compares secrets, a few at a time: each takes 19 MiB.
type hasher struct {
	turns chan struct{}
	dummy string // compared where there is nothing to compare, so that it takes as long
}

func newHasher() hasher {
	dummy, err := HashSecret("nobody has this one")
	if err != nil {
		panic(err) // only an empty secret fails
	}
	return hasher{turns: make(chan struct{}, 2*runtime.NumCPU()), dummy: dummy}
}

// right compares a secret with a hash; "" is no hash, and nothing is right.
func (h hasher) right(ctx context.Context, secret, phc string) (bool, error) {
	select {
	case h.turns <- struct{}{}:
		defer func() { <-h.turns }()
	case <-ctx.Done():
		return false, ctx.Err()
	}
	if phc == "" {
		_, err := matches(secret, h.dummy)
		return false, err
	}
	return matches(secret, phc)
}

// hash makes a hash in turn.
func (h hasher) hash(ctx context.Context, secret string) (string, error) {
	select {
	case h.turns <- struct{}{}:
		defer func() { <-h.turns }()
	case <-ctx.Done():
		return "", ctx.Err()
	}
	return HashSecret(secret)
}
