package shop

import (
	"slices"
	"testing"
	"unicode/utf8"
)

func TestUnwrapped(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ name, raw, text, aim string }{
		{"as it is", "0004711", "0004711", ""},
		{"carriage return", "0004711\r", "0004711", ""},
		{"both line ends", "0004711\r\n", "0004711", ""},
		{"Code 39", "*0004711*\r", "0004711", ""},
		{"start and end of text", "\x020004711\x03\r\n", "0004711", ""},
		{"pictures of start and end of text", "␂0004711␃␍", "0004711", ""},
		{"AIM prefix and tab", "]C00004711\t", "0004711", "]C0"},
		{"AIM prefix after a start of text", "\x02]A00004711\x03", "0004711", "]A0"},
		{"AIM prefix and Code 39", "]A0*0004711*", "0004711", "]A0"},
		{"AIM prefix alone", "]C1\r", "", "]C1"},
		{"spaces", "  0004711 \r", "0004711", ""},
		{"a space inside", " A7K3 Q0042\r", "A7K3 Q0042", ""},
		{"two scans run together keep their line end", "0004711\r0004712\r", "0004711\r0004712", ""},
		{"a separator stays", "]d210A20\x1d17270331\r", "10A20\x1d17270331", "]d2"},
		{"the end of an envelope stays", "[)>\x1e06\x1d1TA20\x1e\x04\r", "[)>\x1e06\x1d1TA20\x1e\x04", ""},
		{"one asterisk is the label's", "*0004711", "*0004711", ""},
		{"two asterisks are no label", "**", "**", ""},
		{"half a prefix", "]C", "]C", ""},
		{"a bracket that starts no prefix", "]-1", "]-1", ""},
		{"nothing", "\r", "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if text, aim := Unwrapped(tt.raw); text != tt.text || aim != tt.aim {
				t.Errorf("Unwrapped(%q) = %q, %q; want %q, %q", tt.raw, text, aim, tt.text, tt.aim)
			}
		})
	}
}

func TestOtherKeyboard(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name, arrives, label string
	}{
		{"French digits and hyphen", `GQ"&è)_`, "GA317-8"},
		{"French AIM prefix", "$C&àààà'è&&", "]C100004711"},
		{"French envelope", "^0/", "[)>"},
		{"German hyphen and Y", "ZA317ß8", "YA317-8"},
		{"German link", "HTTPSÖ--HOST-T-A7K3", "HTTPS://HOST/T/A7K3"},
		{"Swiss French hyphen", "GA317'8", "GA317-8"},
		{"Belgian 6 and 8", `L§!`, "L68"},
		{"separators are no keys", "'\x1d'", "4\x1d4"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := OtherKeyboard(tt.arrives); !slices.Contains(got, tt.label) {
				t.Errorf("OtherKeyboard(%q) = %q; want %q among them", tt.arrives, got, tt.label)
			}
		})
	}
	for _, text := range []string{"0004711漢", ""} {
		if got := OtherKeyboard(text); len(got) != 0 {
			t.Errorf("OtherKeyboard(%q) = %q; want none", text, got)
		}
	}
}

// TestEveryKeyComesBack: whatever a US label holds, pressed on each keyboard,
// is among the answers, unless two keys of it give the same.
func TestEveryKeyComesBack(t *testing.T) {
	t.Parallel()
	for i, k := range keyboards {
		if got, want := utf8.RuneCountInString(k.keys+k.shifted), len(usKeys.keys+usKeys.shifted); got != want {
			t.Fatalf("keyboard %d has %d keys; want %d", i, got, want)
		}
		for _, pair := range [][2]string{{k.keys, usKeys.keys}, {k.shifted, usKeys.shifted}} {
			us := []rune(pair[1])
			for j, r := range []rune(pair[0]) {
				if label, ok := k.label(string(r)); r != ' ' && (!ok || label != string(us[j])) {
					t.Errorf("keyboard %d gives %c for %c and gets %q back", i, r, us[j], label)
				}
			}
		}
	}
}

func TestForeignKeys(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]bool{
		`GQ"&è)_`:           true,
		`Q"&`:               true,
		"L2509ßA":           true,
		"HTTPSÖ--HOST":      true,
		"GA317-8":           false,
		"GQ":                false,
		"L2509-A/03":        false,
		"PO_AB-C":           false,
		"A&B 12":            false,
		"10A20␝17270331":    false,
		"[)>\x1e06\x1d1TA2": false,
		"":                  false,
	} {
		if got := ForeignKeys(text); got != want {
			t.Errorf("ForeignKeys(%q) = %v; want %v", text, got, want)
		}
	}
}
