package views

import "sinterbook/store/shop"

// NewLot is the form that receives a lot.
type NewLot struct {
	New
	Label LabelBox
}

// NewContainer is the form that receives a container.
type NewContainer struct {
	New
	Label LabelBox
	Lots  []shop.Lot
}

// lotOptions are the lots to choose from.
func lotOptions(lots []shop.Lot) []Option {
	var o []Option
	for _, l := range lots {
		o = append(o, Option{Value: l.Lot, Text: l.Lot + ", " + l.Material})
	}
	return o
}
