package shop

import (
	"errors"
	"strings"
	"testing"
	"unicode"
)

const labelDay = Date("2026-11-26")

// said is a label in one line: every field with its identifier.
func said(l MakerLabel) string {
	var parts []string
	for _, f := range l.Fields() {
		parts = append(parts, f.What+" "+f.Text+" "+f.From)
	}
	return strings.Join(parts, "; ")
}

// Rows with an asterisk were checked against gs1-barcode-parser-mod 1.2.1: it
// finds the same identifiers, values, days and decimals. The check digit of
// 09521234567899 was worked out by hand as well: 3·(0+5+1+3+5+7+9) +
// (9+2+2+4+6+8) = 121, 9 short of 130.
func TestReadMakerLabel(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ name, raw, want string }{
		{"* a separator behind the lot", "]d2010952123456789910A20\x1d17270331\r", "lot A20 (10); last day of use 2027-03-31 (17); article 09521234567899 (01)"},
		{"* the lot last", "]d201095212345678991727033110A20\r", "lot A20 (10); last day of use 2027-03-31 (17); article 09521234567899 (01)"},
		{"* made on, mass, serial", "]C101095212345678991118123131030005002" + "1S77\x1d10L2509-A", "lot L2509-A (10); day it was made 2018-12-31 (11); article 09521234567899 (01); serial number S77 (21); quantity 0.500 kg (3103)"},
		{"* day 00 is the last of the month", "]d201095212345678991727020010A20", "lot A20 (10); last day of use 2027-02-28 (17); article 09521234567899 (01)"},
		{"day 00 in a leap year", "]d21728020010A20", "lot A20 (10); last day of use 2028-02-29 (17)"},
		{"* count and further number", "]d201095212345678993012\x1d240PX-7\x1d10A20", "lot A20 (10); article 09521234567899 (01); quantity 12 pieces (30); further item number PX-7 (240)"},
		{"* count inside and order", "]d201095212345678993102012345374\x1d400PO1", "article 09521234567899 (01); quantity 123.45 kg (3102); count inside 4 (37); order of the customer PO1 (400)"},
		{"* a shipping unit", "]C100095212345678900009", "shipping unit 095212345678900009 (00)"},
		{"* expiry with the hour", "]d2010952123456789970032703311200\x1d10A20", "lot A20 (10); last day of use 2027-03-31 (7003); article 09521234567899 (01)"},
		{"* fifty years ahead", "]d21776010110A20", "lot A20 (10); last day of use 2076-01-01 (17)"},
		{"* forty-nine years back", "]d21777010110A20", "lot A20 (10); last day of use 1977-01-01 (17)"},
		{"GS1 QR", "]Q310A20", "lot A20 (10)"},
		{"GS1 DataMatrix with another character set", "]d510A20", "lot A20 (10)"},
		{"a separator in front instead of a prefix", "\x1d10A20\x1d21S7", "lot A20 (10); serial number S7 (21)"},
		{"pictures of separators", "]d210A20␝17270331", "lot A20 (10); last day of use 2027-03-31 (17)"},
		{"names of separators", "]d210A20<GS>17270331", "lot A20 (10); last day of use 2027-03-31 (17)"},
		{"separators in braces", "]d210A20{GS}17270331", "lot A20 (10); last day of use 2027-03-31 (17)"},
		{"a field of money", "]d2392212345\x1d10A20", "lot A20 (10); field 3922 12345 (3922)"},
		{"best before is not the last day", "]d21527033110A20", "lot A20 (10); best before 2027-03-31 (15)"},
		{"mass and count", "]d2305\x1d310300050010A20", "lot A20 (10); quantity 0.500 kg (3103); count 5 pieces (30)"},
		{"the same lot twice", "]d210A20\x1d10A20", "lot A20 (10)"},
		{"a lot that looks like a date and has its separator", "]d221S1\x1d10A2017270331", "lot A2017270331 (10); serial number S1 (21)"},
		{"carets for separators", "]d210A20^]17270331", "lot A20 (10); last day of use 2027-03-31 (17)"},
		{"numbers for separators", "]d210A20<0x1D>17270331", "lot A20 (10); last day of use 2027-03-31 (17)"},
		{"mass in pounds", "]d23202000550\x1d10A20", "lot A20 (10); quantity 5.50 lb (3202)"},
		{"mass in ounces", "]d2357100088210A20", "lot A20 (10); quantity 88.2 oz (3571)"},
		{"mass in troy ounces", "]d2356000008010A20", "lot A20 (10); quantity 80 troy oz (3560)"},
		{"typed from under the symbol", "(01)09521234567899(17)270331(10)A20", "lot A20 (10); last day of use 2027-03-31 (17); article 09521234567899 (01)"},

		{"data identifiers", "[)>\x1e06\x1d1TA20\x1d1PPX-7\x1dSJ-0031\x1d7Q500GR\x1d14D20270331\x1d16D20260930\x1d1VK77\x1e\x04\r", "lot A20 1T; last day of use 2027-03-31 14D; day it was made 2026-09-30 16D; article PX-7 1P; serial number J-0031 S; quantity 500 g 7Q; supplier K77 1V"},
		{"no end", "[)>\x1e06\x1d1TA20\x1dQ5", "lot A20 1T; quantity 5 Q"},
		{"brackets in an envelope", "[)>[RS]06[GS]1TA20[GS]7Q88.2OZ[RS][EOT]", "lot A20 1T; quantity 88.2 oz 7Q"},
		{"carets in an envelope", "[)>^^06^]1TA20^]SJ-0031^^^D", "lot A20 1T; serial number J-0031 S"},
		{"pictures in an envelope", "[)>␞06␝1TA20␝15D31032027␞␄", "lot A20 1T; last day of use 2027-03-31 15D"},
		{"names in an envelope", "[)><RS>06<GS>1TA20<GS>17D30092026<RS><EOT>", "lot A20 1T; day it was made 2026-09-30 17D"},
		{"an AIM prefix before an envelope", "]d1[)>\x1e06\x1d1TA20\x1e\x04", "lot A20 1T"},
		{"the customer's own numbers stand aside", "[)>\x1e06\x1dT99\x1dP88\x1dV77\x1d1V66\x1dKPO1\x1d1TA20\x1e\x04", "lot A20 1T; supplier 66 1V; lot, the customer's number 99 T; item number of the customer 88 P; supplier, the customer's number 77 V; order of the customer PO1 K"},
		{"an identifier that is not known", "[)>\x1e06\x1d1TA20\x1d31X9\x1e\x04", "lot A20 1T; field 31X, which is not known here 9 31X"},
		{"GS1 elements in an envelope", "[)>\x1e05\x1d0109521234567899\x1d17270331\x1d10A20\x1e\x04", "lot A20 (10); last day of use 2027-03-31 (17); article 09521234567899 (01)"},
		{"text identifiers", "[)>\x1e12\x1dMFR K77\x1dPNR PX-7\x1dSER J-0031\x1dLOT A20\x1dEXP 20270331\x1e\x04", "lot A20 LOT; last day of use 2027-03-31 EXP; article PX-7 PNR; serial number J-0031 SER; supplier K77 MFR"},
		{"two formats", "[)>\x1e06\x1d1TA20\x1e05\x1d17270331\x1e\x04", "lot A20 1T; last day of use 2027-03-31 (17)"},

		{"a link", "https://label.example/01/09521234567899/10/A20/21/S7?17=270331", "lot A20 (10); last day of use 2027-03-31 (17); article 09521234567899 (01); serial number S7 (21)"},
		{"a link with a folder, a short number, signs and a word in the query", "HTTPS://label.example/paste/01/9521234567899/10/A%2F20?linkType=all&3103=000500", "lot A/20 (10); article 09521234567899 (01); quantity 0.500 kg (3103)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l, err := ReadMakerLabel(tt.raw, labelDay)
			if err != nil || said(l) != tt.want {
				t.Errorf("read as %q, %v; want %q", said(l), err, tt.want)
			}
			if l.Raw != tt.raw || l.As == "" || len(l.Doubts) > 0 {
				t.Errorf("raw %q, as %q, doubts %q", l.Raw, l.As, l.Doubts)
			}
		})
	}
}

