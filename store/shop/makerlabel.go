package shop

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"
)

// A LabelField is one thing that a supplier's label says: the word for it, the
// text, and the identifier under which it stood there. The zero LabelField was
// not on the label.
type LabelField struct{ What, Text, From string }

// A MakerLabel is what a supplier's label says in one scan. What it says in
// numbers without a fixed meaning here stands in Also.
type MakerLabel struct {
	Raw      string // as the scanner delivered it, to the byte
	As       string // how it was written: "GS1 elements" and the like
	Article  LabelField
	Lot      LabelField
	Serial   LabelField
	Supplier LabelField
	MadeOn   LabelField // Text is a Date
	Expires  LabelField // Text is a Date
	Amount   LabelField
	Unit     string // of the amount, as a reading has it; a code of the standard where none fits, "" where the label has none
	Also     []LabelField
	Doubts   []string // whole sentences, to be compared with the label
}

// Fields lists what the label says, the known things first.
func (l MakerLabel) Fields() []LabelField {
	amount := l.Amount
	amount.Text = strings.TrimSpace(amount.Text + " " + UnitWord(l.Unit))
	var said []LabelField
	for _, f := range append([]LabelField{l.Lot, l.Expires, l.MadeOn, l.Article, l.Serial, amount, l.Supplier}, l.Also...) {
		if f.From != "" {
			said = append(said, f)
		}
	}
	return said
}

// A LabelFault says why a label was not read: Why is whole sentences, Raw the
// text as it came. Likely is what it says if the fault is what it seems to be,
// nil where that cannot be told; it counts only once a person has compared it
// with the label.
type LabelFault struct {
	Raw    string
	Why    string
	Likely *MakerLabel
}

func (f *LabelFault) Error() string { return f.Why }
func (f *LabelFault) Unwrap() error { return ErrInvalid }

func unread(format string, args ...any) error { return &LabelFault{Why: fmt.Sprintf(format, args...)} }

// The separators of ISO/IEC 15434; GS also ends a GS1 element.
const (
	rs  = "\x1e"
	gs  = "\x1d"
	eot = "\x04"
)

// standIns are what a scanner shows for a separator where it cannot send one.
var standIns = strings.NewReplacer("␞", rs, "␝", gs, "␄", eot, "<RS>", rs, "<GS>", gs, "<EOT>", eot, "{RS}", rs, "{GS}", gs, "{EOT}", eot, "<FNC1>", gs, "{FNC1}", gs,
	"[RS]", rs, "[GS]", gs, "[EOT]", eot, "[FNC1]", gs, "<0x1E>", rs, "<0x1D>", gs, "<0x04>", eot, "^^", rs, "^]", gs, "^D", eot)

// labelAtMost is more than any one symbol holds: a QR code takes 4,296
// characters.
const labelAtMost = 8192

// ReadMakerLabel reads what a scanner delivered from a supplier's label: an
// ISO/IEC 15434 message, GS1 elements or a GS1 Digital Link. Years of two
// digits are those nearest to today. It never guesses: what can be read in one
// way only by guessing is a *LabelFault with the guess as its Likely.
func ReadMakerLabel(raw string, today Date) (MakerLabel, error) {
	l, err := readLabel(raw, today)
	if fault, ok := errors.AsType[*LabelFault](err); ok {
		fault.Raw = raw
		if fault.Likely != nil {
			fault.Likely.Raw = raw
		}
		return MakerLabel{}, fault
	}
	l.Raw = raw
	return l, err
}

func readLabel(raw string, today Date) (MakerLabel, error) {
	text, aim := Unwrapped(raw)
	text = standIns.Replace(text)
	switch {
	case len(raw) > labelAtMost:
		return MakerLabel{}, unread("More than one label came in one scan: scan one label once.")
	case strings.Trim(text, gs) == "":
		return MakerLabel{}, unread("Nothing was scanned.")
	case structured(text, aim):
		return readStructured(text, aim, today)
	}
	return MakerLabel{}, readPlain(text, raw, today)
}

