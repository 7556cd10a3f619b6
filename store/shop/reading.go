package shop

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/big"
	"strings"
	"unicode"
)

// A Quantity is what a reading is a measure of.
type Quantity string

// The quantities the shop writes down, with their base units.
const (
	Length      Quantity = "length"                 // mm
	Volume      Quantity = "volume"                 // mm³
	Mass        Quantity = "mass"                   // g
	Temperature Quantity = "temperature"            // °C
	Duration    Quantity = "time"                   // s
	Percentage  Quantity = "percentage"             // %
	Hardness    Quantity = "hardness"               // HRC
	Density     Quantity = "density"                // g/cm³
	Flow        Quantity = "flow"                   // l/min
	Pressure    Quantity = "pressure"               // mbar
	Ratio       Quantity = "factor"                 // 1
	Difference  Quantity = "temperature difference" // K, which is a step of one °C
)

// Quantities lists what a characteristic can be a measure of.
var Quantities = []Quantity{Length, Hardness, Density, Mass, Percentage, Temperature, Duration, Flow, Pressure}

// A unit is scale·x + offset in the base unit of its quantity.
type unit struct {
	quantity Quantity
	scale    *big.Rat
	offset   *big.Rat
}

func ratio(a, b int64) *big.Rat { return big.NewRat(a, b) }

// units are exact by definition: the inch is 25.4 mm (international yard and
// pound agreement of 1959, ISO 80000-3), the bar is 100 kPa (ISO 80000-4).
var units = map[string]unit{
	"mm":    {Length, ratio(1, 1), nil},
	"in":    {Length, ratio(254, 10), nil},
	"um":    {Length, ratio(1, 1000), nil},
	"mm3":   {Volume, ratio(1, 1), nil},
	"cm3":   {Volume, ratio(1000, 1), nil},
	"in3":   {Volume, ratio(16387064, 1000), nil},
	"g":     {Mass, ratio(1, 1), nil},
	"kg":    {Mass, ratio(1000, 1), nil},
	"C":     {Temperature, ratio(1, 1), nil},
	"F":     {Temperature, ratio(5, 9), ratio(-160, 9)},
	"K":     {Difference, ratio(1, 1), nil},
	"dF":    {Difference, ratio(5, 9), nil},
	"s":     {Duration, ratio(1, 1), nil},
	"min":   {Duration, ratio(60, 1), nil},
	"h":     {Duration, ratio(3600, 1), nil},
	"%":     {Percentage, ratio(1, 1), nil},
	"l/min": {Flow, ratio(1, 1), nil},
	"l/h":   {Flow, ratio(1, 60), nil},
	"mbar":  {Pressure, ratio(1, 1), nil},
	"bar":   {Pressure, ratio(1000, 1), nil},
	"kPa":   {Pressure, ratio(10, 1), nil},
	"HRC":   {Hardness, ratio(1, 1), nil},
	"g/cm3": {Density, ratio(1, 1), nil},
	"1":     {Ratio, ratio(1, 1), nil},
}

// UnitsOf lists the units in which a quantity may be typed, base unit first.
func UnitsOf(q Quantity) []string {
	switch q {
	case Length:
		return []string{"mm", "in", "um"}
	case Volume:
		return []string{"mm3", "cm3", "in3"}
	case Mass:
		return []string{"g", "kg"}
	case Temperature:
		return []string{"C", "F"}
	case Duration:
		return []string{"s", "min", "h"}
	case Percentage:
		return []string{"%"}
	case Flow:
		return []string{"l/min", "l/h"}
	case Pressure:
		return []string{"mbar", "bar", "kPa"}
	case Hardness:
		return []string{"HRC"}
	case Density:
		return []string{"g/cm3"}
	case Ratio:
		return []string{"1"}
	case Difference:
		return []string{"K", "dF"}
	}
	return nil
}

// QuantityOf is what a unit measures, "" for a unit that is not known.
func QuantityOf(unit string) Quantity { return units[unit].quantity }

// UnitWord is the unit as people write it.
func UnitWord(unit string) string {
	switch unit {
	case "um":
		return "µm"
	case "C", "K": // people say degrees for both, and a field tells which is meant
		return "°C"
	case "F", "dF":
		return "°F"
	case "mm3", "cm3", "in3":
		return strings.Replace(unit, "3", "³", 1)
	case "g/cm3":
		return "g/cm³"
	case "1":
		return ""
	}
	return unit
}

// A Reading is a number as somebody typed it, with its unit. The text is never
// rounded or rewritten; Value is the same number in the base unit.
// The zero Reading means "not measured".
type Reading struct {
	Text string
	Unit string

	base float64
}

// Taken reports whether there is a reading at all.
func (r Reading) Taken() bool { return r.Text != "" }

// Value is the number in the base unit of its quantity: mm, g, °C, s, %.
func (r Reading) Value() float64 { return r.base }

// Decimals is the number of digits typed behind the decimal sign: the
// resolution in which the reading was taken.
func (r Reading) Decimals() int {
	if i := strings.IndexAny(r.Text, ".,"); i >= 0 {
		return len(r.Text) - i - 1
	}
	return 0
}

func (r Reading) String() string {
	if !r.Taken() {
		return "not measured"
	}
	if w := UnitWord(r.Unit); w != "" {
		return r.Text + " " + w
	}
	return r.Text
}

type readingJSON struct {
	Text string `json:"text"`
	Unit string `json:"unit"`
}