// What is wrong with a label is said; where one reading suggests itself it is
// offered, and nothing is taken.
func TestMakerLabelFaults(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ name, raw, why, likely string }{
		{"the separator is lost", "]d2010952123456789910A2017270331\r", "The separator after field 10 is missing", "lot A20 (10); last day of use 2027-03-31 (17); article 09521234567899 (01)"},
		{"lost before a date that another field follows", "]d210A201727033121S7", "The separator after field 10 is missing", "lot A20 (10); last day of use 2027-03-31 (17); serial number S7 (21)"},
		{"lost behind a serial number", "]C121S770109521234567899", "The separator after field 21 is missing", "article 09521234567899 (01); serial number S77 (21)"},
		{"lost before a mass", "]C110A203103000500", "The separator after field 10 is missing", "lot A20 (10); quantity 0.500 kg (3103)"},
		{"lost, and where cannot be told", "]d210A1717270331", "The separator after field 10 is missing", "lot A17 (10); last day of use 2027-03-31 (17)"},
		{"lost at two places", "]d210A172703311727033117270331", "The separator after field 10 is missing", ""},
		{"a lot that is too long", "]d210ABCDEFGHIJKLMNOPQRSTUVWXYZ", "26 characters and may have 20: the separator after field 10 is missing", ""},
		{"all separators swallowed", "[)>061TA201PPX-7SJ-00317Q500GR14D20270331\r", "The separators of the label did not come", ""},
		{"spaces for all separators", "[)> 06 1TA20 SJ-0031 \r", "The separators of the label did not come", ""},
		{"a day of another era", "[)>\x1e06\x1d14D03311220\x1e\x04", "that is not a day of the calendar", ""},
		{"the year first where the day should be", "[)>\x1e06\x1d15D20120331\x1e\x04", "that is not a day of the calendar", ""},
		{"lost in an envelope", "[)>\x1e061TA20Q5\x1e\x04", "separator after the format 06 is missing", ""},
		{"a wrong check digit", "]d20109521234567898", "check digit of the article number 09521234567898 is 8 and should be 9", ""},
		{"a wrong check digit of a shipping unit", "]C100095212345678900008", "is 8 and should be 9", ""},
		{"no such day", "]d217270230", "last day of use (17) is 270230: that is not a day", ""},
		{"no such month", "]d217271300", "271300: that is not a day", ""},
		{"no such day in an envelope", "[)>\x1e06\x1d14D20270230\x1e\x04", "last day of use (14D) is 20270230", ""},
		{"the other order of day and year", "[)>\x1e06\x1d14D31032027\x1e\x04", "not a day of the calendar, written as 20270331. Read with the day first it would be 2027-03-31: look at the label", ""},
		{"an identifier that is not known", "]d205123", `begins "05123": no GS1 identifier`, ""},
		{"half an article number", "]d201095212", "Field 01 of the label is \"095212\": it needs 14 digits", ""},
		{"letters in a date", "]d2172703A1", "may have digits only", ""},
		{"an empty lot", "]d210\x1d17270331", "Field 10 of the label is \"\": a part of it is missing", ""},
		{"two lots", "]d210A20\x1d10A21", "two different things for the lot: A20 (10) and A21 (10)", ""},
		{"two lots in an envelope", "[)>\x1e06\x1d1TA20\x1e05\x1d10A21\x1e\x04", "two different things for the lot", ""},
		{"a separator of another keyboard inside", "]d210Aé0", "a character that a GS1 label cannot have", ""},
		{"an envelope of another format", "[)>\x1e07\x1dX\x1e\x04", "format 07: only 05, 06 and 12", ""},
		{"an envelope of nothing", "[)>\x1e06\x1e\x04", "has no field", ""},
		{"a field without identifier", "[)>\x1e06\x1dabc\x1e\x04", "begins with no data identifier", ""},
		{"an identifier without value", "[)>\x1e06\x1d1T\x1e\x04", "field 1T has no value", ""},
		{"a quantity of words", "[)>\x1e06\x1dQmany\x1e\x04", "is \"many\": that is not a number", ""},
		{"a quantity that is nothing but its unit", "[)>\x1e06\x1d7QGR\x1e\x04", "that is not a number", ""},
		{"a text identifier too short", "[)>\x1e12\x1dXY 1\x1e\x04", "no text element identifier", ""},
		{"an address without an article", "https://label.example/lots/A20", "web address without an article number", ""},
		{"an address that ends early", "https://label.example/01/09521234567899/10", "ends in the middle: 10 has no value", ""},
		{"an address with a wrong number", "https://label.example/01/09521234567898", "check digit", ""},
		{"a field in brackets that is not known", "(05)12", "(05), which is no GS1 identifier", ""},

		{"another keyboard's digits", `GQ"&è)_` + "\r", "Scanner and computer use different keyboards", ""},
		{"another keyboard's digits, no line end", `GQ"&è)_`, "The label may say GA317-8 or ", ""},
		{"another keyboard's digits, no accent among them", `Q"&`, "The label may say A31", ""},
		{"a whole label through a French keyboard", "$dé&àQéà\x1d&èéè&é\"&", "different keyboards", "lot A20 (10); last day of use 2027-12-31 (17)"},
		{"a whole label through a German keyboard", "+d210A20\x1d17271231", "different keyboards", "lot A20 (10); last day of use 2027-12-31 (17)"},
		{"elements that nothing says are such", "010952123456789910A20\x1d17270331", "did not say what kind of label", "lot A20 (10); last day of use 2027-03-31 (17); article 09521234567899 (01)"},
		{"elements without mark or separator", "010952123456789910A2017270331", "did not say what kind of label", "lot A20 (10); last day of use 2027-03-31 (17); article 09521234567899 (01)"},
		{"one field", "1TA20", "It may be the lot", "lot A20 1T"},
		{"plain text", "]C0L2509-A\r", "does not say what its text is", "lot L2509-A plain text"},
		{"a plain number", "0004711", "does not say what its text is", "lot 0004711 plain text"},
		{"two scans", "A20\rA21\r", "More than one label", ""},
		{"many scans", strings.Repeat("A20", 3000), "More than one label", ""},
		{"a broken character", "A\xe8B", "cannot be shown", ""},
		{"separators and nothing else", "]d2\x1d", "Nothing was scanned", ""},
		{"an empty scan", "\r", "Nothing was scanned", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l, err := ReadMakerLabel(tt.raw, labelDay)
			var fault *LabelFault
			if !errors.As(err, &fault) || !errors.Is(err, ErrInvalid) {
				t.Fatalf("read as %q, %v; want a fault", said(l), err)
			}
			if !strings.Contains(fault.Why, tt.why) {
				t.Errorf("refused with %q; want %q in it", fault.Why, tt.why)
			}
			got := ""
			if fault.Likely != nil {
				got = said(*fault.Likely)
				if fault.Likely.Raw != tt.raw {
					t.Errorf("the likely reading has %q as raw text", fault.Likely.Raw)
				}
			}
			if got != tt.likely || fault.Raw != tt.raw || said(l) != "" {
				t.Errorf("likely %q, raw %q, beside %q; want %q", got, fault.Raw, said(l), tt.likely)
			}
		})
	}
}

