package shop

import "time"

// A LengthPair is one length of a piece, green and sintered: what a lot's
// shrinkage is told from. The piece is wholly of the lot.
type LengthPair struct {
	Piece       string // number of the insert or coupon
	Coupon      bool
	Number      string // characteristic
	Drawn       string // axis of the drawing
	Axis        string // axis of the build, "" where the orientation does not say
	Orientation string
	Nominal     Reading
	KUsed       Reading // oversize that it was printed with; of a coupon its own, else its print's, else its release's
	Green       Reading
	GreenGauge  string
	GreenU      float64 // expanded uncertainty of the green gauge, mm, k = 2; 0 where it is not known
	Sintered    Reading
	Gauge       string
	SinteredU   float64 // the same of the sintered reading
	By          string
	At          time.Time // when it was read sintered
	Load        string    // "" where none is on record
	Position    string
	Lying       string // which way it lay in the furnace, as it was typed; "" where nobody said
}

// Shrinkage is (green − sintered) / green of this length alone.
func (p LengthPair) Shrinkage() float64 {
	return (p.Green.Value() - p.Sintered.Value()) / p.Green.Value()
}

// ErrorFreeOfSlip is the length error that is left once the factor that was
// used is reckoned away: sintered / (nominal · k used / k of the lot) − 1, as a
// share of the length (design.md section 5). A mistyped factor is a slip of its
// own and hides nothing else that way.
func (p LengthPair) ErrorFreeOfSlip(kLot float64) float64 {
	return p.Sintered.Value()*kLot/(p.Nominal.Value()*p.KUsed.Value()) - 1
}
