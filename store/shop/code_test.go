package shop

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
)

// checkCodes is where the known answers for ISO/IEC 7064 MOD 37,36 lie. Its
// README says where they come from: worked values that were read in public
// documentation, and values recomputed outside of this program.
const checkCodes = "../../testdata/check_codes/"

// fitsISO7064 is the acceptance test of a hybrid system as the standard states
// it, over the whole code: the last sum must leave 1. It shares nothing with
// the calculation of a check character.
func fitsISO7064(full string) bool {
	p, sum := 36, 0
	for i := range len(full) {
		sum = p + strings.IndexByte(alphabet36, full[i])
		p = (sum % 36) * 2 % 37
		if sum%36 == 0 {
			p = 36 * 2 % 37
		}
	}
	return sum%36 == 1
}

func TestCheckCharacterReference(t *testing.T) {
	seen := 0
	for _, row := range rowsOf(t, checkCodes+"check_characters.csv") {
		if row[0] != "MOD37-36" {
			continue
		}
		seen++
		if got := string(checkCharacter(row[1])); got != row[2] {
			t.Errorf("check character of %s is %s; want %s (%s)", row[1], got, row[2], row[3])
		}
		if !fitsISO7064(row[1] + row[2]) {
			t.Errorf("%s%s fails the acceptance test", row[1], row[2])
		}
	}
	for _, row := range rowsOf(t, checkCodes+"invalid_codes.csv") {
		if row[0] != "MOD37-36" {
			continue
		}
		seen++
		if last := len(row[1]) - 1; checkCharacter(row[1][:last]) == row[1][last] {
			t.Errorf("%s is taken for good; want refused", row[1])
		}
	}
	if seen != 8 {
		t.Errorf("%d known answers were tried; want 8", seen)
	}
}

// TestCheckCharacterDetection counts what the reference counted: every
// substitution and every exchange of two neighbours in three codes.
func TestCheckCharacterDetection(t *testing.T) {
	for payload, want := range detections(t) {
		full := payload + string(checkCharacter(payload))
		if full != want.Full {
			t.Errorf("%s is completed to %s; want %s", payload, full, want.Full)
		}
		substitutions, missed := 0, 0
		for i := range len(full) {
			for _, c := range alphabet36 {
				if wrong := full[:i] + string(c) + full[i+1:]; wrong != full {
					substitutions++
					missed += taken(wrong)
				}
			}
		}
		if substitutions != want.Substitutions || missed != want.Missed {
			t.Errorf("%s: %d of %d substitutions missed; want %d of %d", full, missed, substitutions, want.Missed, want.Substitutions)
		}
		swaps, missed := 0, 0
		for i := range len(full) - 1 {
			if full[i] != full[i+1] {
				swaps++
				missed += taken(full[:i] + full[i+1:i+2] + full[i:i+1] + full[i+2:])
			}
		}
		if swaps != want.Swaps || missed != want.SwapsMissed {
			t.Errorf("%s: %d of %d exchanges missed; want %d of %d", full, missed, swaps, want.SwapsMissed, want.Swaps)
		}
	}
}

func taken(full string) int {
	if last := len(full) - 1; checkCharacter(full[:last]) == full[last] {
		return 1
	}
	return 0
}

type detection struct {
	Full          string
	Substitutions int `json:"single_substitutions"`
	Missed        int `json:"single_missed"`
	Swaps         int `json:"adjacent_swaps"`
	SwapsMissed   int `json:"swaps_missed"`
}