// Where no separator came and a lot may hold a serial number, the label is read
// and the doubt said.
func TestMakerLabelDoubts(t *testing.T) {
	t.Parallel()
	for raw, want := range map[string]int{"]d210A2021S7": 1, "]d221S7710A20": 1, "]d210A20\x1d21S7721": 0, "]d210A20": 0, "]d21021A": 0} {
		l, err := ReadMakerLabel(raw, labelDay)
		if err != nil || len(l.Doubts) != want {
			t.Errorf("%q: doubts %q, %v; want %d", raw, l.Doubts, err, want)
		}
	}
}

// What a quantity weighs in grams stands beside it where it is in another unit;
// what is no mass, or far from what was typed, is said. The pound is 453.59237 g
// by the agreement of 1959, from memory: 5.5 lb are 2494.758 g.
func TestAmountSays(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		raw   string
		typed Reading
		want  string
	}{
		{"]d2310300250010A20", Reading{}, ""},
		{"]d2310300250010A20", grams("2491.2"), ""},
		{"]d2310300250010A20", MustReading("2500", "kg"), "The label says 2.500 kg, and here stands 2500 kg"},
		{"[)>\x1e06\x1d7Q2500GR\x1e\x04", grams("250"), "The label says 2500 g, and here stands 250 g"},
		{"]d23202000550\x1d10A20", Reading{}, "The label gives the mass as 5.50 lb, which is 2494.8 g. Weigh the container"},
		{"[)>\x1e06\x1d7Q88OZ\x1e\x04", grams("2495"), "88 oz, which is 2494.8 g"},
		{"]d2356000008010A20", Reading{}, "80 troy oz, which is 2488.3 g"},
		{"[)>\x1e06\x1dQ2500\x1e\x04", Reading{}, "The label gives the quantity 2500 and no unit"},
		{"[)>\x1e06\x1d7Q4PC\x1e\x04", Reading{}, "as 4 pieces, which is no mass"},
		{"[)>\x1e06\x1d7Q4XX\x1e\x04", Reading{}, "as 4 XX, which is no mass"},
		{"]d210A20", grams("2"), ""},
	} {
		l, err := ReadMakerLabel(tt.raw, labelDay)
		if got := l.AmountSays(tt.typed); err != nil || !strings.Contains(got, tt.want) || tt.want == "" && got != "" {
			t.Errorf("%q beside %q: %q, %v; want %q", tt.raw, tt.typed.Text, got, err, tt.want)
		}
	}
}

