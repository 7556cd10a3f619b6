package shop

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// readEnvelope reads a message of ISO/IEC 15434: after its start come formats,
// each with two digits that say how its fields are written; a separator stands
// between fields and another behind each format. The end may be missing.
func readEnvelope(text string, today Date) (MakerLabel, error) {
	var l MakerLabel
	message, _, _ := strings.Cut(strings.TrimPrefix(text, "[)>"), eot)
	for _, format := range strings.Split(strings.Trim(message, rs), rs) {
		if !strings.ContainsAny(message, gs+rs) {
			return l, unread("The separators of the label did not come: the scanner, or what stands between it and this page, left them out or put something else in their place. Set the scanner to send control characters (ASCII 29, 30 and 4), or type what the label says.")
		}
		if len(format) < 2 || !allDigits(format[:2]) {
			return l, unread("The label's message has no format after its start, but %q.", format)
		}
		number, fields := format[:2], format[2:]
		if fields != "" && !strings.HasPrefix(fields, gs) {
			return l, unread("The separator after the format %s is missing. Set the scanner to send the group separator (ASCII 29).", number)
		}
		if err := l.format(number, strings.Trim(fields, gs), today); err != nil {
			return l, err
		}
	}
	return l, nil
}

// format takes the fields of one format of a message.
func (l *MakerLabel) format(number, fields string, today Date) error {
	l.As = strings.TrimPrefix(l.As+" and ISO/IEC 15434 format "+number, " and ")
	switch number {
	case "05":
		return l.elements(fields, today)
	case "06":
		return each(fields, l.dataField)
	case "12":
		return each(fields, l.textField)
	}
	return unread("The label's message has the format %s: only 05, 06 and 12 are read here.", number)
}

func each(fields string, take func(string) error) error {
	for field := range strings.SplitSeq(fields, gs) {
		if field == "" {
			continue
		}
		if bad := strings.IndexFunc(field, func(r rune) bool { return !shows(r) }); bad >= 0 {
			return unread("The label's field %q has a character that cannot be shown.", field)
		}
		if err := take(field); err != nil {
			return err
		}
	}
	return nil
}

// elements takes GS1 elements into a label that has other fields too.
func (l *MakerLabel) elements(fields string, today Date) error {
	read, err := readElements(fields, today)
	if err != nil {
		return err
	}
	for _, f := range []struct {
		to *LabelField
		is LabelField
	}{{&l.Article, read.Article}, {&l.Lot, read.Lot}, {&l.Serial, read.Serial}, {&l.MadeOn, read.MadeOn}, {&l.Expires, read.Expires}} {
		if f.is.From != "" {
			if err := f.to.set(f.is.What, f.is.Text, f.is.From); err != nil {
				return err
			}
		}
	}
	l.Also, l.Doubts = append(l.Also, read.Also...), append(l.Doubts, read.Doubts...)
	if read.Amount.From != "" {
		return l.setAmount(read.Amount.Text, read.Unit, read.Amount.From)
	}
	return nil
}

// A dataIdentifier of ANSI MH10.8.2 is up to three digits and a capital.
var dataIdentifier = regexp.MustCompile(`^([0-9]{0,3}[A-Z])(.*)$`)

// dataWords are data identifiers that are known and have no place of their own
// here. Those of T, 1T, V, 1V, 14D, 15D, 16D, 17D, 12D, 25D, 7Q, 6Q and 13Q are
// from public tables; the others from memory.
var dataWords = map[string]string{
	"T": "lot, the customer's number", "P": "item number of the customer", "2P": "revision", "K": "order of the customer", "4K": "line of the order",
	"12D": "date", "25D": "best before", "23D": "time", "13Q": "place in the shipment", "6Q": "place among its like", "4L": "country of origin",
}

// x12Units are those units of ANSI X12.3 that a mass is read in here. From memory.
var x12Units = map[string]string{"GR": "g", "KG": "kg", "LB": "lb", "OZ": "oz", "PC": "pieces", "EA": "pieces"}

