package shop

import (
	"fmt"
	"reflect"
	"strings"
	"unicode"
)

// itsKind is the quantity of a reading that the drawing decides: such a one is
// judged with its characteristic.
const itsKind = "its kind"

// Check says, as an *Invalid, everything that is malformed about an event by
// itself: what its own Valid says, a reading in a unit of another quantity, and
// text with characters that no label and no database keeps.
func Check(e Event) error {
	f := Fields{}
	if err := f.Take(e.Valid()); err != nil {
		return err
	}
	f.check(reflect.ValueOf(e), "")
	return f.Err()
}

var typeOfReading = reflect.TypeFor[Reading]()

// check looks at every field that goes into the log. What is wrong deep in a
// list is said about the list's line.
func (f Fields) check(v reflect.Value, field string) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			t := v.Type().Field(i)
			name, _, _ := strings.Cut(t.Tag.Get("json"), ",")
			if name == "" || name == "-" {
				continue
			}
			if field != "" {
				name = field
			}
			if t.Type == typeOfReading {
				f.measures(name, v.Field(i).Interface().(Reading), t.Tag.Get("quantity"))
			} else {
				f.check(v.Field(i), name)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			f.check(v.Index(i), fmt.Sprintf("%s.%d", field, i+1))
		}
	case reflect.String:
		f.Printable(field, v.String())
	}
}

// measures refuses a reading in a unit of something else.
func (f Fields) measures(field string, r Reading, quantity string) {
	if q := Quantity(quantity); r.Taken() && quantity != itsKind && units[r.Unit].quantity != q {
		f.Say(field, "%s is not a %s: its unit must be %s.", r, q, oneOf(q))
	}
}

// Printable refuses what cannot be shown: control characters other than new
// lines and tabs, and bytes that are no text.
func (f Fields) Printable(field, text string) {
	for _, r := range text {
		if unicode.IsControl(r) && !strings.ContainsRune("\n\r\t", r) || r == unicode.ReplacementChar {
			f.Say(field, "%q has a character that cannot be shown: type it again.", text)
			return
		}
	}
}
