package shop

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Wanted is what a factor should have been, as far as it is known, and what
// else it may have been taken for.
type Wanted struct {
	Lot, Axis string
	K         Reading  // zero where nobody knows
	S         Reading  // shrinkage that K belongs to; zero where it was worked out of K
	Others    []Factor // that are in force: of other axes and other lots
}

// SlipOf names what probably happened where a factor was typed that is not the
// one wanted: a sentence, or "" where it is the one wanted or nothing fits.
// Where two things fit, both are said.
func SlipOf(typed Reading, w Wanted) string {
	if !typed.Taken() || w.K.Taken() && typed.Value() == w.K.Value() {
		return ""
	}
	if !w.K.Taken() {
		return slipByRange(typed)
	}
	said := anotherQuantity(typed, w)
	for _, more := range []string{anotherAxis(typed, w), swapped(typed, w.K), anotherLot(typed, w)} {
		switch {
		case said == "":
			said = more
		case more != "":
			said += " Or: " + more
		}
	}
	return said
}

// slipByRange knows only what factors look like: 1.10 to 1.30, from shrinkages
// of 9 to 23 %.
func slipByRange(typed Reading) string {
	least, most := 1-1/leastOversize, 1-1/mostOversize
	k := typed.Value()
	for _, r := range []struct {
		from, to, meant float64
		says            string
	}{
		{100 * least, 100 * most, 1 / (1 - k/100), "%s looks like the shrinkage in percent: the factor is 1 / (1 − s), %.4f."},
		{least, most, 1 / (1 - k), "%s looks like the shrinkage as a fraction: the factor is 1 / (1 − s), %.4f."},
		{1 - most, 1 - least, 1 / k, "%s looks like 1 − s, sintered length over green: the factor is green over sintered, %.4f."},
		{leastOversize * perInch, mostOversize * perInch, k / perInch, "%s looks like a factor times 25.4, inches taken for millimetres: the factor would be %.4f."},
		{leastOversize / perInch, mostOversize / perInch, k * perInch, "%s looks like a factor divided by 25.4, millimetres taken for inches: the factor would be %.4f."},
	} {
		if k >= r.from && k <= r.to {
			return fmt.Sprintf(r.says, typed, r.meant)
		}
	}
	return ""
}

const perInch = 25.4 // mm, by definition

// anotherQuantity finds what was worked out wrongly, or was no factor.
func anotherQuantity(typed Reading, w Wanted) string {
	k, want := typed.Value(), w.K.Value()
	s := 1 - 1/want
	unsure := half(w.K) / (want * want) // of s, by the decimals of both
	if w.S.Taken() {
		s, unsure = w.S.Value()/100, unsure+half(w.S)/100
	}
	for _, q := range []struct {
		is, by float64
		says   string
	}{
		{1 + s, unsure, "%s is 1 + s. The factor is 1 / (1 − s), which is %s."},
		{100 * s, 100 * unsure, "%s is the shrinkage in percent. The factor is 1 / (1 − s), which is %s."},
		{s, unsure, "%s is the shrinkage as a fraction. The factor is 1 / (1 − s), which is %s."},
		{1 - s, unsure, "%s is 1 − s, sintered length over green. The factor is green over sintered, which is %s."},
		{want * perInch, half(w.K) * perInch, "%s is 25.4 times the factor: inches were taken for millimetres. The factor is %s."},
		{want / perInch, half(w.K) / perInch, "%s is the factor divided by 25.4: millimetres were taken for inches. The factor is %s."},
		{want * 10, 0, "%s is the factor with its point moved. The factor is %s."},
		{want * 10000, 0, "%s is the factor without its point. The factor is %s."},
	} {
		if math.Abs(k-q.is) <= q.by+half(typed)+1e-9 {
			return fmt.Sprintf(q.says, typed, w.K)
		}
	}
	return ""
}

// anotherAxis finds the factor of the same lot along another axis.
func anotherAxis(typed Reading, w Wanted) string {
	for _, o := range w.Others {
		if o.Lot == w.Lot && o.Axis != w.Axis && o.K.Value() == typed.Value() {
			return fmt.Sprintf("%s is the factor of lot %s in %s. In %s it is %s.", typed, w.Lot, o.Axis, w.Axis, w.K)
		}
	}
	return ""
}

// anotherLot finds the factor of another lot, along the same axis rather than
// another one.
func anotherLot(typed Reading, w Wanted) string {
	found := Factor{}
	for _, o := range w.Others {
		if o.Lot != w.Lot && o.K.Value() == typed.Value() && (found.Lot == "" || o.Axis == w.Axis && found.Axis != w.Axis) {
			found = o
		}
	}
	if found.Lot == "" {
		return ""
	}
	return fmt.Sprintf("%s is the factor of lot %s in %s. That of lot %s in %s is %s.", typed, found.Lot, found.Axis, w.Lot, w.Axis, w.K)
}

// swapped finds two digits that changed places.
func swapped(typed, want Reading) string {
	a, b := digitsOf(typed, want), digitsOf(want, typed)
	var at []int
	for i := range a {
		if len(a) != len(b) || a[i] != b[i] {
			at = append(at, i)
		}
	}
	if len(at) != 2 || a[at[0]] != b[at[1]] || a[at[1]] != b[at[0]] {
		return ""
	}
	return fmt.Sprintf("%s has two digits of %s swapped.", typed, want)
}

// digitsOf are the characters of a number with as many decimals as the longer
// of two.
func digitsOf(r, other Reading) string {
	text := strings.Replace(r.Text, ",", ".", 1)
	if r.Decimals() == 0 && other.Decimals() > 0 && !strings.Contains(text, ".") {
		text += "."
	}
	return text + strings.Repeat("0", max(0, other.Decimals()-r.Decimals()))
}

// slipOfShrinkage names what was typed where a shrinkage in percent belongs;
// "" for what can be one.
func slipOfShrinkage(s Reading) string {
	switch v := s.Value(); {
	case plausibleShrinkage(v):
		return ""
	case isFraction(s):
		return fmt.Sprintf("%s is a fraction: type it in percent, as %s %%.", s.Text, strconv.FormatFloat(100*v, 'f', max(0, s.Decimals()-2), 64))
	case v >= leastOversize && v <= mostOversize:
		return fmt.Sprintf("%s is a factor k, not the shrinkage: that is 1 − 1 / k, %s %%.", s.Text, strconv.FormatFloat(100*(1-1/v), 'f', 2, 64))
	}
	return fmt.Sprintf("The shrinkage is %s: it must lie from 9.1 to 23.0 %%.", s)
}

// plausibleShrinkage reports whether a percentage is one that a factor from
// 1.10 to 1.30 belongs to.
func plausibleShrinkage(percent float64) bool {
	return percent >= 100*(1-1/leastOversize) && percent <= 100*(1-1/mostOversize)
}

// isFraction reports whether a shrinkage was typed as a fraction, not in percent.
func isFraction(s Reading) bool { return plausibleShrinkage(100 * s.Value()) }

// factorOf is 1/(1 − s) of a shrinkage in percent, to four decimals.
func factorOf(s Reading) Reading {
	return MustReading(strconv.FormatFloat(1/(1-s.Value()/100), 'f', 4, 64), "1")
}
