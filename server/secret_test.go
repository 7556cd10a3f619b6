package server

import (
	"strings"
	"testing"

	"sinterbook/store/shop"
)

// The reference program of the Argon2 authors gives this for the password
// "password", salt "somesalt", two passes, 65536 KiB, one lane
// (github.com/P-H-C/phc-winner-argon2, test.c).
const referenceHash = "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"

func TestMatches(t *testing.T) {
	own, err := HashSecret("a secret")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		secret, phc string
		want, fails bool
	}{
		{"password", referenceHash, true, false}, {"passwore", referenceHash, false, false},
		{"a secret", own, true, false}, {"A secret", own, false, false}, {"", own, false, false},
		{"a secret", "plain", false, true}, {"a secret", strings.Replace(own, "argon2id", "argon2i", 1), false, true},
		{"a secret", strings.Replace(own, "m=19456", "m=9999999", 1), false, true}, {"a secret", strings.Replace(own, "t=2", "t=0", 1), false, true},
	} {
		got, err := matches(c.secret, c.phc)
		if got != c.want || (err != nil) != c.fails {
			t.Errorf("matches(%q, %q) = %v, %v; want %v, fails %v", c.secret, c.phc, got, err, c.want, c.fails)
		}
	}
	if _, err := HashSecret(""); err == nil {
		t.Error("an empty secret was hashed")
	}
}

func TestSayPIN(t *testing.T) {
	for pin, good := range map[string]bool{
		"480913": true, "12345": false, "123456": false, "987654": false, "111111": false, "48a913": false, "4809130000001": false, "960117": false, "135791": true,
	} {
		said := shop.Fields{}
		sayPIN(said, pin, "601")
		if (len(said) == 0) != good {
			t.Errorf("PIN %s: %v", pin, said)
		}
	}
}
