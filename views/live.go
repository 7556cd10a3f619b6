package views

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"sinterbook/store/shop"
)

// toldAtMost is how long a sentence is that is told in passing, in characters.
const toldAtMost = 150

// Told says who recorded what and when, in passing: the history has the whole.
func Told(e shop.Entry, zone *time.Location) string {
	return fmt.Sprintf("%s recorded at %s: %s", orNobody(e.By), e.Entered.In(zone).Format("15:04"), Brief(Sentence(e.Event, zone), toldAtMost))
}

// orNobody is a badge; the service itself has none.
func orNobody(badge string) string {
	if badge == "" {
		return "The service"
	}
	return badge
}

// Brief cuts a sentence of more letters where it pauses, or else between words.
func Brief(sentence string, most int) string {
	if utf8.RuneCountInString(sentence) <= most {
		return sentence
	}
	start := string([]rune(sentence)[:most])
	for _, pause := range []string{",;", " "} {
		if i := strings.LastIndexAny(start, pause); i > most/2 {
			start = start[:i]
			break
		}
	}
	return strings.TrimRight(start, ",;: ") + " …"
}
