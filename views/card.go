package views

import "sinterbook/store/shop"

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

// first are the steps of a shift by scans, for whoever has never seen a
// station.
var first = []string{
	"Scan your badge. The first time in a shift, type your PIN.",
	"Scan the traveler of the insert, its plate or its mark. The screen says what comes next and what stands in the way.",
	"Scan what you use: container, cutter, oven, gauge, mould. Type the numbers that you measured.",
	"Scan START, RECORD or FINISH. Only then is anything recorded; the line at the top says what, and when.",
	"Leave the tablet as it is. Whoever comes next scans their own badge.",
}
