package shop

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A CertificateLine is a property of a lot as its maker certifies it, with the
// limits that the order sets; the text of each number is kept as it stands.
type CertificateLine struct {
	Property string `json:"property"`
	Value    string `json:"value"`
	Unit     string `json:"unit"`
	Lower    string `json:"lower"` // "" for none
	Upper    string `json:"upper"` // "" for none
}

// Verdict is pass or fail by its limits, "" without any.
func (l CertificateLine) Verdict() string {
	if l.Lower == "" && l.Upper == "" {
		return ""
	}
	v, _ := decimal(l.Value)
	if low, ok := decimal(l.Lower); ok && v < low {
		return "fail"
	}
	if high, ok := decimal(l.Upper); ok && v > high {
		return "fail"
	}
	return "pass"
}

// CertificateEntered records what the maker of a lot certifies of it.
type CertificateEntered struct {
	Lot   string            `json:"lot"`
	Lines []CertificateLine `json:"lines"`

	Filed *DocumentFiled `json:"-"` // the document itself, an entry of its own behind this one; nil where it is filed later
}

// Follow files the document that the lines were copied from: it is recorded
// with them, or nothing is.
func (e CertificateEntered) Follow() []Event {
	if e.Filed == nil {
		return nil
	}
	return []Event{*e.Filed}
}

func (CertificateEntered) Kind() string         { return "certificate-entered" }
func (e CertificateEntered) Subjects() []string { return []string{Subject("lot", e.Lot)} }

// Valid refuses a certificate of nothing, and what is no number.
func (e CertificateEntered) Valid() error {
	f := Fields{}
	f.Need("lot", e.Lot, "The lot")
	if len(e.Lines) == 0 {
		f.Say("lines", "A property is missing: copy the certificate, a line for each.")
	}
	for i, l := range e.Lines {
		field := FieldOf("lines", i)
		f.Need(field, l.Property, "The property")
		f.Need(field, l.Unit, "The unit of "+l.Property)
		if _, ok := decimal(l.Value); !ok {
			f.Say(field, "The value of %s is %q: it must be a number.", l.Property, l.Value)
		}
		low, hasLow := decimal(l.Lower)
		high, hasHigh := decimal(l.Upper)
		switch {
		case l.Lower != "" && !hasLow, l.Upper != "" && !hasHigh:
			f.Say(field, "The limits of %s are %q and %q: each must be a number or empty.", l.Property, l.Lower, l.Upper)
		case hasLow && hasHigh && low > high:
			f.Say(field, "The limits of %s are %s and %s: the lower is above the upper.", l.Property, l.Lower, l.Upper)
		}
	}
	if d := e.Filed; d != nil {
		if err := f.Take(Check(*d)); err != nil {
			return err
		}
		if d.OnKind != "lot" || d.OnCode != e.Lot {
			f.Say("type", "The document is that of %s %s; the certificate is entered for lot %s.", d.OnKind, d.OnCode, e.Lot)
		}
	}
	return f.Err()
}

// decimal reads a number with a point or a comma.
func decimal(text string) (float64, bool) {
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return v, err == nil && !math.IsInf(v, 0) && !math.IsNaN(v)
}

// Words are the line as a sentence lists it.
func (l CertificateLine) Words() string {
	said := fmt.Sprintf("%s %s %s", l.Property, l.Value, l.Unit)
	switch {
	case l.Lower != "" && l.Upper != "":
		said += " (" + l.Lower + " to " + l.Upper + ")"
	case l.Lower != "":
		said += " (at least " + l.Lower + ")"
	case l.Upper != "":
		said += " (at most " + l.Upper + ")"
	}
	return said
}

// WetDensity is the density of the paste as it comes: what was typed when the
// lot was received, else what a line of its certificate says; not taken where
// neither does.
func WetDensity(l Lot, lines []CertificateLine) Reading {
	if l.WetDensity.Taken() {
		return l.WetDensity
	}
	for _, line := range lines {
		name, unit := strings.ToLower(line.Property), strings.NewReplacer("³", "3", "^", "").Replace(strings.ToLower(line.Unit))
		if !strings.Contains(name, "density") || !strings.Contains(name, "paste") && !strings.Contains(name, "wet") {
			continue // of the powder, or of the sintered steel
		}
		if r, err := ParseReading(line.Value, unit, Density); err == nil {
			return r
		}
	}
	return Reading{}
}
