package views

import "strconv"

// weighed says what was weighed and set when drying began.
func (p Work) weighed() []Fact {
	if len(p.Drying) == 0 {
		return nil
	}
	d := p.Drying[len(p.Drying)-1]
	return together(fact("Oven, shelf", d.Oven+opt(", ", d.Shelf)), fact("Air", shown(d.Air)), fact("Mass before", shown(d.Wet)),
		fact("Since", p.by(d.BeganBy, d.Began)), []Fact{{Name: "For", Value: Lasted(p.At.Sub(d.Began))}})
}

// Correct is the address of the form that puts a record right.
func (p Work) Correct(act string, seq int64) string {
	return ActOf(p.Insert.Insert, act) + "&corrects=" + strconv.FormatInt(seq, 10)
}
