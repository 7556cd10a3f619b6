package views

import "sinterbook/store/shop"

// NewContainer is the form that receives a container.
type NewContainer struct {
	New
	Lots []shop.Lot
}

// LotOptions are the lots that a container can be of.
func (p NewContainer) LotOptions() []Option {
	var o []Option
	for _, l := range p.Lots {
		o = append(o, Option{Value: l.Lot, Text: l.Lot + ", " + l.Material})
	}
	return o
}
