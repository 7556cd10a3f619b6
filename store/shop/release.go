package shop

import (
	"fmt"
	"slices"
	"time"
)

// A Release lets one design revision be printed of one lot on one machine,
// with the oversize that belongs to them.
type Release struct {
	ID           int64
	Release      string // number and revision, as DR-12 A
	Design       string
	Revision     string
	Lot          string     // from the first layer on
	Further      []LayerLot // where other lots take over; none for a piece of one lot
	Firsts       []string   // inserts that it is for, while its lot is on test; none for one that is for all
	Machine      string
	Recipe       string
	Orientation  string
	KX, KY, KZ   Reading
	Evidence     string
	Program      string
	ProgramHash  string
	SupersededBy string // "" while in force
	SupersededAt time.Time
	Signatures   []Signature
}

// A LayerLot is the lot of which a piece is printed from a layer on.
type LayerLot struct {
	Lot       string `json:"lot"`
	FromLayer int    `json:"from_layer"`
}

// Lots are all lots that the release prints, in the order of the layers.
func (r Release) Lots() []string {
	if r.Lot == "" {
		return nil
	}
	lots := []string{r.Lot}
	for _, f := range r.Further {
		if !slices.Contains(lots, f.Lot) {
			lots = append(lots, f.Lot)
		}
	}
	return lots
}

// CoversInsert reports whether an insert may be printed by the release, where it
// is for some only.
func (r Release) CoversInsert(insert string) bool {
	return len(r.Firsts) == 0 || slices.Contains(r.Firsts, insert)
}

// firstOf reports whether the act is about a first insert of a lot: its release
// names it, and prints the lot from the first layer on.
func (f Facts) firstOf(lot string) bool {
	_, changes := f.Event.(LotChanged)
	return !changes && lot == f.Release.Lot && slices.Contains(f.Release.Firsts, f.Insert.Insert)
}

// LotAt is the lot of a layer.
func (r Release) LotAt(layer int) string {
	lot := r.Lot
	for _, f := range r.Further {
		if layer >= f.FromLayer {
			lot = f.Lot
		}
	}
	return lot
}

// LotWords are its lots in words: "L2509-A, from layer 184 L2509-B".
func (r Release) LotWords() string {
	words := r.Lot
	for _, f := range r.Further {
		words += fmt.Sprintf(", from layer %d %s", f.FromLayer, f.Lot)
	}
	return words
}

// A Signature is a person's name under a record, with what it means.
type Signature struct {
	By      string
	Meaning string
	At      time.Time
}

// Signed reports whether two different people signed the release by that time.
func (r Release) Signed(at time.Time) bool {
	first := ""
	for _, s := range r.Signatures {
		switch {
		case s.At.After(at):
		case first == "":
			first = s.By
		case s.By != first:
			return true
		}
	}
	return false
}

// InForce reports whether the release covers a print at that time.
func (r Release) InForce(at time.Time) bool {
	return r.SupersededBy == "" || at.Before(r.SupersededAt)
}

// ReleaseDrafted writes a design release; it counts once two people signed it.
type ReleaseDrafted struct {
	Release     string     `json:"release"`
	Design      string     `json:"design"`
	Revision    string     `json:"revision"`
	Lot         string     `json:"lot"`
	Further     []LayerLot `json:"further"` // where other lots take over, in the order of the layers
	Machine     string     `json:"machine"`
	Recipe      string     `json:"recipe"` // furnace recipe and its revision
	Orientation string     `json:"orientation"`
	KX          Reading    `json:"kx" quantity:"factor"` // oversize factor green/sintered, 1/(1-s)
	KY          Reading    `json:"ky" quantity:"factor"`
	KZ          Reading    `json:"kz" quantity:"factor"`
	Evidence    string     `json:"evidence"`
	Program     string     `json:"program"`
	ProgramHash string     `json:"program_sha256"`
	Supersedes  string     `json:"supersedes"`              // release that this one replaces, "" for none
	Firsts      []string   `json:"first_inserts,omitempty"` // inserts that it is for, while its lot is on test; older releases are for all
}

func (ReleaseDrafted) Kind() string { return "release-drafted" }
func (e ReleaseDrafted) Subjects() []string {
	subjects := []string{Subject("release", e.Release)}
	for _, lot := range (Release{Lot: e.Lot, Further: e.Further}).Lots() {
		subjects = append(subjects, Subject("lot", lot))
	}
	return append(subjects, Subject("design", e.Design))
}

// The oversize factors that a release may carry. Outside of them a factor is
// a slip: 1.10 to 1.30 is the plausible range for shrinkage of 9 to 23 %.
const (
	leastOversize = 1.10
	mostOversize  = 1.30
)

func (ReleaseDrafted) Operation() string { return OpPrint }

