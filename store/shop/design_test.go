package shop

import (
	"errors"
	"strings"
	"testing"
)

func TestVerdict(t *testing.T) {
	inch := func(text string) Reading { return MustReading(text, "in") }
	both := Characteristic{Number: "CR25.1", Kind: Length, Nominal: mm("25.4"), Lower: mm("25.35"), Upper: mm("25.45")}
	for _, tt := range []struct {
		name string
		c    Characteristic
		r    Reading
		want string
	}{
		{"inside", both, mm("25.40"), "pass"},
		{"on the upper limit", both, mm("25.45"), "pass"},
		{"on the lower limit", both, mm("25.350"), "pass"},
		{"a tenth of a micrometre above", both, mm("25.4501"), "fail"},
		{"a tenth of a micrometre below", both, mm("25.3499"), "fail"},
		{"a millionth of a micrometre above", both, mm("25.450000001"), "fail"},
		{"not rounded into its limit", both, mm("25.4549"), "fail"},
		{"1.0000 in on a limit of 25.4 mm", Characteristic{Upper: mm("25.4")}, inch("1.0000"), "pass"},
		{"1.0001 in over a limit of 25.4 mm", Characteristic{Upper: mm("25.4")}, inch("1.0001"), "fail"},
		{"25.400 mm on a limit of 1.0000 in", Characteristic{Lower: inch("1.0000")}, mm("25.400"), "pass"},
		{"25.399 mm under a limit of 1.0000 in", Characteristic{Lower: inch("1.0000")}, mm("25.399"), "fail"},
		{"3.1496 in on a limit of 79.99984 mm", Characteristic{Lower: mm("79.99984")}, inch("3.1496"), "pass"},
		{"in micrometres on a limit in mm", Characteristic{Upper: mm("0.034")}, MustReading("34", "um"), "pass"},
		{"32 °F on a limit of 0 °C", Characteristic{Lower: deg("0")}, MustReading("32", "F"), "pass"},
		{"below nought, on its limit", Characteristic{Lower: deg("-40")}, MustReading("-40", "F"), "pass"},
		{"below nought, under its limit", Characteristic{Lower: deg("-40")}, MustReading("-40.1", "F"), "fail"},
		{"no upper limit", Characteristic{Lower: mm("25")}, mm("1000"), "pass"},
		{"a limit of nought", Characteristic{Upper: mm("0")}, mm("0.001"), "fail"},
		{"no limits", Characteristic{}, mm("25.4"), ""},
	} {
		if got := tt.c.Verdict(tt.r); got != tt.want {
			t.Errorf("%s: %s is %q in %s; want %q", tt.name, tt.r, got, tt.c.Limits(), tt.want)
		}
	}
}

func TestLimits(t *testing.T) {
	for want, c := range map[string]Characteristic{
		"39.950 to 40.050 mm":    {Lower: mm("39.950"), Upper: mm("40.050")},
		"0.9990 in to 25.420 mm": {Lower: MustReading("0.9990", "in"), Upper: mm("25.420")},
		"46 HRC or more":         {Lower: MustReading("46", "HRC")},
		"0.02 mm or less":        {Upper: mm("0.02")},
		"no limits":              {},
		"0.0010 to 0.0020 in":    {Lower: MustReading("0.0010", "in"), Upper: MustReading("0.0020", "in")},
	} {
		if got := c.Limits(); got != want {
			t.Errorf("Limits = %q; want %q", got, want)
		}
	}
}

func TestJudge(t *testing.T) {
	x := Characteristic{Number: "CR40.1", Kind: Length, Nominal: mm("40"), Lower: mm("39.95"), Upper: mm("40.05")}
	hard := Characteristic{Number: "CR40.9", Kind: Hardness, Lower: MustReading("46", "HRC")}
	for _, tt := range []struct {
		name    string
		c       Characteristic
		r       Reading
		verdict string
		says    []string
	}{
		{"passes", x, mm("40.012"), "pass", nil},
		{"fails by little, and is kept", x, mm("40.061"), "fail", nil},
		{"fails by much, and is kept", x, mm("52"), "fail", nil},
		{"in inch, passes", x, MustReading("1.5750", "in"), "pass", nil},
		{"read in mm, said to be inch", x, MustReading("40.012", "in"), "", []string{"CR40.1", "40.012 in", "40 mm", "25.4", "read in millimetres?"}},
		{"read in inch, said to be mm", x, mm("1.5750"), "", []string{"CR40.1", "1.5750 mm", "read in inches?"}},
		{"nought", x, mm("0"), "", []string{"CR40.1", "more than zero"}},
		{"less than nought", x, mm("-40"), "", []string{"-40 mm", "more than zero"}},
		{"a mass for a length", x, grams("40"), "", []string{"CR40.1", "length", `"g"`}},
		{"a length for a hardness", hard, mm("48"), "", []string{"CR40.9", "hardness", `"mm"`}},
		{"hardness", hard, MustReading("45.9", "HRC"), "fail", nil},
		{"no nominal to compare with", Characteristic{Number: "CR40.7", Kind: Length, Upper: mm("0.02")}, mm("0.018"), "pass", nil},
		{"no limits", Characteristic{Number: "CR40.8", Kind: Length, Nominal: mm("40")}, mm("40.2"), "", nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			verdict, err := tt.c.Judge(tt.r)
			if verdict != tt.verdict || (err != nil) != (tt.says != nil) {
				t.Fatalf("Judge = %q, %v; want %q", verdict, err, tt.verdict)
			}
			if err == nil {
				return
			}
			no, ok := errors.AsType[*Invalid](err)
			if !ok || no.Fields["value"] == "" {
				t.Fatalf("Judge says %v; want a sentence about the value", err)
			}
			for _, word := range tt.says {
				if !strings.Contains(no.Fields["value"], word) {
					t.Errorf("%q does not name %q", no.Fields["value"], word)
				}
			}
		})
	}
}

// designRows are the questions to the gates about designs, by gate.
var designRows = map[string][]gateRow{
	DesignCurrent.Name: {
		{"in force", asIs, nil},
		{"a later one is in force", func(f *Facts) { f.Current = "C" }, []string{"I-0029", "revision B of CR40", "revision C is in force"}},
	},
}
