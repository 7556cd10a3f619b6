package shop

import "time"

// A Lot is one mix of paste: the quantity that shrinks alike.
type Lot struct {
	ID           int64
	Lot          string
	Material     string
	MadeOn       Date
	ExpiresOn    Date    // last day of use, opened or not
	OpenLifeDays int     // days a container may be used once opened
	Certificate  string  // number of the maker's certificate
	Supplier     string  // as it stands on its label, "" where nobody said
	Article      string  // the maker's article number, "" where nobody said
	Label        string  // what the maker's label said, as Visible writes it; "" where none was scanned
	DryingLow    Reading // drying loss that is accepted, percent; not taken where the shop has not said
	DryingHigh   Reading
	WetDensity   Reading // of the paste as it comes, g/cm³; not taken where nobody said
	Received     time.Time
	ReleasedAt   time.Time // zero while it is on test
	ReleasedBy   string
	Code         ScanCode
}

// Released reports whether the lot may be printed.
func (l Lot) Released() bool { return !l.ReleasedAt.IsZero() }

// InDate reports whether the lot may still be used on a day.
func (l Lot) InDate(day Date) bool { return day <= l.ExpiresOn }

// What a lot may be, in a word.
const (
	LotHeld         = "held"
	LotExpired      = "expired"
	LotOnTest       = "on test"
	LotReleasedWord = "released"
)

// State says in a word whether the lot may be printed on a day; held is the
// number of a hold on it, "" for none.
func (l Lot) State(held string, day Date) string {
	switch {
	case held != "":
		return LotHeld
	case !l.InDate(day):
		return LotExpired
	case !l.Released():
		return LotOnTest
	}
	return LotReleasedWord
}

// LotReceived takes a paste lot into the shop; it may not be printed before it
// is released.
type LotReceived struct {
	Lot          string   `json:"lot"`
	Material     string   `json:"material"`
	MadeOn       Date     `json:"made_on"`
	ExpiresOn    Date     `json:"expires_on"`
	OpenLifeDays int      `json:"open_life_days"`
	Certificate  string   `json:"certificate"`                      // number of the maker's certificate, "" if none came
	DryingLow    Reading  `json:"drying_low" quantity:"percentage"` // drying loss that is accepted; not taken where the shop does not say
	DryingHigh   Reading  `json:"drying_high" quantity:"percentage"`
	WetDensity   Reading  `json:"wet_density,omitzero" quantity:"density"` // of the paste as it comes; older lots say none
	Supplier     string   `json:"supplier,omitempty"`                      // as it stands on its label or delivery note
	Article      string   `json:"article,omitempty"`                       // the maker's article number
	Label        string   `json:"label,omitempty"`                         // the maker's label as the scanner delivered it, to the byte: as Visible writes it, a line for each scan
	Code         ScanCode `json:"code"`
}

func (LotReceived) Kind() string         { return "lot-received" }
func (e LotReceived) Subjects() []string { return []string{Subject("lot", e.Lot)} }

// Valid refuses a lot without expiry or one that expires before it was made.
func (e LotReceived) Valid() error {
	f := Fields{}
	f.Number("lot", e.Lot, "The lot number")
	f.Need("material", e.Material, "The material")
	f.needDate("made_on", e.MadeOn, "The day it was mixed")
	f.needDate("expires_on", e.ExpiresOn, "The last day of use")
	if e.ExpiresOn < e.MadeOn {
		f.Say("expires_on", "The last day of use %s lies before the day it was mixed, %s.", e.ExpiresOn, e.MadeOn)
	}
	if e.OpenLifeDays < 1 || e.OpenLifeDays > 365 {
		f.sayCount("open_life_days", "The open life in days", e.OpenLifeDays, 365)
	}
	f.notNegative("drying_low", e.DryingLow, "The lowest drying loss accepted")
	f.notNegative("drying_high", e.DryingHigh, "The highest drying loss accepted")
	if e.DryingLow.Taken() && e.DryingHigh.Taken() && e.DryingLow.Value() > e.DryingHigh.Value() {
		f.Say("drying_low", "The drying loss accepted runs from %s to %s: the lower is above the upper.", e.DryingLow, e.DryingHigh)
	}
	if d := e.WetDensity; d.Taken() && (d.Value() < 1 || d.Value() > 8) {
		f.Say("wet_density", "A wet density of %s is none of metal paste, which weighs 1 to 8 g/cm³: it may be in kg/m³, or that of the sintered steel.", d)
	}
	f.labelled(e.Label, labelSays{"lot", e.Lot}, labelSays{"article", e.Article})
	needCode(f, e.Code)
	return f.Err()
}

// LotReleased lets a lot be printed.
type LotReleased struct {
	Lot      string   `json:"lot"`
	Evidence string   `json:"evidence"`
	Differ   []string `json:"differ,omitempty"` // releases signed while it was on test by which no print may start; filled by the store
}

func (LotReleased) Kind() string { return "lot-released" }
func (e LotReleased) Subjects() []string {
	subjects := []string{Subject("lot", e.Lot)}
	for _, r := range e.Differ {
		subjects = append(subjects, Subject("release", r))
	}
	return subjects
}

func (LotReleased) Operation() string { return OpPrint }

// Gates of releasing a lot for printing.
func (LotReleased) Gates() []Gate {
	return []Gate{CertificateInLimits, QualifiedAsPlanned, FactorsApproved, ShrinkageKnown}
}

// Valid refuses a release that rests on nothing.
func (e LotReleased) Valid() error {
	f := Fields{}
	f.Need("lot", e.Lot, "The lot number")
	f.Need("evidence", e.Evidence, "What the release rests on")
	return f.Err()
}
