package shop

import (
	"fmt"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// An elementForm is the form of a GS1 element's value: so many digits exactly,
// then up to so many characters more, which are digits too where numeric.
type elementForm struct {
	digits, more int
	numeric      bool
}

// elementForms has the GS1 application identifiers that are read; for those of
// measures and prices see formOf. From memory of the GS1 General
// Specifications; compared with gs1-barcode-parser-mod 1.2.1.
var elementForms = map[string]elementForm{
	"00": {18, 0, true}, "01": {14, 0, true}, "02": {14, 0, true}, "03": {14, 0, true}, "10": {0, 20, false},
	"11": {6, 0, true}, "12": {6, 0, true}, "13": {6, 0, true}, "15": {6, 0, true}, "16": {6, 0, true}, "17": {6, 0, true},
	"20": {2, 0, true}, "21": {0, 20, false}, "22": {0, 20, false}, "235": {0, 28, false}, "240": {0, 30, false}, "241": {0, 30, false},
	"242": {0, 6, true}, "243": {0, 20, false}, "250": {0, 30, false}, "251": {0, 30, false}, "253": {13, 17, false}, "254": {0, 20, false},
	"255": {13, 12, true}, "30": {0, 8, true}, "37": {0, 8, true},
	"400": {0, 30, false}, "401": {0, 30, false}, "402": {17, 0, true}, "403": {0, 30, false},
	"410": {13, 0, true}, "411": {13, 0, true}, "412": {13, 0, true}, "413": {13, 0, true}, "414": {13, 0, true}, "415": {13, 0, true}, "416": {13, 0, true}, "417": {13, 0, true},
	"420": {0, 20, false}, "421": {3, 9, false}, "422": {3, 0, true}, "423": {3, 12, true}, "424": {3, 0, true}, "425": {3, 12, true}, "426": {3, 0, true}, "427": {0, 3, false},
	"7003": {10, 0, true}, "8002": {0, 20, false}, "8003": {14, 16, false}, "8004": {0, 30, false}, "8005": {6, 0, true}, "8006": {18, 0, true},
	"8007": {0, 34, false}, "8008": {8, 4, true}, "8012": {0, 20, false}, "8013": {0, 25, false}, "8017": {18, 0, true}, "8018": {18, 0, true},
	"8019": {0, 10, true}, "8020": {0, 25, false}, "8200": {0, 70, false},
	"90": {0, 30, false}, "91": {0, 90, false}, "92": {0, 90, false}, "93": {0, 90, false}, "94": {0, 90, false}, "95": {0, 90, false}, "96": {0, 90, false},
	"97": {0, 90, false}, "98": {0, 90, false}, "99": {0, 90, false},
}

// priceForms are those of amounts of money, by their first three digits.
var priceForms = map[string]elementForm{"390": {0, 15, true}, "391": {3, 15, true}, "392": {0, 15, true}, "393": {3, 15, true}, "394": {4, 0, true}, "395": {6, 0, true}}

// formOf finds the identifier with which a text begins. Measures (31 to 36) and
// prices (39) have the number of their decimals as fourth digit.
func formOf(text string) (ai string, form elementForm, ok bool) {
	for n := 2; n <= min(4, len(text)); n++ {
		if form, ok := elementForms[text[:n]]; ok {
			return text[:n], form, true
		}
	}
	if len(text) < 4 || !allDigits(text[:4]) {
		return "", elementForm{}, false
	}
	if form, ok := priceForms[text[:3]]; ok {
		return text[:4], form, true
	}
	return text[:4], elementForm{6, 0, true}, "310" <= text[:3] && text[:3] <= "369" && text[3] <= '5'
}

// An element is one GS1 element: its identifier and its value.
type element struct{ ai, value string }

// readElements reads a GS1 element string. Elements whose length is fixed
// follow one another; any other ends at a separator or the end of the text.
func readElements(text string, today Date) (MakerLabel, error) {
	l := MakerLabel{As: "GS1 elements"}
	parted := strings.Contains(text, gs)
	for rest := text; rest != ""; rest = strings.TrimLeft(rest, gs) {
		e, after, err := cutElement(rest)
		if err != nil {
			return l, err
		}
		if !parted && after == "" {
			if err := lostSeparator(l, e, today); err != nil {
				return l, err
			}
			l.doubt(e)
		}
		if err := l.take(e, today); err != nil {
			return l, err
		}
		rest = after
	}
	return l, nil
}

// bracketed is GS1 elements as they are printed under a symbol, with each
// identifier in brackets.
var bracketed = regexp.MustCompile(`^(\([0-9]{2,4}\)[^()]+)+$`)

var inBrackets = regexp.MustCompile(`\(([0-9]{2,4})\)([^()]+)`)

// readBracketed reads elements that somebody typed from under the symbol.
func readBracketed(text string, today Date) (MakerLabel, error) {
	l := MakerLabel{As: "GS1 elements in brackets"}
	for _, pair := range inBrackets.FindAllStringSubmatch(text, -1) {
		ai, _, ok := formOf(pair[1])
		if !ok || ai != pair[1] {
			return l, unread("The label has the field (%s), which is no GS1 identifier that is known here.", pair[1])
		}
		if err := l.take(element{ai, strings.TrimSpace(pair[2])}, today); err != nil {
			return l, err
		}
	}
	return l, nil
}

// cutElement takes the first element off a text. A variable one takes all up
// to the next separator: how long it may be is checked with its value.
func cutElement(text string) (e element, after string, err error) {
	ai, form, ok := formOf(text)
	if !ok {
		return e, "", unread("The label has a field that begins %q: no GS1 identifier that is known here begins so, and what follows cannot be told apart.", text[:min(len(text), 8)])
	}
	value := text[len(ai):]
	end := strings.Index(value, gs)
	if end < 0 {
		end = len(value)
	}
	if form.more == 0 {
		end = min(end, form.digits)
	}
	return element{ai, value[:end]}, value[end:], nil
}

// fits says what is wrong with the length or the characters of an element.
func (e element) fits() error {
	_, form, _ := formOf(e.ai)
	n := len(e.value)
	switch {
	case form.more == 0 && n != form.digits:
		return unread("Field %s of the label is %q: it needs %d digits. A part of the label is missing.", e.ai, e.value, form.digits)
	case n < form.digits || n == 0:
		return unread("Field %s of the label is %q: a part of it is missing.", e.ai, e.value)
	case n > form.digits+form.more:
		return unread("Field %s of the label has %d characters and may have %d: the separator after field %s is missing.", e.ai, n, form.digits+form.more, e.ai)
	case !allDigits(e.value[:form.digits]) || form.numeric && !allDigits(e.value):
		return unread("Field %s of the label is %q: it may have digits only.", e.ai, e.value)
	case strings.ContainsFunc(e.value, func(r rune) bool { return r <= ' ' || r > '~' }):
		return unread("Field %s of the label is %q: it has a character that a GS1 label cannot have.", e.ai, e.value)
	}
	return nil
}

// lostSeparator refuses a variable last field whose end reads like a field of
// its own with a true date or check digit: where no separator came at all, it
// was lost. A label that has the number like that is typed by hand.
func lostSeparator(before MakerLabel, e element, today Date) error {
	_, form, _ := formOf(e.ai)
	if form.more == 0 {
		return nil
	}
	var found []MakerLabel
	for i := 1; i < min(len(e.value), form.digits+form.more+1); i++ {
		if l, ok := before.parted(element{e.ai, e.value[:i]}, e.value[i:], today); ok {
			found = append(found, l)
		}
	}
	if len(found) == 0 {
		return nil
	}
	fault := &LabelFault{Why: fmt.Sprintf("The separator after field %s is missing: %q runs into the next field. Set the scanner to send the group separator (ASCII 29).", e.ai, e.value)}
	if len(found) == 1 {
		fault.Likely = &found[0]
	}
	return fault
}

// parted is the label as read so far, with an element and the rest as fields of
// their own; ok is false where the rest does not prove to be such.
func (l MakerLabel) parted(e element, rest string, today Date) (MakerLabel, bool) {
	next, after, err := cutElement(rest)
	if err != nil || !next.proves(today) {
		return l, false
	}
	l.Also = append([]LabelField(nil), l.Also...)
	for {
		if err := l.take(e, today); err != nil {
			return l, false
		}
		if next.ai == "" {
			return l, true
		}
		e, next = next, element{}
		if after != "" {
			if next, after, err = cutElement(after); err != nil {
				return l, false
			}
		}
	}
}

// proves reports whether an element can hardly be something else: it has a true
// date, a true check digit, or it is a measure.
func (e element) proves(today Date) bool {
	if e.fits() != nil {
		return false
	}
	switch e.ai {
	case "11", "12", "13", "15", "16", "17":
		_, ok := shortDay(e.value, today)
		return ok
	case "00", "01", "02":
		return checkDigit(e.value) == e.value[len(e.value)-1]
	}
	return len(e.ai) == 4 && e.ai[0] == '3' && e.ai < "3700"
}

// doubt notes that the last field may hold another, where nothing proves it.
func (l *MakerLabel) doubt(e element) {
	other, names := map[string]string{"10": "21", "21": "10"}[e.ai], map[string]string{"10": "lot", "21": "serial number"}
	if at := strings.Index(e.value, other); other != "" && at > 0 && at+2 < len(e.value) {
		l.Doubts = append(l.Doubts, fmt.Sprintf("No separator came with this scan. If the label shows a %s as well, it was lost: compare the %s %s with the label.", names[other], names[e.ai], e.value))
	}
}

// take checks an element and puts it where it belongs.
func (l *MakerLabel) take(e element, today Date) error {
	if err := e.fits(); err != nil {
		return err
	}
	from := "(" + e.ai + ")"
	switch e.ai {
	case "00":
		return e.checked("number of the shipping unit", func() error { return l.also("shipping unit", e.value, from) })
	case "01":
		return e.checked("article number", func() error { return l.Article.set("article", e.value, from) })
	case "02":
		return e.checked("number of the articles inside", func() error { return l.also("articles inside", e.value, from) })
	case "10":
		return l.Lot.set("lot", e.value, from)
	case "21":
		return l.Serial.set("serial number", e.value, from)
	case "11":
		return l.MadeOn.setShort("day it was made", e.value, from, today)
	case "17":
		return l.Expires.setShort("last day of use", e.value, from, today)
	case "7003": // with hour and minute behind the day
		return l.Expires.setShort("last day of use", e.value[:6], from, today)
	case "12", "13", "15", "16":
		var day LabelField
		if err := day.setShort(otherDays[e.ai], e.value, from, today); err != nil {
			return err
		}
		l.Also = append(l.Also, day)
		return nil
	case "30":
		return l.setAmount(unpadded(e.value), "pieces", from)
	}
	if unit := massUnits[e.ai[:min(3, len(e.ai))]]; unit != "" && len(e.ai) == 4 {
		return l.setAmount(decimals(e.value, int(e.ai[3]-'0')), unit, from)
	}
	return l.also(elementWord(e.ai), e.value, from)
}

// massUnits are the units of the net masses, by the first three digits of their
// identifiers. From memory.
var massUnits = map[string]string{"310": "kg", "320": "lb", "356": "troy oz", "357": "oz"}

var otherDays = map[string]string{"12": "day when payment is due", "13": "day it was packed", "15": "best before", "16": "sell by"}

// elementWord is what an element without a place here is called.
func elementWord(ai string) string {
	words := map[string]string{"20": "variant", "240": "further item number", "241": "item number of the customer", "37": "count inside", "400": "order of the customer", "250": "second serial number"}
	if word := words[ai]; word != "" {
		return word
	}
	return "field " + ai
}

// checked does what is to be done with a number whose check digit is right.
func (e element) checked(what string, do func() error) error {
	if want := checkDigit(e.value); want != e.value[len(e.value)-1] {
		return unread("The check digit of the %s %s is %c and should be %c: the label was misread. Scan it again.", what, e.value, e.value[len(e.value)-1], want)
	}
	return do()
}

// checkDigit is the GS1 mod 10 check digit that a number of digits, the check
// digit included, should end with: weights 3 and 1 from the right.
func checkDigit(number string) byte {
	sum := 0
	for i := range len(number) - 1 {
		d := int(number[i] - '0')
		if (len(number)-i)%2 == 0 {
			d *= 3
		}
		sum += d
	}
	return byte('0' + (10-sum%10)%10)
}

// setShort takes a day that is written as YYMMDD.
func (f *LabelField) setShort(what, text, from string, today Date) error {
	day, ok := shortDay(text, today)
	if !ok {
		return unread("The %s %s is %s: that is not a day of the calendar, written as 270331.", what, from, text)
	}
	return f.set(what, string(day), from)
}

// shortDay is the day YYMMDD in the century that puts its year nearest to
// today's, from 49 years back to 50 ahead; day 00 is the last of the month.
func shortDay(text string, today Date) (Date, bool) {
	now, err := time.Parse(time.DateOnly, string(today))
	n, bad := strconv.Atoi(text)
	if err != nil || bad != nil || len(text) != 6 {
		return "", false
	}
	year, month, day := n/10000, n/100%100, n%100
	year += now.Year() - now.Year()%100
	if year-now.Year() > 50 {
		year -= 100
	}
	if year-now.Year() < -49 {
		year += 100
	}
	if day == 0 && 1 <= month && month <= 12 {
		return Date(time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)), true
	}
	d := Date(fmt.Sprintf("%04d-%02d-%02d", year, month, day))
	return d, d.Valid()
}

