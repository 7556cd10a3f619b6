package shop

import (
	"slices"
	"strings"
	"unicode"
)

// Unwrapped strips what a scanner added to a label's text: spaces, line ends
// and tabs around it, the start and end of text, the AIM symbology identifier
// (`]C1` and its like, returned as aim) and the asterisks of Code 39. What
// stands inside, separators too, is left as it is.
func Unwrapped(raw string) (text, aim string) {
	text = trimmed(raw)
	if len(text) >= 3 && text[0] == ']' && isLetter(text[1]) && (isDigit(text[2]) || isLetter(text[2])) {
		text, aim = trimmed(text[3:]), text[:3]
	}
	if len(text) > 2 && text[0] == '*' && text[len(text)-1] == '*' {
		text = trimmed(text[1 : len(text)-1])
	}
	return text, aim
}

// trimmed is a text without what stands around it: spaces, line ends, tabs,
// start and end of text (STX and ETX, or the pictures of them).
func trimmed(text string) string {
	return strings.TrimFunc(text, func(r rune) bool {
		return unicode.IsSpace(r) || r == '\x02' || r == '\x03' || r == '␂' || r == '␃' || r == '␍' || r == '␊' || r == '␉'
	})
}

func isDigit(c byte) bool  { return '0' <= c && c <= '9' }
func isLetter(c byte) bool { return 'A' <= c && c <= 'Z' || 'a' <= c && c <= 'z' }

// A keyboard is what its keys give, in the order of usKeys; a space where a key
// gives nothing that a scan could hold.
type keyboard struct{ keys, shifted string }

var usKeys = keyboard{
	"`1234567890-=" + `qwertyuiop[]\` + `asdfghjkl;'` + `zxcvbnm,./`,
	`~!@#$%^&*()_+` + `QWERTYUIOP{}|` + `ASDFGHJKL:"` + `ZXCVBNM<>?`,
}

// keyboards are those that scanners are plugged into by mistake, compared with
// the layouts fr, de, be and ch of xkeyboard-config 2.35. A dead key
// stands here by the accent that it gives alone.
var keyboards = []keyboard{
	{ // French
		`²&é"'(-è_çà)=` + `azertyuiop^$*` + `qsdfghjklmù` + `wxcvbn,;:!`,
		` 1234567890°+` + `AZERTYUIOP¨£µ` + `QSDFGHJKLM%` + `WXCVBN?./§`,
	},
	{ // German
		`^1234567890ß´` + `qwertzuiopü+#` + `asdfghjklöä` + `yxcvbnm,.-`,
		"°!\"§$%&/()=?`" + `QWERTZUIOPÜ*'` + `ASDFGHJKLÖÄ` + `YXCVBNM;:_`,
	},
	{ // Belgian
		`²&é"'(§è!çà)-` + `azertyuiop^$µ` + `qsdfghjklmù` + `wxcvbn,;:=`,
		`³1234567890°_` + `AZERTYUIOP¨*£` + `QSDFGHJKLM%` + `WXCVBN?./+`,
	},
	{ // Swiss, German
		`§1234567890'^` + `qwertzuiopü¨$` + `asdfghjklöä` + `yxcvbnm,.-`,
		"°+\"*ç%&/()=?`" + `QWERTZUIOPè!£` + `ASDFGHJKLéà` + `YXCVBNM;:_`,
	},
	{ // Swiss, French
		`§1234567890'^` + `qwertzuiopè¨$` + `asdfghjkléà` + `yxcvbnm,.-`,
		"°+\"*ç%&/()=?`" + `QWERTZUIOPü!£` + `ASDFGHJKLöä` + `YXCVBNM;:_`,
	},
}

// OtherKeyboard is what a label would have said if the scanner pressed the
// keys of a US keyboard and the computer took them for those of a French,
// German, Belgian or Swiss one. A layout that cannot give the text has no part
// in the answer, nor has one that leaves the text as it is. Each is a guess:
// take one only where something real is found by it, and say so.
func OtherKeyboard(text string) []string {
	var found []string
	for _, k := range keyboards {
		if label, ok := k.label(text); ok && label != text && !slices.Contains(found, label) {
			found = append(found, label)
		}
	}
	return found
}

// label turns what the keyboard gave back into what the scanner pressed.
func (k keyboard) label(text string) (string, bool) {
	keys := map[rune]rune{}
	for _, pair := range [][2]string{{k.keys, usKeys.keys}, {k.shifted, usKeys.shifted}} {
		us := []rune(pair[1])
		for i, r := range []rune(pair[0]) {
			if _, twice := keys[r]; !twice {
				keys[r] = us[i]
			}
		}
	}
	keys[' '] = ' '
	ok := true
	return strings.Map(func(r rune) rune {
		if r < ' ' {
			return r // a separator is no key
		}
		was, known := keys[r]
		ok = ok && known
		return was
	}, text), ok
}

// ForeignKeys reports whether a scan has characters that tell of scanner and
// computer using different keyboards: accents and signs that stand where a US
// keyboard has digits and marks, or such marks and not one digit. A text that
// somebody typed may well have them too, and a scan of letters alone tells
// nothing: ask it of a scan that led to nothing.
func ForeignKeys(text string) bool {
	if strings.ContainsFunc(text, foreignKey) {
		return true
	}
	return strings.ContainsAny(text, `&"'(`) && !strings.ContainsAny(text, "0123456789")
}

// foreignKey reports whether one of the keyboards gives a character and a US
// one does not.
func foreignKey(r rune) bool {
	return r > unicode.MaxASCII && slices.ContainsFunc(keyboards, func(k keyboard) bool {
		return strings.ContainsRune(k.keys, r) || strings.ContainsRune(k.shifted, r)
	})
}