// MarshalJSON writes the text and the unit; a reading not taken is null.
func (r Reading) MarshalJSON() ([]byte, error) {
	if !r.Taken() {
		return []byte("null"), nil
	}
	return json.Marshal(readingJSON{r.Text, r.Unit})
}

// UnmarshalJSON reads what MarshalJSON wrote and refuses anything that
// ParseReading would.
func (r *Reading) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*r = Reading{}
		return nil
	}
	var raw readingJSON
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields() // the decoder of the event does not reach in here
	if err := d.Decode(&raw); err != nil {
		return err
	}
	read, err := ReadingOf(raw.Text, raw.Unit)
	if err != nil {
		return err
	}
	if read.Text != raw.Text {
		return fmt.Errorf("shop: reading %q has spaces around it", raw.Text)
	}
	*r = read
	return nil
}

// ParseReading understands a number as people type it: a sign, digits, and a
// decimal point or comma. Marks between thousands, exponents, and words like
// NaN are refused, since each has been misread before. Text without digits,
// and a unit that does not measure q, are refused too. The error is a plain
// sentence about the text, without the field's name.
func ParseReading(text, unitName string, q Quantity) (Reading, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return Reading{}, sentence("A %s is missing.", q)
	}
	if unitName == "" {
		return Reading{}, sentence("The unit is missing: choose %s.", oneOf(q))
	}
	u, ok := units[unitName]
	if !ok || u.quantity != q {
		return Reading{}, sentence("%q is not a unit of %s: choose %s.", unitName, q, oneOf(q))
	}
	plain, err := plainNumber(text)
	if err != nil {
		return Reading{}, err
	}
	exact, ok := new(big.Rat).SetString(plain)
	if !ok {
		return Reading{}, sentence("%q is not a number: type it like 12.70.", text)
	}
	exact.Mul(exact, u.scale)
	if u.offset != nil {
		exact.Add(exact, u.offset)
	}
	base, _ := exact.Float64()
	return Reading{Text: text, Unit: unitName, base: base}, nil
}

// MustReading is ParseReading for constants in tests and demo tables.
func MustReading(text, unitName string) Reading {
	r, err := ParseReading(text, unitName, units[unitName].quantity)
	if err != nil {
		panic(err)
	}
	return r
}

// plainNumber turns typed text into [-]digits[.digits], or says what is wrong.
func plainNumber(text string) (string, error) {
	body := strings.TrimLeft(text, "+-−")
	if len(text)-len(body) > len("−") || strings.Count(text, "-")+strings.Count(text, "+")+strings.Count(text, "−") > 1 {
		return "", sentence("%q is not a number: type it like 12.70.", text)
	}
	if len(body) > 20 {
		return "", sentence("%q has more digits than any gauge of ours shows.", text)
	}
	points := 0
	for _, c := range body {
		switch {
		case c >= '0' && c <= '9':
		case c == '.' || c == ',':
			points++
		case c == '\'' || c == '’' || c == '_' || unicode.IsSpace(c):
			return "", sentence("%q has a mark between its digits: type the number without thousands marks.", text)
		default:
			return "", sentence("%q is not a number: type it like 12.70.", text)
		}
	}
	if points > 1 {
		return "", sentence("%q has more than one decimal sign: type the number without thousands marks.", text)
	}
	whole, part, _ := strings.Cut(strings.Replace(body, ",", ".", 1), ".")
	if whole == "" || points == 1 && part == "" {
		return "", sentence("%q is not a whole number or a decimal: type digits on both sides of the decimal sign.", text)
	}
	plain := whole
	if points == 1 {
		plain += "." + part
	}
	if strings.HasPrefix(text, "-") || strings.HasPrefix(text, "−") {
		plain = "-" + plain
	}
	return plain, nil
}

func oneOf(q Quantity) string {
	var words []string
	for _, u := range UnitsOf(q) {
		words = append(words, cmpOr(UnitWord(u), u))
	}
	return strings.Join(words, ", ")
}

// inch is the factor by which a length is off when its unit was mistaken.
const inch = 25.4

// UnitSlip reports whether a length is off its nominal by about the factor
// between inch and millimetre, in either direction, and names the unit that
// was probably meant. It returns "" where the value is plausible or the
// nominal is not a length to compare with.
func UnitSlip(value, nominal float64) string {
	near := func(x float64) bool { return x > 0.9*nominal && x < 1.1*nominal }
	switch {
	case nominal <= 0:
		return ""
	case near(value / inch):
		return "mm"
	case near(value * inch):
		return "in"
	}
	return ""
}

// meantWord is a unit as it is asked for in a sentence.
var meantWord = map[string]string{"mm": "millimetres", "in": "inches"}

// sentence is an error whose text is meant for a person.
func sentence(format string, args ...any) error {
	return &Refusal{Kind: ErrInvalid, Why: fmt.Sprintf(format, args...)}
}

// Read takes a reading from typed text; what is wrong is said about the field.
// Empty text is not an error: it is a reading not taken.
func (f Fields) Read(field, text, unitName string, q Quantity) Reading {
	if strings.TrimSpace(text) == "" {
		return Reading{}
	}
	r, err := ParseReading(text, unitName, q)
	if err != nil {
		f.Say(field, "%s", err.Error())
	}
	return r
}

// ReadingOf builds a recorded reading back from its text and unit.
func ReadingOf(text, unitName string) (Reading, error) {
	u, ok := units[unitName]
	if !ok {
		return Reading{}, fmt.Errorf("shop: unknown unit %q", unitName)
	}
	return ParseReading(text, unitName, u.quantity)
}
