package views

import (
	"context"
	"io"
	"regexp"
	"strings"

	"github.com/a-h/templ"
)

var (
	// unitAfter is a figure with its unit as sentences have them.
	unitAfter = regexp.MustCompile(`(\d) (g/cm³|g|kg|mm/min|mm|µm/mm|µm|mL|°C/min|°C|°F|K|h|min|s|%|ppm|bar|hPa|W|V|HRC|HV\d*|days?|hours?|minutes?|months?|weeks?|years?)([\s.,;:)]|$)`)
	// dayIn is a day with what touches it: a bracket, a comma.
	dayIn = regexp.MustCompile(`[^\s/]*\d{4}-\d{2}-\d{2}[^\s/]*`)
)

// unparted keeps a figure and its unit on one line.
func unparted(text string) string {
	if !strings.ContainsRune(text, ' ') {
		return text
	}
	return unitAfter.ReplaceAllString(text, "${1}"+noBreak+"${2}${3}")
}

// whole is text whose lines never break within a day, nor between a figure and
// its unit: for the cells of tables and for facts, which are narrow.
func whole(text string) templ.Component {
	return templ.ComponentFunc(func(_ context.Context, w io.Writer) error {
		text, at := unparted(text), 0
		var b strings.Builder
		for _, day := range dayIn.FindAllStringIndex(text, -1) {
			b.WriteString(templ.EscapeString(text[at:day[0]]) + `<span class="whole">` + templ.EscapeString(text[day[0]:day[1]]) + `</span>`)
			at = day[1]
		}
		b.WriteString(templ.EscapeString(text[at:]))
		_, err := io.WriteString(w, b.String())
		return err
	})
}
