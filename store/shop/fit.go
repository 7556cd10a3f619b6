package shop

import (
	"errors"
	"slices"
	"time"
)

// A FitNote is what the toolmaker found and did when the insert met its pocket.
type FitNote struct {
	Seq         int64
	Insert      string
	Mould       string
	Place       string
	At          time.Time
	By          string
	PocketX     Reading
	PocketY     Reading
	GapX        Reading
	GapY        Reading
	Shim        Reading
	Spotting    Reading
	Hours       Reading
	Faces       []Face
	Note        string
	CorrectedBy int64
}

// Faces are the faces of an insert at which stock is taken off or put under.
var Faces = []string{"base", "+X", "-X", "+Y", "-Y"}

// A Face says what was ground off a face, built up on it, or put under it.
type Face struct {
	Face    string  `json:"face"`
	Removed Reading `json:"removed" quantity:"length"`
	Added   Reading `json:"added,omitzero" quantity:"length"` // welded or built up; older entries know none
	Shim    Reading `json:"shim" quantity:"length"`
}

// Worked reports whether anything was written down about the face.
func (f Face) Worked() bool { return f.Removed.Taken() || f.Added.Taken() || f.Shim.Taken() }

// FitUpDone records the fit of an insert in its mould.
type FitUpDone struct {
	Insert   string  `json:"insert"`
	Mould    string  `json:"mould"`
	Place    string  `json:"place"`
	PocketX  Reading `json:"pocket_x" quantity:"length"`
	PocketY  Reading `json:"pocket_y" quantity:"length"`
	GapX     Reading `json:"gap_x" quantity:"length"` // total side gap found
	GapY     Reading `json:"gap_y" quantity:"length"`
	Shim     Reading `json:"shim" quantity:"length"` // under the base
	Spotting Reading `json:"spotting" quantity:"percentage"`
	Hours    Reading `json:"hours" quantity:"time"`
	Faces    []Face  `json:"faces"`
	Note     string  `json:"note"`

	Photos []DocumentAdded `json:"-"` // of the fit; each is an entry of its own behind this one
}

// Follow puts the photos of the fit on the insert: all of them are recorded with
// it, or nothing is.
func (e FitUpDone) Follow() []Event {
	var photos []Event
	for _, p := range e.Photos {
		photos = append(photos, p)
	}
	return photos
}

func (FitUpDone) Kind() string { return "fit-up-done" }
func (e FitUpDone) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("mould", e.Mould)}
}

// Valid refuses a fit without mould, place or shim, and numbers below zero.
func (e FitUpDone) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("mould", e.Mould, "The mould")
	f.Number("place", e.Place, "The place in the mould")
	if !e.Shim.Taken() {
		f.Say("shim", "The shim is missing: type 0 where there is none.")
	}
	f.notNegative("shim", e.Shim, "The shim")
	f.notNegative("pocket_x", e.PocketX, "The pocket in X")
	f.notNegative("pocket_y", e.PocketY, "The pocket in Y")
	f.notNegative("gap_x", e.GapX, "The gap in X")
	f.notNegative("gap_y", e.GapY, "The gap in Y")
	f.notNegative("hours", e.Hours, "The time taken")
	if e.Spotting.Taken() && (e.Spotting.Value() < 0 || e.Spotting.Value() > 100) {
		f.Say("spotting", "The spotting contact is %s: it must lie from 0 to 100 %%.", e.Spotting)
	}
	var named []string
	for _, face := range e.Faces {
		named = append(named, face.Face)
		if !slices.Contains(Faces, face.Face) {
			f.Say("faces", "%q is not a face of an insert.", face.Face)
		}
		f.notNegative("faces", face.Removed, "The stock removed at "+face.Face)
		f.notNegative("faces", face.Added, "The stock added at "+face.Face)
		f.notNegative("faces", face.Shim, "The shim at "+face.Face)
	}
	f.noTwice("faces", named)
	f.photos(e)
	return f.Err()
}

// photos says what is wrong with the photos of a fit. They are on its insert,
// and one is not sent twice.
func (f Fields) photos(e FitUpDone) {
	var named []string
	for _, p := range e.Photos {
		if no, ok := errors.AsType[*Invalid](Check(p)); ok {
			f.Say("photo", "%s", no.Error())
		}
		if p.OnKind != "insert" || p.OnCode != e.Insert {
			f.Say("photo", "The photo %s is on %s %s; the fit is of insert %s.", p.Name, p.OnKind, p.OnCode, e.Insert)
		}
		named = append(named, p.Document)
	}
	if len(slices.Compact(slices.Sorted(slices.Values(named)))) < len(named) {
		f.Say("photo", "One photo was chosen twice: take one of the two away.")
	}
}

func (FitUpDone) Operation() string  { return OpFit }
func (e FitUpDone) InsertNo() string { return e.Insert }
func (FitUpDone) Phase() Phase       { return Whole }

// Gates of a fit-up.
func (FitUpDone) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, MouldOfOrder, PlaceFree, FailHasNonconformance, NonconformanceClosed}
}
