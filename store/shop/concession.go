package shop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// A Concession is the permission to use pieces that do not conform, within a
// scope: which pieces and how many, what they may read, in which mould, and
// until when (ISO 9000:2015 3.12.5).
type Concession struct {
	Seq               int64
	Concession        string // as CN-01
	Nonconformance    string
	Inserts           []string
	What              string // what is allowed, in words
	Limits            []ConcessionLimit
	Mould             string // valid for this mould only, "" for any and for stock
	Customer          string
	CustomerReference string // letter or message in which the customer agreed
	Quantity          int    // pieces that may be used
	ExpiresOn         Date   // last day on which one may be fitted or delivered
	GivenAt           time.Time
	GivenBy           string
	WithdrawnAt       time.Time // zero while it stands
	WithdrawnBy       string
	WithdrawnWhy      string

	Used []string // pieces of it that are fitted
}

// A ConcessionLimit is how far a characteristic may go under a concession.
type ConcessionLimit struct {
	Of    string  `json:"of"`                        // the characteristic's number, or its name for several parts
	Lower Reading `json:"lower" quantity:"its kind"` // not taken: no lower limit
	Upper Reading `json:"upper" quantity:"its kind"` // not taken: no upper limit
}

// String is the limit in words.
func (l ConcessionLimit) String() string {
	return l.Of + " " + Characteristic{Lower: l.Lower, Upper: l.Upper}.Limits()
}

// about reports whether a failed characteristic is the one that a limit names.
func (l ConcessionLimit) about(x Fail) bool {
	return strings.EqualFold(l.Of, x.Characteristic) || strings.EqualFold(l.Of, x.Name)
}

// refuses says why a concession does not cover a piece where it goes; "" when
// it does.
func (c Concession) refuses(f Facts) string {
	insert, mould := f.Insert.Insert, f.ToMould
	switch day := DayOf(f.At, f.Zone); {
	case !slices.Contains(c.Inserts, insert):
		return fmt.Sprintf("Concession %s is for %s, not for %s.", c.Concession, Listed(c.Inserts), insert)
	case c.GivenAt.After(f.AsOf()):
		return fmt.Sprintf("Concession %s was given later, %s.", c.Concession, f.clock(c.GivenAt))
	case !c.WithdrawnAt.IsZero() && !c.WithdrawnAt.After(f.AsOf()):
		return fmt.Sprintf("Concession %s was withdrawn by %s.", c.Concession, c.WithdrawnBy)
	case day > c.ExpiresOn:
		return fmt.Sprintf("Concession %s expired: its last day was %s.", c.Concession, c.ExpiresOn)
	case c.Mould != "" && mould != c.Mould:
		return fmt.Sprintf("Concession %s is for mould %s, not %s.", c.Concession, c.Mould, cmpOr(mould, "for stock"))
	case !slices.Contains(c.Used, insert) && len(c.Used) >= c.Quantity:
		return fmt.Sprintf("Concession %s allows %s, and %s used already.", c.Concession, pieces(c.Quantity), isAre(c.Used))
	}
	for _, x := range f.Fails {
		if no := c.beyond(x); no != "" {
			return no
		}
	}
	return ""
}

// beyond says why what a piece reads is more than the concession allows. One
// without limits was judged by whoever gave it.
func (c Concession) beyond(x Fail) string {
	if len(c.Limits) == 0 {
		return ""
	}
	at := slices.IndexFunc(c.Limits, func(l ConcessionLimit) bool { return l.about(x) })
	if at < 0 {
		return fmt.Sprintf("Concession %s says nothing of %s.", c.Concession, x)
	}
	l := c.Limits[at]
	for _, end := range []Reading{l.Lower, l.Upper} {
		if end.Taken() && QuantityOf(end.Unit) != QuantityOf(x.Value.Unit) {
			return fmt.Sprintf("Concession %s allows %s: %s is another quantity.", c.Concession, l, x)
		}
	}
	if (Characteristic{Lower: l.Lower, Upper: l.Upper}).Verdict(x.Value) == "fail" {
		return fmt.Sprintf("Concession %s allows %s; %s reads %s.", c.Concession, l, x.Characteristic, x.Value)
	}
	return ""
}

