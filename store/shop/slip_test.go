package shop

import (
	"strings"
	"testing"
)

// TestSlips: what was typed for a factor of 1.2011 (s = 16.74 %) of lot L2509-B
// in X, whose Z is 1.2171, beside other lots. The numbers are worked by hand
// from k = 1/(1 − s).
func TestSlips(t *testing.T) {
	others := append(factorsOf("L2509-B", "1.2011", "1.2011", "1.2171"), factorsOf("L2508-A", "1.2019", "1.2020", "1.2180")...)
	others = append(others, Factor{Seq: 9, Lot: "L2512-A", Axis: "Y", K: times("1.2101")}, Factor{Seq: 10, Lot: "L2513-A", Axis: "X", K: times("1.2117")})
	wanted := Wanted{Lot: "L2509-B", Axis: "X", K: times("1.2011"), S: MustReading("16.74", "%"), Others: others}
	for _, tt := range []struct {
		name, typed string
		says        []string // none where it is no slip
	}{
		{"the one wanted", "1.2011", nil},
		{"the one wanted, with a zero more", "1.20110", nil},
		{"with a decimal comma", "1,2011", nil},
		{"close by", "1.2014", nil},
		{"neighbouring digits swapped, which another lot has", "1.2101", []string{"1.2101 has two digits of 1.2011 swapped.", "Or: 1.2101 is the factor of lot L2512-A in Y."}},
		{"digits further apart swapped", "1.1021", []string{"two digits of 1.2011 swapped"}},
		{"swapped, with a zero more", "1.20101", []string{"two digits of 1.2011 swapped"}},
		{"1 + s", "1.1674", []string{"1.1674 is 1 + s.", "1 / (1 − s), which is 1.2011"}},
		{"1 + s to three decimals", "1.167", []string{"1 + s"}},
		{"s in percent", "16.74", []string{"16.74 is the shrinkage in percent.", "1.2011"}},
		{"s as a fraction", "0.1674", []string{"0.1674 is the shrinkage as a fraction.", "1.2011"}},
		{"1 − s", "0.8326", []string{"0.8326 is 1 − s", "green over sintered, which is 1.2011"}},
		{"inches for millimetres", "30.508", []string{"25.4 times", "1.2011"}},
		{"millimetres for inches", "0.04729", []string{"divided by 25.4", "1.2011"}},
		{"the point moved", "12.011", []string{"point moved"}},
		{"the point forgotten", "12011", []string{"without its point"}},
		{"another axis", "1.2171", []string{"1.2171 is the factor of lot L2509-B in Z. In X it is 1.2011."}},
		{"another lot", "1.2019", []string{"1.2019 is the factor of lot L2508-A in X. That of lot L2509-B in X is 1.2011."}},
		{"another lot along another axis", "1.2180", []string{"1.2180 is the factor of lot L2508-A in Z."}},
		{"nothing that fits", "1.2345", nil},
	} {
		t.Run(tt.name, func(t *testing.T) { says(t, SlipOf(times(tt.typed), wanted), tt.says) })
	}
}

// TestSlipsWhereNothingIsKnown: only by what factors look like.
func TestSlipsWhereNothingIsKnown(t *testing.T) {
	for typed, want := range map[string][]string{
		"1.2011": nil, "1.10": nil, "1.30": nil, "1.0500": nil, "2": nil,
		"16.74": {"in percent", "1.2011"}, "0.1674": {"as a fraction", "1.2011"}, "0.8326": {"1 − s", "1.2011"}, "30.508": {"times 25.4", "1.2011"}, "0.047287": {"divided by 25.4", "1.2011"},
	} {
		says(t, SlipOf(times(typed), Wanted{}), want)
	}
	for typed, want := range map[string][]string{
		"16.74": nil, "9.10": nil, "23.00": nil, "0.1674": {"type it in percent, as 16.74 %"}, "1.2011": {"is a factor k", "16.74 %"}, "83.26": {"from 9.1 to 23.0 %"}, "8": {"from 9.1 to 23.0 %"},
	} {
		says(t, slipOfShrinkage(MustReading(typed, "%")), want)
	}
}

// says checks that a text has some words, or that it is empty where none are
// wanted.
func says(t *testing.T, got string, want []string) {
	t.Helper()
	if want == nil && got != "" {
		t.Errorf("it says %q; want nothing", got)
	}
	for _, w := range want {
		if !strings.Contains(got, w) {
			t.Errorf("%q does not say %q", got, w)
		}
	}
	if got != "" {
		whole(t, got)
	}
}
