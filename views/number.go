package views

import (
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

const (
	minus    = "\u2212"
	thin     = "\u202f" // between thousands; does not break
	noBreak  = "\u00a0"
	notKnown = "not known"
)

// Number writes v with a fixed number of decimals, a true minus and thin
// spaces between thousands. What rounds to nought has no sign. NaN and
// infinity are "not known".
func Number(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return notKnown
	}
	digits := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, fraction, _ := strings.Cut(digits, ".")
	text := grouped(whole)
	if decimals > 0 {
		text += "." + fraction
	}
	if v < 0 && strings.Trim(digits, "0.") != "" {
		text = minus + text
	}
	return text
}

// Whole writes a count.
func Whole(n int) string { return Number(float64(n), 0) }

// Micron writes a length given in mm as whole micrometres, without the unit.
func Micron(mm float64) string { return Number(mm*1000, 0) }

// Grams writes a mass given in g to a tenth of a gram, without the unit.
func Grams(g float64) string { return Number(g, 1) }

// WithUnit sets a unit behind a figure so that no line breaks between them.
func WithUnit(figure, unit string) string {
	if unit == "" {
		return figure
	}
	return figure + noBreak + unit
}

// Stamp writes an instant in the shop's zone, to the minute.
func Stamp(t time.Time, zone *time.Location) string {
	return t.In(zone).Format("2006-01-02 15:04")
}

// Aligned pads figures at the right so that in a column their decimal points
// stand one below the other. The figures keep the decimals they have.
func Aligned(figures []string) []string {
	longest := 0
	for _, f := range figures {
		longest = max(longest, afterPoint(f))
	}
	padded := make([]string, len(figures))
	for i, f := range figures {
		padded[i] = f + strings.Repeat(noBreak, longest-afterPoint(f))
	}
	return padded
}

// afterPoint counts the point and what follows it.
func afterPoint(figure string) int {
	if i := strings.IndexAny(figure, ".,"); i >= 0 { // as it was typed
		return utf8.RuneCountInString(figure[i:])
	}
	return 0
}

// grouped sets thin spaces into a run of digits, counted from the right.
func grouped(digits string) string {
	var b strings.Builder
	for i, d := range digits {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteString(thin)
		}
		b.WriteRune(d)
	}
	return b.String()
}

// Day writes the day of a moment in a zone.
func Day(t time.Time, zone *time.Location) string { return t.In(zone).Format(time.DateOnly) }

// dayIf is Day, or nothing where the moment is not known.
func dayIf(t time.Time, zone *time.Location) string {
	if t.IsZero() {
		return ""
	}
	return Day(t, zone)
}
