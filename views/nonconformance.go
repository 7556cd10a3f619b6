package views

import (
	"slices"
	"time"

	"sinterbook/store/shop"
)

// Nonconformances is the list of what was decided about pieces.
type Nonconformances struct {
	Frame
	Decided []shop.Nonconformance
	Older   string // leads to those further back, "" at the end
	Zone    *time.Location
}

// Nonconformance is the page about one number with all its pieces.
type Nonconformance struct {
	Frame
	Number      string
	Items       []shop.Nonconformance
	Concessions []shop.Concession
	Zone        *time.Location
	At          time.Time
	Decide      *Form // nil for those who decide nothing, and once nothing waits
	Raises      bool  // the visitor may name another piece
	Concedes    bool  // the visitor may give a concession
}

// CancelIt stands among the dispositions for what was raised by mistake.
const CancelIt = "cancel"

// Open are the pieces that wait for a decision.
func (p Nonconformance) Open() []shop.Nonconformance {
	return slices.DeleteFunc(slices.Clone(p.Items), func(n shop.Nonconformance) bool { return n.State != shop.NCOpen })
}

// Stands reports whether anything in it can still need a concession.
func (p Nonconformance) Stands() bool {
	return slices.ContainsFunc(p.Items, shop.Nonconformance.Stands)
}

// Words say how many pieces it is about and how it stands.
func (p Nonconformance) Words() string {
	about := "about " + insertsWord(len(p.Items))
	switch open := len(p.Open()); {
	case open == len(p.Items):
		return about + ", waits for a decision"
	case open > 0:
		return about + ", " + Whole(open) + " of them wait for a decision"
	}
	return about + ", " + ncWord(p.Items[0])
}

// ncWord is how a piece of a nonconformance stands, in words.
func ncWord(n shop.Nonconformance) string {
	switch {
	case n.State == shop.NCClosed && n.Back != "":
		return string(n.Disposition) + ", back to " + n.Back
	case n.State == shop.NCClosed:
		return string(n.Disposition)
	}
	return string(n.State)
}

func ncMark(n shop.Nonconformance) string {
	switch n.State {
	case shop.NCOpen:
		return "stopped"
	case shop.NCCancelled:
		return "left"
	}
	return "done"
}

// Waited is how long a nonconformance has waited for its decision.
func Waited(n shop.Nonconformance, at time.Time) string { return Lasted(at.Sub(n.RaisedAt)) }

// piecesOf are the inserts that some nonconformances are about.
func piecesOf(items []shop.Nonconformance) []string {
	var all []string
	for _, n := range items {
		all = append(all, n.Insert)
	}
	return all
}

func dispositionOptions() []Option {
	return []Option{
		{Value: string(shop.UseAsIs), Text: "use as is"},
		{Value: string(shop.ReworkIt), Text: "rework: until it meets the drawing"},
		{Value: string(shop.RepairIt), Text: "repair: fit for use, but not to the drawing"},
		{Value: string(shop.ScrapIt), Text: "scrap"},
		{Value: CancelIt, Text: "cancel: raised by mistake"},
	}
}

// DecisionNotice says what was decided.
func DecisionNotice(e shop.Event) string { return Sentence(e, time.UTC) }

// ofNonconformance is about what does not conform.
func ofNonconformance(e shop.Event) string {
	switch e := e.(type) {
	case shop.NonconformanceRaised:
		return "Nonconformance " + e.Nonconformance + " was raised on " + e.Insert + ": " + full(e.What)
	case shop.NonconformanceDecided:
		return "Nonconformance " + e.Nonconformance + " on " + shop.Listed(e.Inserts) + " was decided: " + string(e.Disposition) + opt(", back to ", e.Back) + ". Reason: " + full(e.Why)
	case shop.NonconformanceCancelled:
		return "Nonconformance " + e.Nonconformance + " on " + shop.Listed(e.Inserts) + " was cancelled: " + full(e.Why)
	case shop.ConcessionGiven:
		return concessionSentence(e)
	case shop.ConcessionWithdrawn:
		return "Concession " + e.Concession + " for " + shop.Listed(e.Inserts) + " under " + e.Nonconformance + " was withdrawn: " + full(e.Why)
	}
	return ""
}