// unpadded takes zeros off the front of a whole number.
func unpadded(text string) string {
	if text = strings.TrimLeft(text, "0"); text == "" {
		return "0"
	}
	return text
}

// decimals sets the decimal sign n places from the right.
func decimals(text string, n int) string {
	whole, part := text[:len(text)-n], text[len(text)-n:]
	if part == "" {
		return unpadded(whole)
	}
	return unpadded(whole) + "." + part
}

// readLink reads a GS1 Digital Link: identifiers and values in the path from
// the article number on, more of them in the query. It is only read, never
// opened.
func readLink(text string, today Date) (MakerLabel, error) {
	l := MakerLabel{As: "GS1 Digital Link"}
	at, err := url.Parse(text)
	if err != nil {
		return l, unread("The label is a web address that cannot be read: %s.", text)
	}
	pairs, err := pathPairs(at.EscapedPath())
	if err != nil {
		return l, err
	}
	for _, name := range strings.FieldsFunc(at.RawQuery, func(r rune) bool { return r == '&' || r == ';' }) {
		key, value, _ := strings.Cut(name, "=")
		if allDigits(key) && key != "" {
			pairs = append(pairs, [2]string{key, value})
		}
	}
	for _, p := range pairs {
		e, err := linked(p[0], p[1])
		if err == nil {
			err = l.take(e, today)
		}
		if err != nil {
			return l, err
		}
	}
	return l, nil
}