// structured reports whether a text says by itself how it is to be read.
func structured(text, aim string) bool {
	return strings.HasPrefix(text, "[)>") || isLink(text) || isGS1(aim) || strings.HasPrefix(text, gs) || bracketed.MatchString(text)
}

// isGS1 reports whether a symbology identifier is of a symbol with GS1 elements:
// GS1-128, DataBar, GS1 DataMatrix and GS1 QR, the last two with another
// character set as well (]d5, ]Q4; ZXingReader gives the first).
func isGS1(aim string) bool {
	return slices.Contains([]string{"]C1", "]e0", "]d2", "]d5", "]Q3", "]Q4"}, aim)
}

func isLink(text string) bool {
	start := strings.ToLower(text[:min(len(text), 8)])
	return strings.HasPrefix(start, "http://") || strings.HasPrefix(start, "https://")
}

func readStructured(text, aim string, today Date) (MakerLabel, error) {
	read := func(text string, today Date) (MakerLabel, error) { return readElements(strings.Trim(text, gs), today) }
	switch {
	case strings.HasPrefix(text, "[)>"):
		read = readEnvelope
	case isLink(text):
		read = readLink
	case bracketed.MatchString(text):
		read = readBracketed
	}
	l, err := read(text, today)
	if err == nil && len(l.Fields()) == 0 {
		return l, unread("The label has no field.")
	}
	return l, err
}

// readPlain says why a text that does not say how it is to be read is not
// taken, with the reading that suggests itself.
func readPlain(text, raw string, today Date) error {
	for _, label := range OtherKeyboard(trimmed(raw)) {
		text, aim := Unwrapped(label)
		if text = standIns.Replace(text); structured(text, aim) {
			l, err := readStructured(text, aim, today)
			return &LabelFault{Why: otherKeyboardSays, Likely: likely(l, err)}
		}
	}
	if ForeignKeys(text) {
		why := otherKeyboardSays
		if labels := OtherKeyboard(text); len(labels) > 0 {
			why += fmt.Sprintf(" The label may say %s.", strings.Join(labels, " or "))
		}
		return &LabelFault{Why: why}
	}
	if strings.ContainsAny(text, "\r\n\t"+rs+eot) {
		return unread("More than one label came in one scan, or a part of one: scan one label once.")
	}
	if strings.ContainsFunc(strings.ReplaceAll(text, gs, ""), func(r rune) bool { return !shows(r) }) {
		return unread("The text has a character that cannot be shown: scan the label again, or type what it says.")
	}
	if strings.HasPrefix(text, "01") || strings.HasPrefix(text, "00") || strings.Contains(text, gs) {
		if l, err := readElements(text, today); likely(l, err) != nil {
			return &LabelFault{Why: "The scanner did not say what kind of label this is. It reads like GS1 elements.", Likely: likely(l, err)}
		}
	}
	if strings.Contains(text, gs) {
		return unread("The text has separators, but does not say by which standard it is written.")
	}
	if l, ok := readOneField(text); ok {
		return &LabelFault{Why: fmt.Sprintf("The label is one field, %s. It may be the %s, or all of it a number of its own.", text, l.Fields()[0].What), Likely: &l}
	}
	return &LabelFault{Why: "The label does not say what its text is. It may be the lot.", Likely: &MakerLabel{As: "plain text", Lot: LabelField{"lot", text, "plain text"}}}
}

// otherKeyboardSays is why a text with foreign keys is not taken.
const otherKeyboardSays = "Scanner and computer use different keyboards: the characters that came are not those on the label. Set the scanner to this computer's keyboard, or type what the label says."

// likely is a reading, or the guess that came with a fault.
func likely(l MakerLabel, err error) *MakerLabel {
	if fault, ok := errors.AsType[*LabelFault](err); ok {
		return fault.Likely
	}
	return &l
}

