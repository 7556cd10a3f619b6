package shop

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
)

// The inch is 25.4 mm exactly: the international yard and pound agreement of
// 1959 makes the yard 0.9144 m, and a yard is 36 inches (read in public copies;
// ISO 80000-3 says the same, from memory). A degree Fahrenheit is 5/9 of a
// degree Celsius from 32 °F at 0 °C (from memory: ISO 80000-5 and every table).
// A bar is 100 kPa, so that a millibar is a tenth of a kilopascal, and an hour
// is 60 minutes (from memory: the SI brochure's tables of units beside the SI).
func TestParseReadingTaken(t *testing.T) {
	for _, tt := range []struct {
		name, text, unit string
		q                Quantity
		value            float64
		decimals         int
	}{
		{"inch, zeros at the end kept", "12.700", "in", Length, 322.58, 3},
		{"one inch", "1.0000", "in", Length, 25.4, 4},
		{"small in inch, not rounded to 0.03 mm", "0.0012", "in", Length, 0.03048, 4},
		{"a tenth of a thou", "0.0001", "in", Length, 0.00254, 4},
		{"decimal comma", "12,70", "mm", Length, 12.7, 2},
		{"whole number", "40", "mm", Length, 40, 0},
		{"micrometres", "34", "um", Length, 0.034, 0},
		{"minus", "-0.5", "mm", Length, -0.5, 1},
		{"the minus that phones write", "−0,5", "mm", Length, -0.5, 1},
		{"plus", "+0.010", "mm", Length, 0.01, 3},
		{"zero", "0", "mm", Length, 0, 0},
		{"zeros in front", "007.50", "mm", Length, 7.5, 2},
		{"as many digits as fit", "12345678901234567890", "mm", Length, 12345678901234567890, 0},
		{"kilogram", "2.4998", "kg", Mass, 2499.8, 4},
		{"freezing point of water", "32", "F", Temperature, 0, 0},
		{"boiling point of water", "212", "F", Temperature, 100, 0},
		{"where both scales meet", "-40", "F", Temperature, -40, 0},
		{"reference temperature of length", "68.0", "F", Temperature, 20, 1},
		{"a third of a minute", "0.25", "min", Duration, 15, 2},
		{"hours", "1,5", "h", Duration, 5400, 1},
		{"percent", "8.62", "%", Percentage, 8.62, 2},
		{"hardness", "48.2", "HRC", Hardness, 48.2, 1},
		{"density", "7.61", "g/cm3", Density, 7.61, 2},
		{"flow through a cooling channel", "5.3", "l/min", Flow, 5.3, 1},
		{"litres an hour, 60 minutes each", "318", "l/h", Flow, 5.3, 0},
		{"pressure lost in a leak test", "3", "mbar", Pressure, 3, 0},
		{"bar", "0.015", "bar", Pressure, 15, 3},
		{"kilopascal", "1.5", "kPa", Pressure, 15, 1},
		{"oversize factor", "1.2019", "1", Ratio, 1.2019, 4},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := ParseReading(tt.text, tt.unit, tt.q)
			if err != nil {
				t.Fatal(err)
			}
			if r.Value() != tt.value || r.Decimals() != tt.decimals {
				t.Errorf("%q %s is %v with %d decimals; want %v with %d", tt.text, tt.unit, r.Value(), r.Decimals(), tt.value, tt.decimals)
			}
			if r.Text != tt.text || r.Unit != tt.unit || !r.Taken() {
				t.Errorf("%q %s is kept as %q %s", tt.text, tt.unit, r.Text, r.Unit)
			}
			roundTrip(t, r)
		})
	}
}

func roundTrip(t *testing.T, r Reading) {
	t.Helper()
	body, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var back Reading
	if err := json.Unmarshal(body, &back); err != nil || back != r {
		t.Errorf("%s is read back as %#v, %v; want %#v", body, back, err, r)
	}
}

