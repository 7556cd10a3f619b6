package shop

import "testing"

// Every card has a good scan code of its own that no card shares, and is known
// by code and by word.
func TestCards(t *testing.T) {
	seen := map[ScanCode]string{}
	for _, c := range Cards {
		if got, ok := ParseScanCode(string(c.Code)); !ok || got != c.Code {
			t.Errorf("%s: %q is not a scan code", c.Word, c.Code)
		}
		if other := seen[c.Code]; other != "" {
			t.Errorf("%s and %s have one code", c.Word, other)
		}
		seen[c.Code] = c.Word
		if got, ok := CardOf(c.Code); !ok || got.Name != c.Name {
			t.Errorf("code %s is the card %q; want %q", c.Code, got.Name, c.Name)
		}
		if got, ok := CardNamed(c.Word); !ok || got.Name != c.Name {
			t.Errorf("word %s is the card %q; want %q", c.Word, got.Name, c.Name)
		}
	}
	for _, word := range []string{"", "BEGIN", "0000START0X"} {
		if c, ok := CardNamed(word); ok {
			t.Errorf("%q is the card %q; want none", word, c.Name)
		}
	}
}