// set fills in a field; a label that says two things for one is refused.
func (f *LabelField) set(what, text, from string) error {
	if f.From != "" && f.Text != text {
		return unread("The label says two different things for the %s: %s (%s) and %s (%s).", what, f.Text, strings.Trim(f.From, "()"), text, strings.Trim(from, "()"))
	}
	if f.From == "" {
		*f = LabelField{what, text, from}
	}
	return nil
}

// also notes a field that has no place of its own here.
func (l *MakerLabel) also(what, text, from string) error {
	l.Also = append(l.Also, LabelField{what, text, from})
	return nil
}

// setAmount takes a quantity with its unit. A label may have a mass and a count:
// the mass is the quantity, the count stands beside it.
func (l *MakerLabel) setAmount(text, unit, from string) error {
	is, was := QuantityOf(unit) == Mass, QuantityOf(l.Unit) == Mass
	switch {
	case l.Amount.From != "" && was && !is:
		return l.also("count", strings.TrimSpace(text+" "+unit), from)
	case l.Amount.From != "" && is && !was:
		if err := l.also("count", strings.TrimSpace(l.Amount.Text+" "+l.Unit), l.Amount.From); err != nil {
			return err
		}
		l.Amount = LabelField{}
	case l.Amount.From != "" && unit != l.Unit:
		return l.also("quantity", strings.TrimSpace(text+" "+unit), from)
	}
	l.Unit = unit
	return l.Amount.set("quantity", text, from)
}

// setDay takes a day that is written as YYYYMMDD.
func (f *LabelField) setDay(what, text, from string) error {
	if !fullDay(text) {
		why := fmt.Sprintf("The %s (%s) is %s: that is not a day of the calendar, written as 20270331.", what, from, text)
		if turned := yearFirst(text); fullDay(turned) {
			why += fmt.Sprintf(" Read with the day first it would be %s: look at the label, and type the day.", dashed(turned))
		}
		return unread("%s", why)
	}
	return f.set(what, dashed(text), from)
}

// fullDay reports whether eight digits are a day of this century or the last:
// with the day or the month in front they are none.
func fullDay(text string) bool {
	return len(text) == 8 && allDigits(text) && (text[:2] == "19" || text[:2] == "20") && Date(dashed(text)).Valid()
}

// gramsOf are units of mass that a label may have and no record here has.
// Exact by the agreement of 1959 on the pound of 0.45359237 kg, of which the
// ounce is a sixteenth and the troy ounce 480 of 7000 grains (NIST SP 811,
// appendix B, from memory).
var gramsOf = map[string]float64{"lb": 453.59237, "oz": 28.349523125, "troy oz": 31.1034768}

// AmountSays is what has to be known of the label's quantity before it counts
// as the mass of a container: "" where it is one in g or kg that agrees with
// what was typed, if anything was.
func (l MakerLabel) AmountSays(typed Reading) string {
	if l.Amount.From == "" {
		return ""
	}
	is := strings.TrimSpace(l.Amount.Text + " " + l.Unit)
	n, _ := decimal(l.Amount.Text)
	switch factor := gramsOf[l.Unit]; {
	case factor != 0:
		return fmt.Sprintf("The label gives the mass as %s, which is %.1f g. Weigh the container, and type its mass in g or kg.", is, n*factor)
	case l.Unit == "":
		return fmt.Sprintf("The label gives the quantity %s and no unit: look what it counts. Weigh the container, and choose the unit yourself.", is)
	case QuantityOf(l.Unit) != Mass:
		return fmt.Sprintf("The label gives the quantity as %s, which is no mass that is read here: weigh the container, and type its mass in g or kg.", is)
	}
	on, err := ParseReading(l.Amount.Text, l.Unit, Mass)
	if err != nil || !typed.Taken() || math.Abs(typed.Value()-on.Value()) <= 0.2*on.Value() {
		return ""
	}
	return fmt.Sprintf("The label says %s, and here stands %s: look at the number and its unit, or weigh the container again.", is, typed)
}