// dataField takes a field with a data identifier. One that is not known is
// kept under its identifier: it hides no neighbour.
func (l *MakerLabel) dataField(field string) error {
	parts := dataIdentifier.FindStringSubmatch(field)
	if parts == nil {
		return unread("The label's field %q begins with no data identifier, which is up to three digits and a capital.", field)
	}
	from, text := parts[1], strings.TrimSpace(parts[2])
	if text == "" {
		return unread("The label's field %s has no value.", from)
	}
	switch from {
	case "1T":
		return l.Lot.set("lot", text, from)
	case "1P":
		return l.Article.set("article", text, from)
	case "S":
		return l.Serial.set("serial number", text, from)
	case "V", "1V":
		return l.setSupplier(text, from)
	case "Q", "7Q":
		return l.dataAmount(text, from)
	case "14D":
		return l.Expires.setDay("last day of use", text, from)
	case "16D":
		return l.MadeOn.setDay("day it was made", text, from)
	case "15D":
		return l.Expires.setDay("last day of use", yearFirst(text), from)
	case "17D":
		return l.MadeOn.setDay("day it was made", yearFirst(text), from)
	}
	if word := dataWords[from]; word != "" {
		return l.also(word, text, from)
	}
	return l.also("field "+from+", which is not known here", text, from)
}

// setSupplier takes the supplier's code: its own (1V) rather than the
// customer's for it (V), which may stand beside it.
func (l *MakerLabel) setSupplier(text, from string) error {
	const customers = "supplier, the customer's number"
	switch {
	case from == "V" && l.Supplier.From == "1V":
		return l.also(customers, text, from)
	case from == "1V" && l.Supplier.From == "V":
		old := l.Supplier
		l.Supplier = LabelField{}
		if err := l.also(customers, old.Text, old.From); err != nil {
			return err
		}
	}
	return l.Supplier.set("supplier", text, from)
}

// dataAmount takes a quantity; that of 7Q has a unit of two characters behind.
func (l *MakerLabel) dataAmount(text, from string) error {
	unit := ""
	if from == "7Q" {
		at := max(len(text)-2, 0)
		text, unit = text[:at], text[at:]
		if known := x12Units[unit]; known != "" {
			unit = known
		}
	}
	if !amountForm.MatchString(text) {
		return unread("The quantity (%s) is %q: that is not a number.", from, text+unit)
	}
	return l.setAmount(text, unit, from)
}

var amountForm = regexp.MustCompile(`^[0-9]+([.,][0-9]+)?$`)

// yearFirst turns DDMMYYYY round.
func yearFirst(text string) string {
	if len(text) != 8 {
		return text
	}
	return text[4:] + text[2:4] + text[:2]
}

// A textIdentifier of format 12 is three letters, a blank behind it.
var textIdentifier = regexp.MustCompile(`^([A-Z]{3}) ?(.+)$`)

// textField takes a field with a text element identifier. The identifiers are
// from memory.
func (l *MakerLabel) textField(field string) error {
	parts := textIdentifier.FindStringSubmatch(field)
	if parts == nil {
		return unread("The label's field %q begins with no text element identifier, which is three capitals.", field)
	}
	from, text := parts[1], strings.TrimSpace(parts[2])
	switch from {
	case "LOT", "LTN", "BTN":
		return l.Lot.set("lot", text, from)
	case "PNR", "PNO":
		return l.Article.set("article", text, from)
	case "SER", "SEQ":
		return l.Serial.set("serial number", text, from)
	case "MFR", "SPL":
		return l.Supplier.set("supplier", text, from)
	case "DMF":
		return l.MadeOn.setDay("day it was made", text, from)
	case "EXP":
		return l.Expires.setDay("last day of use", text, from)
	}
	return l.also("field "+from+", which is not known here", text, from)
}

// readOneField reads a text as one field with a data identifier that has a
// place here.
func readOneField(text string) (MakerLabel, bool) {
	l := MakerLabel{As: "one data identifier"}
	err := l.dataField(text)
	return l, err == nil && len(l.Also) == 0
}

// shows reports whether a character can be shown as it is.
func shows(r rune) bool { return unicode.IsPrint(r) && r != utf8.RuneError }