func detections(t *testing.T) map[string]detection {
	t.Helper()
	raw, err := os.ReadFile(checkCodes + "detection.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Checks []struct {
			ID    string
			Value json.RawMessage
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	codes := map[string]detection{}
	for _, c := range file.Checks {
		if c.ID == "codes.mod37_36.detection" {
			if err := json.Unmarshal(c.Value, &codes); err != nil {
				t.Fatal(err)
			}
		}
	}
	if len(codes) != 3 {
		t.Fatalf("the reference has %d codes; want 3", len(codes))
	}
	return codes
}

func rowsOf(t *testing.T, file string) [][]string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// TestScanCodeSubstitutions: whatever one character of a label is misread as,
// the scan is refused and never opens a neighbour.
func TestScanCodeSubstitutions(t *testing.T) {
	for range 500 {
		code := string(NewScanCode())
		if got, ok := ParseScanCode(code); !ok || string(got) != code || !fitsISO7064(code) {
			t.Fatalf("new code %s is read as %s, %v", code, got, ok)
		}
		if strings.ContainsAny(code, "IOQZ") || len(code) != 10 {
			t.Errorf("new code %s has a letter that is left out, or not ten characters", code)
		}
		for i := range len(code) {
			for _, c := range codeAlphabet {
				if wrong := code[:i] + string(c) + code[i+1:]; wrong != code {
					if got, ok := ParseScanCode(wrong); ok {
						t.Errorf("%s misread as %s opens %s; want refused", code, wrong, got)
					}
				}
			}
		}
	}
}

// TestScanCodeWrongKeyboard: a scanner set to QWERTY on a computer set to
// QWERTZ exchanges Y and Z; on AZERTY it exchanges A and Q, and W and Z.
func TestScanCodeWrongKeyboard(t *testing.T) {
	layouts := map[string]*strings.Replacer{
		"QWERTZ": strings.NewReplacer("Y", "Z", "Z", "Y"),
		"AZERTY": strings.NewReplacer("A", "Q", "Q", "A", "W", "Z", "Z", "W"),
		"AZERTY digits": strings.NewReplacer("1", "&", "2", "é", "3", "\"", "4", "'", "5", "(",
			"6", "-", "7", "è", "8", "_", "9", "ç", "0", "à"),
	}
	changed := map[string]int{}
	for range 500 {
		code := string(NewScanCode())
		for name, layout := range layouts {
			arrives := layout.Replace(code)
			if arrives == code {
				continue
			}
			changed[name]++
			if got, ok := ParseScanCode(arrives); ok {
				t.Errorf("%s: %s arrives as %s and opens %s; want refused", name, code, arrives, got)
			}
		}
	}
	for name := range layouts {
		if changed[name] == 0 {
			t.Errorf("%s changed none of the codes: nothing was tried", name)
		}
	}
}

func TestParseScanCode(t *testing.T) {
	const code = "10ABCDEF9" // with 1 and 0, for which I and O are typed
	full := code + string(checkCharacter(code))
	if !slices.Contains([]byte(codeAlphabet), full[9]) {
		t.Fatalf("%s cannot be issued: choose another", full)
	}
	for _, tt := range []struct {
		name, text string
		ok         bool
	}{
		{"as printed", full, true},
		{"in two groups", ScanCode(full).Grouped(), true},
		{"lower case", strings.ToLower(full), true},
		{"spaces around", "  " + full + " ", true},
		{"a hyphen in the middle", full[:5] + "-" + full[5:], true},
		{"I typed for 1", "I" + full[1:], true},
		{"small i typed for 1", "i" + full[1:], true},
		{"O typed for 0", full[:1] + "O" + full[2:], true},
		{"both", "IO" + full[2:], true},
		{"two neighbours exchanged", "01" + full[2:], false},
		{"a character short", full[:9], false},
		{"a character long", full + "0", false},
		{"nothing", "", false},
		{"only spaces", strings.Repeat(" ", 10), false},
		{"Q, which no code has", "Q" + full[1:], false},
		{"Z, which no code has", "Z" + full[1:], false},
		{"digits of another script", "１" + full[1:], false},
		{"a shop number", "I-0029", false},
		{"a web address", "https://x/", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, ok := ParseScanCode(tt.text)
			if ok != tt.ok || ok && string(got) != full {
				t.Errorf("ParseScanCode(%q) = %s, %v; want %s, %v", tt.text, got, ok, full, tt.ok)
			}
		})
	}
}

func TestLooksLikeScanCode(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		want       bool
	}{
		{"one character wrong", "10ABCDEF9Z", true},
		{"in two groups, lower case", "10abc def9z", true},
		{"a shop number", "I-0029", false},
		{"a lot that is ten long with a point", "L2509.A/03", false},
		{"nothing", "", false},
	} {
		if got := LooksLikeScanCode(tt.text); got != tt.want {
			t.Errorf("%s: LooksLikeScanCode(%q) = %v; want %v", tt.name, tt.text, got, tt.want)
		}
	}
}

// FuzzParseScanCode: what is taken is a code of ours in its one spelling.
func FuzzParseScanCode(f *testing.F) {
	for _, seed := range []string{"", "10ABC DEF9X", "io-abc-def9x", "0000000000", "I-0029", "ſ123456789", "\xff\xfe2345678", "１２３４５６７８９０"} {
		f.Add(seed)
	}
	f.Add(string(NewScanCode()))
	f.Fuzz(func(t *testing.T, text string) {
		code, ok := ParseScanCode(text)
		if !ok {
			return
		}
		if len(code) != 10 || strings.Trim(string(code), codeAlphabet) != "" || !fitsISO7064(string(code)) {
			t.Errorf("%q is taken for %q, which is not a code of ours", text, code)
		}
		if again, ok := ParseScanCode(code.Grouped()); !ok || again != code {
			t.Errorf("%q printed as %q is read back as %q, %v", code, code.Grouped(), again, ok)
		}
	})
}