func TestDaysSay(t *testing.T) {
	t.Parallel()
	for raw, want := range map[string]string{"]d217261126": "", "]d217261125": "2026-11-25, has passed", "]d211261126": "", "]d211261127": "2026-11-27, is still to come", "]d215200101": ""} {
		l, err := ReadMakerLabel(raw, labelDay)
		if got := strings.Join(l.DaysSay(labelDay), " "); err != nil || !strings.Contains(got, want) || want == "" && got != "" {
			t.Errorf("%q: %q, %v; want %q", raw, got, err, want)
		}
	}
}

// A delivery may have several labels: each scan is a line, each is read, and
// each must agree with the record.
func TestSeveralLabels(t *testing.T) {
	t.Parallel()
	scans := Visible("1TA20\r") + "\n" + Visible("SJ-0031\r")
	e := an[ContainerReceived]()
	e.Container, e.Lot, e.Serial, e.Label = "A20/01", "A20", "J-0031", scans
	if err := e.Valid(); err != nil || len(KeptLabels(scans, labelDay)) != 2 {
		t.Errorf("%v, %d labels", err, len(KeptLabels(scans, labelDay)))
	}
	e.Serial = "J-0032"
	if wrong := wrongIn(t, e); !strings.Contains(wrong["serial"], "says serial number J-0031; here stands J-0032") {
		t.Errorf("it says %q", wrong)
	}
	e.Serial, e.Label = "J-0031", scans+"\n"
	if wrong := wrongIn(t, e); !strings.Contains(wrong["label"], "not as a scan is kept") {
		t.Errorf("with an empty line it says %q", wrong)
	}
}