// DaysSay is what is odd about the label's days as of today.
func (l MakerLabel) DaysSay(today Date) []string {
	var said []string
	if on := Date(l.Expires.Text); l.Expires.From != "" && on < today {
		said = append(said, fmt.Sprintf("The last day of use on the label, %s, has passed: nothing may be printed of it. Is it the right label, and the right day?", on))
	}
	if on := Date(l.MadeOn.Text); l.MadeOn.From != "" && on > today {
		said = append(said, fmt.Sprintf("The day it was made on the label, %s, is still to come: compare it with the label.", on))
	}
	return said
}

// dashed writes eight digits as a day.
func dashed(text string) string { return text[:4] + "-" + text[4:6] + "-" + text[6:] }

func allDigits(text string) bool { return strings.Trim(text, "0123456789") == "" }

// Visible writes a scan with every character that cannot be shown as \x and
// two hexadecimal digits for each of its bytes, and a backslash twice: so it
// survives forms, the log and its canonical text, and AsScanned gives back
// every byte.
func Visible(raw string) string {
	var b strings.Builder
	for len(raw) > 0 {
		r, size := utf8.DecodeRuneInString(raw)
		switch {
		case r == '\\':
			b.WriteString(`\\`)
		case shows(r):
			b.WriteString(raw[:size])
		default:
			for i := range size {
				fmt.Fprintf(&b, `\x%02x`, raw[i])
			}
		}
		raw = raw[size:]
	}
	return b.String()
}

// AsScanned is the scan that Visible wrote; ok is false for a text that it
// cannot have written.
func AsScanned(visible string) (raw string, ok bool) {
	var b strings.Builder
	for i := 0; i < len(visible); i++ {
		if visible[i] != '\\' {
			b.WriteByte(visible[i])
			continue
		}
		if strings.HasPrefix(visible[i:], `\\`) {
			b.WriteByte('\\')
			i++
			continue
		}
		var c byte
		if len(visible) < i+4 || visible[i+1] != 'x' {
			return "", false
		}
		if _, err := fmt.Sscanf(visible[i+2:i+4], "%02x", &c); err != nil {
			return "", false
		}
		b.WriteByte(c)
		i += 3
	}
	return b.String(), Visible(b.String()) == visible
}

// KeptLabel reads a label that was kept with a record; where it was taken on a
// person's word, that is the reading which suggested itself then. nil is one
// that says nothing here.
func KeptLabel(visible string, today Date) *MakerLabel {
	raw, ok := AsScanned(visible)
	if !ok || visible == "" {
		return nil
	}
	return likely(ReadMakerLabel(raw, today))
}

// labelSays is a value of a record that a label must not contradict.
type labelSays struct{ field, value string }

// labelled refuses a label that is not kept as a scan, or that is of another
// lot, article or container than the record.
func (f Fields) labelled(visible string, values ...labelSays) {
	for _, scan := range labelScans(visible) {
		if _, ok := AsScanned(scan); !ok || scan == "" {
			f.Say("label", "The label's text %q is not as a scan is kept. Scan the label again.", scan)
		}
	}
	for _, l := range KeptLabels(visible, "2025-01-01") { // the numbers do not hang on the century of a day
		for _, v := range values {
			on := map[string]LabelField{"lot": l.Lot, "article": l.Article, "serial": l.Serial}[v.field]
			if on.From != "" && on.Text != v.value {
				f.Say(v.field, "The supplier's label says %s %s; here stands %s.", on.What, on.Text, orNone(v.value))
			}
		}
	}
}

// labelScans are the scans that are kept with a record: a delivery may have
// several labels, each with a part of what is to be known. They stand a line
// for each, for a scan itself is kept in one line.
func labelScans(visible string) []string {
	if visible == "" {
		return nil
	}
	return strings.Split(visible, "\n")
}

// KeptLabels reads the labels that were kept with a record, as KeptLabel does.
func KeptLabels(visible string, today Date) []MakerLabel {
	var all []MakerLabel
	for _, scan := range labelScans(visible) {
		if l := KeptLabel(scan, today); l != nil {
			all = append(all, *l)
		}
	}
	return all
}

func orNone(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}