func TestParseReadingRefused(t *testing.T) {
	for _, tt := range []struct {
		name, text, unit string
		q                Quantity
		says             string
	}{
		{"empty", "", "mm", Length, "missing"},
		{"only spaces", " \t\u00a0", "mm", Length, "missing"},
		{"space between thousands", "1 248.5", "C", Temperature, "thousands marks"},
		{"no-break space between thousands", "1\u00a0248,5", "C", Temperature, "thousands marks"},
		{"narrow no-break space between thousands", "1\u202f248,5", "C", Temperature, "thousands marks"},
		{"thin space between thousands", "1\u2009248,5", "C", Temperature, "thousands marks"},
		{"apostrophe between thousands", "1'248.5", "C", Temperature, "thousands marks"},
		{"curled apostrophe between thousands", "1’248.5", "C", Temperature, "thousands marks"},
		{"underscore between thousands", "1_248", "C", Temperature, "thousands marks"},
		{"comma between thousands, in quotation marks", `"1,248.5"`, "C", Temperature, "not a number"},
		{"comma and point", "1,248.5", "C", Temperature, "more than one decimal sign"},
		{"point and comma", "1.250,0", "C", Temperature, "more than one decimal sign"},
		{"points between thousands", "1.234.567", "mm", Length, "more than one decimal sign"},
		{"two signs", "--5", "mm", Length, "not a number"},
		{"plus and minus", "+-5", "mm", Length, "not a number"},
		{"sign behind", "5-", "mm", Length, "not a number"},
		{"two of the minus that phones write", "−−5", "mm", Length, "not a number"},
		{"only a sign", "-", "mm", Length, "digits on both sides"},
		{"only a point", ".", "mm", Length, "digits on both sides"},
		{"no digit before the point", ".5", "mm", Length, "digits on both sides"},
		{"no digit behind the point", "5.", "mm", Length, "digits on both sides"},
		{"not a number", "NaN", "mm", Length, "not a number"},
		{"infinity", "Inf", "mm", Length, "not a number"},
		{"minus infinity", "-Inf", "mm", Length, "not a number"},
		{"exponent", "1e3", "mm", Length, "not a number"},
		{"hexadecimal", "0x10", "mm", Length, "not a number"},
		{"fraction", "1/2", "in", Length, "not a number"},
		{"unit typed behind", "12.7mm", "mm", Length, "not a number"},
		{"letter O for zero", "1O.5", "mm", Length, "not a number"},
		{"digits of another script", "٣", "mm", Length, "not a number"},
		{"zero byte", "1\x00", "mm", Length, "not a number"},
		{"invisible space", "1\u200b2", "mm", Length, "not a number"},
		{"more digits than a gauge", "123456789012345678901", "mm", Length, "more digits"},
		{"unit missing", "12.7", "", Length, "choose mm, in, µm"},
		{"unit of a factor missing", "1.2019", "", Ratio, "choose 1."},
		{"unit unknown", "12.7", "cubit", Length, "choose mm, in, µm"},
		{"unit of another quantity", "12.7", "g", Length, "not a unit of length"},
		{"percent for a factor", "12", "%", Ratio, "not a unit of factor"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := ParseReading(tt.text, tt.unit, tt.q)
			if err == nil {
				t.Fatalf("%q %s is taken for %v", tt.text, tt.unit, r.Value())
			}
			if r.Taken() || !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("%q gives %v and %q; want no reading and %q", tt.text, r, err, tt.says)
			}
			whole(t, err.Error())
		})
	}
}

// TestReadingOutside: spaces that a scanner or a copied cell puts around a
// number are not part of it.
func TestReadingOutside(t *testing.T) {
	r, err := ParseReading("\u00a0 12.70\r\n", "mm", Length)
	if err != nil || r.Text != "12.70" {
		t.Errorf("read as %q, %v; want 12.70", r.Text, err)
	}
}

