// Package paste accounts for the mass of paste, in grams: what came in is what
// was used, purged, wasted, sent back, what is left, and what nobody can
// explain. The last may be negative, when more was used than there was: that
// is as wrong as a loss, and usually a mass typed twice.
//
// The tempting mistake is to work out what is left as what came in less what
// went out: then nothing is ever unexplained. What is left is weighed.
//
// Masses are added in whole milligrams, rounded to the nearest: tenths and
// hundredths of a gram have no exact binary form, and sums of them would show
// a loss of a millionth, or hide that a limit was met exactly.
package paste

import (
	"errors"
	"math"
)

// What keeps a number from being given. Each is a sentence for a person, save
// its capital and full stop.
var (
	ErrNotFinite   = errors.New("a mass is missing or too large to be one")
	ErrNegative    = errors.New("a mass is below zero")
	ErrNotPositive = errors.New("a volume, density or mass that must be above zero is not")
	ErrShare       = errors.New("a share must lie between 0 and 1")
	ErrTooMuch     = errors.New("more is drawn than is left")
)

// most is the largest mass that is counted, a thousand tonnes: milligrams of
// more than that would no longer be exact in a sum.
const most = 1e9

// mg is a mass in whole milligrams.
func mg(grams float64) int64 { return int64(math.Round(grams * 1000)) }

// grams is the mass of whole milligrams.
func grams(mg int64) float64 { return float64(mg) / 1000 }

// check refuses what is no mass.
func check(of ...float64) error {
	for _, m := range of {
		switch {
		case math.IsNaN(m) || math.Abs(m) > most:
			return ErrNotFinite
		case m < 0:
			return ErrNegative
		}
	}
	return nil
}

// An Account is where the mass of a container or a lot went, in grams.
type Account struct {
	In       float64 // received
	Used     float64 // drawn into inserts and coupons
	Purged   float64 // through the nozzle before and between prints
	Wasted   float64 // wiped off, dried out, scrapped
	Returned float64 // sent back to who made it
	Left     float64 // in the container, as weighed
}

// Check refuses an account with a mass that is none.
func (a Account) Check() error {
	return check(a.In, a.Used, a.Purged, a.Wasted, a.Returned, a.Left)
}

// unexplained in milligrams.
func (a Account) unexplained() int64 {
	return mg(a.In) - mg(a.Used) - mg(a.Purged) - mg(a.Wasted) - mg(a.Returned) - mg(a.Left)
}

// Unexplained is what came in and is nowhere, in grams; below zero when more
// went out than came in. It is exact to the milligram for an account that
// passes Check.
func (a Account) Unexplained() float64 { return grams(a.unexplained()) }

// Waste is what was purged and wasted together.
func (a Account) Waste() float64 { return grams(mg(a.Purged) + mg(a.Wasted)) }

// Flag reports whether more is unexplained, lost or too much, than the limit.
// A mass just at the limit is not more. An account or limit that is no number
// is flagged.
func (a Account) Flag(limit float64) bool {
	if a.Check() != nil || check(limit) != nil {
		return true
	}
	u := a.unexplained()
	return max(u, -u) > mg(limit)
}

// Plus adds two accounts, as those of a lot's containers.
func (a Account) Plus(b Account) Account {
	sum := func(x, y float64) float64 { return grams(mg(x) + mg(y)) }
	return Account{
		In: sum(a.In, b.In), Used: sum(a.Used, b.Used), Purged: sum(a.Purged, b.Purged),
		Wasted: sum(a.Wasted, b.Wasted), Returned: sum(a.Returned, b.Returned), Left: sum(a.Left, b.Left),
	}
}

// Sum adds masses, exact to the milligram.
func Sum(masses ...float64) (float64, error) {
	if err := check(masses...); err != nil {
		return 0, err
	}
	total := int64(0)
	for _, m := range masses {
		total += mg(m)
	}
	return grams(total), nil
}

// Draw is what is left after drawing: never below zero.
func Draw(left, drawn float64) (float64, error) {
	if err := check(left, drawn); err != nil {
		return 0, err
	}
	if mg(drawn) > mg(left) {
		return 0, ErrTooMuch
	}
	return grams(mg(left) - mg(drawn)), nil
}

// GreenVolume is the volume as printed of a part of a sintered volume, both in
// mm³: each axis is longer by its oversize factor. To weigh the sintered
// volume instead finds every insert some 70 % too heavy.
func GreenVolume(sintered, kx, ky, kz float64) (float64, error) {
	v := sintered * kx * ky * kz
	if !(sintered > 0 && kx >= 1 && ky >= 1 && kz >= 1 && v <= math.MaxFloat64) {
		return 0, ErrNotPositive
	}
	return v, nil
}

// ExpectedMass is what printing a volume takes, in grams: the volume as
// printed in mm³ (see GreenVolume), the density of the wet paste in g/cm³, and
// the share of the volume that is of this container or lot, 1 for all. What is
// trimmed off by shaping is drawn too, and not in it.
func ExpectedMass(volume, wetDensity, share float64) (float64, error) {
	m := volume / 1000 * wetDensity * share
	switch {
	case !(share >= 0 && share <= 1):
		return 0, ErrShare
	case !(volume > 0 && wetDensity > 0):
		return 0, ErrNotPositive
	case !(m <= most):
		return 0, ErrNotFinite
	}
	return m, nil
}

// InsertsLeft is how many inserts of a mass each can be made whole of what is
// left.
func InsertsLeft(left, perInsert float64) (int, error) {
	if err := check(left, perInsert); err != nil {
		return 0, err
	}
	if mg(perInsert) == 0 {
		return 0, ErrNotPositive
	}
	return int(mg(left) / mg(perInsert)), nil
}
