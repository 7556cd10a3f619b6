package shop

import (
	"strconv"
	"strings"
)

// wholeNumber reads a count as people type it.
func wholeNumber(text string) (int, error) { return strconv.Atoi(strings.TrimSpace(text)) }

func itoa(n int) string { return strconv.Itoa(n) }

// Listed joins words as a sentence does: "a, b and c".
func Listed(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// Article is the word before a noun that is named for the first time.
func Article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an"
	}
	return "a"
}

// FieldOf names the line of a list in an event, counted from 0, as forms name
// it: "zones.1".
func FieldOf(list string, at int) string { return list + "." + itoa(at+1) }