// Gates of drafting a release.
func (ReleaseDrafted) Gates() []Gate { return []Gate{ReleaseAsLot, FirstInsertsAsPlanned} }

// Drafted is the release as it is written, before anybody signed it.
func (e ReleaseDrafted) Drafted() Release {
	return Release{Release: e.Release, Design: e.Design, Revision: e.Revision, Lot: e.Lot, Further: e.Further, Firsts: e.Firsts, Machine: e.Machine, Recipe: e.Recipe, KX: e.KX, KY: e.KY, KZ: e.KZ}
}

// Valid refuses a release that leaves anything open, or a factor outside 1.10
// to 1.30.
func (e ReleaseDrafted) Valid() error {
	f := Fields{}
	f.Number("release", e.Release, "The release number")
	f.Need("design", e.Design, "The part number")
	f.Need("revision", e.Revision, "The revision")
	f.Need("lot", e.Lot, "The paste lot")
	f.Need("machine", e.Machine, "The machine")
	f.Need("recipe", e.Recipe, "The furnace recipe")
	f.Need("orientation", e.Orientation, "The build orientation")
	f.Need("evidence", e.Evidence, "What the oversize factors rest on")
	f.Need("program", e.Program, "The program")
	if !isSHA256(e.ProgramHash) {
		f.Say("program_sha256", "The program's SHA-256 must be 64 digits 0-9 and a-f.")
	}
	f.needOversize("kx", e.KX, "X")
	f.needOversize("ky", e.KY, "Y")
	f.needOversize("kz", e.KZ, "Z")
	lot, layer := e.Lot, 1
	for i, next := range e.Further {
		field := fmt.Sprintf("further.%d", i+1)
		switch {
		case next.Lot == "":
			f.Say(field, "The lot from layer %d on is missing.", next.FromLayer)
		case next.Lot == lot:
			f.Say(field, "Lot %s cannot take over from itself.", lot)
		case next.FromLayer <= layer:
			f.Say(field, "Lot %s takes over at layer %d: it must be a layer after %d.", next.Lot, next.FromLayer, layer)
		}
		lot, layer = next.Lot, next.FromLayer
	}
	f.firstInserts(e)
	if e.Supersedes == e.Release && e.Release != "" {
		f.Say("supersedes", "Release %s cannot supersede itself.", e.Release)
	}
	return f.Err()
}

// firstInserts checks the inserts that a release is for.
func (f Fields) firstInserts(e ReleaseDrafted) {
	for i, insert := range e.Firsts {
		switch {
		case insert == "":
			f.Say("first_inserts", "The number of a first insert is missing.")
		case slices.Contains(e.Firsts[:i], insert):
			f.Say("first_inserts", "%s is named twice.", insert)
		}
	}
}

func (f Fields) needOversize(field string, k Reading, axis string) {
	switch {
	case !k.Taken():
		f.Say(field, "The oversize factor in %s is missing.", axis)
	case k.Value() < leastOversize || k.Value() > mostOversize:
		f.Say(field, "%s", spaced(fmt.Sprintf("The oversize factor in %s is %s: it must lie from 1.10 to 1.30. It is green length divided by sintered length.", axis, k), slipByRange(k)))
	case k.Decimals() < 4:
		f.Say(field, "The oversize factor in %s is %s: give it to four decimals.", axis, k)
	}
}

func isSHA256(text string) bool {
	if len(text) != 64 {
		return false
	}
	for _, c := range text {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

// ReleaseSigned puts a person's signature under a release. What it means
// stands in the entry.
type ReleaseSigned struct {
	Release string `json:"release"`
}

func (ReleaseSigned) Kind() string         { return "release-signed" }
func (e ReleaseSigned) Subjects() []string { return []string{Subject("release", e.Release)} }

func (ReleaseSigned) Operation() string { return OpPrint }

// Gates of signing a release.
func (ReleaseSigned) Gates() []Gate {
	return []Gate{ReleaseAsLot, AxesMeasured, FirstInsertsAsPlanned}
}

// Valid refuses a signature under nothing.
func (e ReleaseSigned) Valid() error {
	f := Fields{}
	f.Need("release", e.Release, "The release")
	return f.Err()
}

// ReleaseWithdrawn takes a release out of force without another in its place.
type ReleaseWithdrawn struct {
	Release string `json:"release"`
}

func (ReleaseWithdrawn) Kind() string         { return "release-withdrawn" }
func (e ReleaseWithdrawn) Subjects() []string { return []string{Subject("release", e.Release)} }

// Valid refuses a withdrawal of nothing.
func (e ReleaseWithdrawn) Valid() error {
	f := Fields{}
	f.Need("release", e.Release, "The release")
	return f.Err()
}
