package views

import (
	"encoding/json"
	"sync"

	"sinterbook/store/shop"
)

// Cards is the page of the action cards.
type Cards struct {
	Frame
	Cards []Card
}

// A Card is an action card as it is printed.
type Card struct {
	shop.Card
	Address string // that its QR code says
}

// cardIndex is what a station's script knows of the cards: which code is
// which.
var cardIndex = sync.OnceValue(func() string {
	names := map[shop.ScanCode]string{}
	for _, c := range shop.Cards {
		names[c.Code] = c.Name
	}
	text, err := json.Marshal(names)
	if err != nil {
		panic(err) // a map of words
	}
	return string(text)
})

// first are the steps of a shift by scans, for whoever has never seen a
// station.
var first = []string{
	"Scan your badge. The first time in a shift, type your PIN.",
	"Scan the traveler of the insert, its plate or its mark. The screen says what comes next and what stands in the way.",
	"Scan what you use: container, cutter, oven, gauge, mould. Type the numbers that you measured.",
	"Scan START, RECORD or FINISH. Only then is anything recorded; the line at the top says what, and when.",
	"Leave the tablet as it is. Whoever comes next scans their own badge.",
}