func TestReadingJSON(t *testing.T) {
	var none Reading
	body, err := json.Marshal(none)
	if err != nil || string(body) != "null" {
		t.Errorf("a reading not taken is %s, %v; want null", body, err)
	}
	roundTrip(t, none)
	for _, tt := range []struct{ name, body string }{
		{"a bare number", `12.7`},
		{"no unit", `{"text":"12.7"}`},
		{"no text", `{"unit":"mm"}`},
		{"not a number", `{"text":"NaN","unit":"mm"}`},
		{"a field that nobody knows", `{"text":"12.7","unit":"mm","rounded":"13"}`},
		{"spaces that would be lost", `{"text":" 12.7","unit":"mm"}`},
	} {
		r := MustReading("5", "mm")
		if err := json.Unmarshal([]byte(tt.body), &r); err == nil {
			t.Errorf("%s: %s is read as %v; want refused", tt.name, tt.body, r)
		}
	}
}

func TestReadingWords(t *testing.T) {
	for want, r := range map[string]Reading{
		"not measured": {},
		"12.700 in":    MustReading("12.700", "in"),
		"34 µm":        MustReading("34", "um"),
		"106,5 °F":     MustReading("106,5", "F"),
		"7.61 g/cm³":   MustReading("7.61", "g/cm3"),
		"1.2019":       MustReading("1.2019", "1"),
	} {
		if got := r.String(); got != want {
			t.Errorf("String = %q; want %q", got, want)
		}
	}
}

func TestUnitsOfEveryQuantity(t *testing.T) {
	listed := 0
	for _, q := range append([]Quantity{Ratio, Difference, Volume}, Quantities...) {
		for i, u := range UnitsOf(q) {
			listed++
			if units[u].quantity != q {
				t.Errorf("%s is offered for %s and measures %s", u, q, units[u].quantity)
			}
			if base := MustReading("1", u).Value(); i == 0 && base != 1 {
				t.Errorf("the first unit of %s, %s, is %v of its base unit; want 1", q, u, base)
			}
		}
	}
	if listed != len(units) {
		t.Errorf("%d units are offered of %d that are known", listed, len(units))
	}
	if UnitsOf("colour") != nil {
		t.Error("colour has units; want none")
	}
}

func TestUnitSlip(t *testing.T) {
	for _, tt := range []struct {
		name           string
		value, nominal float64
		want           string
	}{
		{"as it should be", 40.02, 40, ""},
		{"typed in mm, unit said inch", 40.02 * 25.4, 40, "mm"},
		{"typed in inch, unit said mm", 1.5741, 40, "in"},
		{"wrong by ten", 400, 40, ""},
		{"much too small, no slip", 5, 40, ""},
		{"nominal nought", 1, 0, ""},
		{"nominal less than nought", 25.4, -1, ""},
		{"nothing measured", 0, 40, ""},
		{"the other way", -40 * 25.4, 40, ""},
	} {
		if got := UnitSlip(tt.value, tt.nominal); got != tt.want {
			t.Errorf("%s: UnitSlip(%v, %v) = %q; want %q", tt.name, tt.value, tt.nominal, got, tt.want)
		}
	}
}

// FuzzParseReading: a text that is taken has a finite value, is kept as it was
// typed, and comes back from the log as the same reading.
func FuzzParseReading(f *testing.F) {
	for _, text := range []string{"12.700", "−0,5", "+1", "1e3", "NaN", "1 248", "1.234.567", "", "00000000000000000000", "\xff", "-"} {
		f.Add(text, "in")
		f.Add(text, "F")
	}
	f.Fuzz(func(t *testing.T, text, unitName string) {
		r, err := ParseReading(text, unitName, units[unitName].quantity)
		if err != nil {
			if r != (Reading{}) {
				t.Errorf("%q is refused and yet read as %#v", text, r)
			}
			return
		}
		if math.IsNaN(r.Value()) || math.IsInf(r.Value(), 0) {
			t.Errorf("%q %s is %v", text, unitName, r.Value())
		}
		if r.Text != strings.TrimSpace(text) || r.Unit != unitName {
			t.Errorf("%q %s is kept as %q %s", text, unitName, r.Text, r.Unit)
		}
		if strings.ContainsAny(r.Text, "eExXnNiI_/") {
			t.Errorf("%q is taken for a number", text)
		}
		roundTrip(t, r)
	})
}