func pieces(n int) string {
	if n == 1 {
		return "1 piece"
	}
	return strconv.Itoa(n) + " pieces"
}

func isAre(things []string) string {
	if len(things) == 1 {
		return things[0] + " is"
	}
	return Listed(things) + " are"
}

// ConcessionGiven permits the use of pieces that do not conform.
type ConcessionGiven struct {
	Concession        string            `json:"concession"`
	Nonconformance    string            `json:"nonconformance"`
	Inserts           []string          `json:"inserts"`
	What              string            `json:"what"`
	Limits            []ConcessionLimit `json:"limits"`
	Mould             string            `json:"mould"`
	Customer          string            `json:"customer"`
	CustomerReference string            `json:"customer_reference"`
	Quantity          int               `json:"quantity"`
	ExpiresOn         Date              `json:"expires_on"`
}

func (ConcessionGiven) Kind() string { return "concession-given" }
func (e ConcessionGiven) Subjects() []string {
	subjects := append([]string{Subject("concession", e.Concession)}, ofNonconformance(e.Nonconformance, e.Inserts)...)
	if e.Mould != "" {
		subjects = append(subjects, Subject("mould", e.Mould))
	}
	return subjects
}

// Valid refuses a concession without a scope.
func (e ConcessionGiven) Valid() error {
	f := Fields{}
	f.Number("concession", e.Concession, "The concession's number")
	f.Need("nonconformance", e.Nonconformance, "The nonconformance")
	f.needPieces(e.Inserts)
	f.Need("what", e.What, "What is allowed")
	for i, l := range e.Limits {
		f.needLimit(fmt.Sprintf("limits.%d", i+1), l)
	}
	switch {
	case e.Quantity < 1:
		f.sayCount("quantity", "The number of pieces allowed", e.Quantity, 0)
	case len(e.Inserts) > 0 && e.Quantity > len(e.Inserts):
		f.Say("quantity", "%s are allowed, and %d are named.", sentenceCase(pieces(e.Quantity)), len(e.Inserts))
	}
	f.needDate("expires_on", e.ExpiresOn, "The last day of the concession")
	return f.Err()
}

func (f Fields) needLimit(field string, l ConcessionLimit) {
	switch {
	case l.Of == "":
		f.Say(field, "The characteristic of the limit is missing.")
	case !l.Lower.Taken() && !l.Upper.Taken():
		f.Say(field, "The limit of %s is missing: give the least, the most, or both.", l.Of)
	case l.Lower.Taken() && l.Upper.Taken() && QuantityOf(l.Lower.Unit) != QuantityOf(l.Upper.Unit):
		f.Say(field, "%s and %s are not of one quantity.", l.Lower, l.Upper)
	case l.Lower.Taken() && l.Upper.Taken() && l.Lower.Value() > l.Upper.Value():
		f.Say(field, "The least of %s, %s, is more than the most, %s.", l.Of, l.Lower, l.Upper)
	}
}

// ConcessionWithdrawn ends a concession: what was fitted under it stays a
// matter of record, nothing more may be.
type ConcessionWithdrawn struct {
	Concession     string   `json:"concession"`
	Nonconformance string   `json:"nonconformance"`
	Inserts        []string `json:"inserts"`
	Why            string   `json:"why"`
}

func (ConcessionWithdrawn) Kind() string { return "concession-withdrawn" }
func (e ConcessionWithdrawn) Subjects() []string {
	return append([]string{Subject("concession", e.Concession)}, ofNonconformance(e.Nonconformance, e.Inserts)...)
}

// Valid refuses to withdraw without a reason.
func (e ConcessionWithdrawn) Valid() error {
	f := Fields{}
	f.Need("concession", e.Concession, "The concession")
	f.Need("nonconformance", e.Nonconformance, "The nonconformance")
	f.needPieces(e.Inserts)
	f.Need("why", e.Why, "The reason for withdrawing it")
	return f.Err()
}