// pathPairs are the identifiers and values of a Digital Link's path.
func pathPairs(path string) ([][2]string, error) {
	parts := strings.Split(strings.Trim(path, "/"), "/")
	for i := range parts {
		if parts[i] != "01" || i+1 == len(parts) {
			continue
		}
		if (len(parts)-i)%2 != 0 {
			return nil, unread("The web address on the label ends in the middle: %s has no value.", parts[len(parts)-1])
		}
		var pairs [][2]string
		for ; i < len(parts); i += 2 {
			pairs = append(pairs, [2]string{parts[i], parts[i+1]})
		}
		return pairs, nil
	}
	return nil, unread("The label is a web address without an article number in it. It is not opened: what it leads to is not read.")
}

// linked is one identifier and value of a link; an article number may come
// without the zeros in front.
func linked(key, value string) (element, error) {
	plain, err := url.PathUnescape(value)
	ai, form, ok := formOf(key)
	switch {
	case err != nil:
		return element{}, unread("The web address on the label has %q for %s: it cannot be read.", value, key)
	case !ok || ai != key:
		return element{}, unread("The web address on the label has the field %s, which is not known here.", key)
	case key == "01" && (len(plain) == 8 || len(plain) == 12 || len(plain) == 13):
		plain = strings.Repeat("0", form.digits-len(plain)) + plain
	}
	return element{key, plain}, nil
}
