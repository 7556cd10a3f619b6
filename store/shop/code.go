package shop

import (
	"crypto/rand"
	"fmt"
	"strings"
)

// A ScanCode is the ten-character name of a thing on its label: nine
// characters and an ISO/IEC 7064 MOD 37,36 check character. The alphabet
// leaves out I, O, Q and Z, and codes whose check character would be one of
// them are never issued: so that at most one letter of each pair that a wrong
// keyboard layout swaps is in use, and a swapped scan is refused.
type ScanCode string

const (
	alphabet36   = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	codeAlphabet = "0123456789ABCDEFGHJKLMNPRSTUVWXY"
	codeLength   = 10
)

// NewScanCode makes a code at random; whoever records it checks that it is new.
func NewScanCode() ScanCode {
	for {
		raw := make([]byte, codeLength-1)
		rand.Read(raw) // never fails: crypto/rand.Read ends the program instead
		for i, b := range raw {
			raw[i] = codeAlphabet[int(b)%len(codeAlphabet)]
		}
		if c := checkCharacter(string(raw)); strings.IndexByte(codeAlphabet, c) >= 0 {
			return ScanCode(string(raw) + string(c))
		}
	}
}

// checkCharacter is the MOD 37,36 hybrid system of ISO/IEC 7064 over
// characters 0-9 and A-Z.
func checkCharacter(payload string) byte {
	p := 36
	for i := range len(payload) {
		p = (p + strings.IndexByte(alphabet36, payload[i])) % 36
		if p == 0 {
			p = 36
		}
		p = 2 * p % 37
	}
	return alphabet36[(37-p)%36]
}

// ParseScanCode reads a code as scanned or typed: case is folded, spaces and
// hyphens dropped, I and O taken for 1 and 0. ok is false when it is not a
// code of ours or a character is wrong.
func ParseScanCode(text string) (code ScanCode, ok bool) {
	folded := strings.NewReplacer(" ", "", "-", "", "I", "1", "O", "0").Replace(strings.ToUpper(text))
	if len(folded) != codeLength {
		return "", false
	}
	for i := range len(folded) {
		if strings.IndexByte(codeAlphabet, folded[i]) < 0 {
			return "", false
		}
	}
	return ScanCode(folded), checkCharacter(folded[:codeLength-1]) == folded[codeLength-1]
}

// LooksLikeScanCode reports whether the text has the shape of a code of ours,
// so that one with a wrong character can be called damaged, not unknown.
func LooksLikeScanCode(text string) bool {
	folded := strings.NewReplacer(" ", "", "-", "").Replace(strings.ToUpper(text))
	if len(folded) != codeLength {
		return false
	}
	return strings.Trim(folded, alphabet36) == ""
}

// Grouped is the code as it is printed, in two groups.
func (c ScanCode) Grouped() string {
	if len(c) != codeLength {
		return string(c)
	}
	return fmt.Sprintf("%s %s", c[:5], c[5:])
}

// needCode says what is wrong with a new thing's scan code.
func needCode(f Fields, c ScanCode) {
	if got, ok := ParseScanCode(string(c)); !ok || got != c {
		f.Say("code", "The scan code %q is not one of ours: its check character does not fit.", c)
	}
}
