package shop

import (
	"fmt"
	"slices"
	"strings"
)

// A Card is an action card: a printed code that says what is to be done with
// what was scanned before it. The cards are the same in every shop, so that a
// spare one can be printed anywhere.
type Card struct {
	Name string // as it stands in addresses
	Word string // as it is printed, large
	Does string // what it does, in a sentence
	Code ScanCode
}

// The action cards.
const (
	CardStart  = "start"
	CardFinish = "finish"
	CardRecord = "record"
	CardPause  = "pause"
	CardHold   = "hold"
	CardFault  = "fault"
	CardClear  = "clear"
)

// Cards are all action cards, in the order in which they are printed. None
// turns into its opposite when it is read twice.
var Cards = []Card{
	card(CardStart, "START", "Begins the operation that comes next, or goes on after a pause."),
	card(CardRecord, "REC0RD", "Records what stands on the screen, as the large button does."),
	card(CardFinish, "F1N1SH", "Ends the operation that is under way."),
	card(CardPause, "PAUSE", "Notes that the work stops for now, and where."),
	card(CardHold, "H0LD", "Asks why, then RECORD stops the insert: nobody goes on with it until the hold is lifted."),
	card(CardFault, "FAULT", "Opens the page for what is wrong: with the part, or with a machine."),
	card(CardClear, "CLEAR", "Puts aside what was scanned and typed. Nothing is recorded."),
}

// card makes a card of a word in the alphabet of scan codes, filled up with
// zeros in front. Its first digit is the least one that makes a good code.
func card(name, word, does string) Card {
	for n := range 10 {
		payload := fmt.Sprintf("%d%s%s", n, strings.Repeat("0", codeLength-2-len(word)), word)
		if c := checkCharacter(payload); strings.IndexByte(codeAlphabet, c) >= 0 {
			return Card{Name: name, Word: strings.NewReplacer("0", "O", "1", "I").Replace(word), Does: does, Code: ScanCode(payload + string(c))}
		}
	}
	panic("no code can be made of " + word) // a test makes all cards
}

// CardOf is the card of a code.
func CardOf(code ScanCode) (Card, bool) {
	i := slices.IndexFunc(Cards, func(c Card) bool { return c.Code == code })
	if i < 0 {
		return Card{}, false
	}
	return Cards[i], true
}

// CardNamed is the card whose word was typed.
func CardNamed(word string) (Card, bool) {
	i := slices.IndexFunc(Cards, func(c Card) bool { return strings.EqualFold(c.Word, word) })
	if i < 0 {
		return Card{}, false
	}
	return Cards[i], true
}