// The century is the one that brings a year of two digits nearest to today.
func TestShortDay(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		text  string
		today Date
		want  Date
	}{
		{"490101", "1999-06-01", "2049-01-01"}, {"500101", "1999-06-01", "1950-01-01"},
		{"990101", "2049-06-01", "2099-01-01"}, {"000101", "2049-06-01", "2000-01-01"}, {"990101", "2048-06-01", "1999-01-01"},
		{"001231", "2096-06-01", "2100-12-31"}, {"000229", "2026-11-26", "2000-02-29"}, {"270229", "2026-11-26", ""}, {"270001", "2026-11-26", ""}, {"270000", "2026-11-26", ""},
	} {
		if got, ok := shortDay(tt.text, tt.today); ok != (tt.want != "") || ok && got != tt.want {
			t.Errorf("%s as of %s is %s, %v; want %s", tt.text, tt.today, got, ok, tt.want)
		}
	}
}

func TestVisible(t *testing.T) {
	t.Parallel()
	for raw, want := range map[string]string{
		"[)>\x1e06\x1d1TA20\x1e\x04\r": `[)>\x1e06\x1d1TA20\x1e\x04\x0d`,
		`GQ"&è)_` + "\r":               `GQ"&è)_\x0d`,
		`a\x1d`:                        `a\\x1d`,
		"bad \xe8 byte":                `bad \xe8 byte`,
		"\ufffd":                       `\xef\xbf\xbd`,
	} {
		got := Visible(raw)
		if back, ok := AsScanned(got); got != want || back != raw || !ok {
			t.Errorf("Visible(%q) = %q, back %q, %v; want %q", raw, got, back, ok, want)
		}
	}
	for _, visible := range []string{`\`, `\x1`, `\xzz`, `\n`, `\x41`, "\x1d"} {
		if raw, ok := AsScanned(visible); ok {
			t.Errorf("AsScanned(%q) = %q; want none", visible, raw)
		}
	}
}

// FuzzReadMakerLabel: whatever a scanner delivers, it is read or refused with a
// sentence; no value has a separator or a prefix in it; days are days; the
// raw text is kept to the byte and survives being made visible.
func FuzzReadMakerLabel(f *testing.F) {
	for _, raw := range []string{"]d2010952123456789910A20\x1d17270331\r", "]d2010952123456789910A2017270331\r", "[)>\x1e06\x1d1TA20\x1d7Q5GR\x1e\x04", "[)>\x1e05\x1d10A\x1e12\x1dLOT A\x1e", "https://l.example/01/09521234567899?17=270331", `GQ"&è)_`, "(10)A", "1TA", "\xff", `\x1d`} {
		f.Add(raw)
	}
	f.Fuzz(func(t *testing.T, raw string) {
		if back, ok := AsScanned(Visible(raw)); !ok || back != raw {
			t.Errorf("%q is visible as %q and comes back as %q", raw, Visible(raw), back)
		}
		l, err := ReadMakerLabel(raw, labelDay)
		var fault *LabelFault
		if errors.As(err, &fault) {
			if fault.Why == "" || fault.Raw != raw {
				t.Errorf("%q is refused with %+v", raw, fault)
			}
			if fault.Likely == nil {
				return
			}
			l = *fault.Likely
		}
		if l.Raw != raw || l.As == "" || len(l.Fields()) == 0 {
			t.Errorf("%q is read as %+v", raw, l)
		}
		for _, field := range l.Fields() {
			if field.Text == "" || strings.ContainsFunc(field.Text, unicode.IsControl) {
				t.Errorf("%q has the field %+v", raw, field)
			}
		}
		for _, day := range []LabelField{l.MadeOn, l.Expires} {
			if day.From != "" && !Date(day.Text).Valid() {
				t.Errorf("%q has the day %+v", raw, day)
			}
		}
	})
}
