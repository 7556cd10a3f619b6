package shop

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// A Gate is one check before an act: a name that policies refer to, who can
// put things right, and a question about the facts. The answer is "" or a
// sentence that says what stands in the way.
type Gate struct {
	Name string
	Lift string // who or what clears it
	Ask  func(Facts) string
}

// Facts are what is known in the book when an act is judged.
type Facts struct {
	At        time.Time // of the act
	Later     bool      // entered later than it happened: a person gave the time
	Zone      *time.Location
	Event     Event
	By        Person
	Operation string
	Phase     Phase

	Insert      Insert
	Holds       []Hold      // on the insert and on everything the act touches
	Current     string      // revision of the design that is in force
	Release     Release     // the one the act names, else the insert's own
	Lot         Lot         // of the release, or of the container
	FurtherLots []Lot       // of a release that prints more than one
	Container   Container   // paste is drawn from
	Book        float64     // g in the container by its records, no weighing counted; of a container that is weighed
	Draws       []LayerDraw // of the insert, those that stand
	OnMachine   string      // insert being printed on the machine, "" when free
	Missing     []string    // records that the operation still needs
	MouldOf     string      // mould that the order is for, "" for stock
	PlaceTaken  string      // insert at that place in the mould
	LoadRecipe  string
	Fails       []Fail // characteristics whose last reading failed
	ToMould     string // mould that the insert goes into or away with, "" for none and for stock

	Instruction Instruction // in force for the act at its station; zero elsewhere and where there is none
	Read        bool        // the person has acknowledged it

	Nonconformances []Nonconformance // of the insert, cancelled ones too
	Concessions     []Concession     // about the insert

	Gauge       Gauge       // that a reading names; zero for other acts
	Calibration Calibration // of the gauge, the last one; zero where there was none
	Check       GaugeCheck  // of the gauge, the last one; zero where there was none

	Measured        Characteristic      // that a reading is of
	Characteristics []Characteristic    // of the insert's design
	Greens          []GreenSize         // of the insert that stand, the newest first
	Layers          int                 // of its print
	Expected        Expected            // paste that a draw should take
	Limit           Limit               // of the shop, by which a mass is judged
	Factors         []Factor            // of its lots, all that were ever in force
	Others          []Factor            // of every other lot, for naming a slip
	Given           Release             // machine and factors of the print, where another lot takes over in it or its part is to be sintered
	AxesOf          map[string][]string // along which its lots were measured, by lot
	Fits            []LotFit            // of its lots, by what was read until then
	Qualifying      Qualifying          // how far a lot has come that is released, or whose release names first inserts
	Weighings       []Weighing          // of its drying, oldest first, the first when it went in
	Constant        Reading             // change at which it counts as dry
	DryingSince     time.Time
	Loss            Reading // of its last drying, percent; not taken until that ended

	Furnace Furnace // of the load, with its sensors, survey and safety tests
	Recipe  Recipe  // that the load or the tempering names
	Setter  Setter  // on which the piece is laid
	Machine Machine // that prints
	Cutter  Cutter  // in that machine, zero where none is on record
}

// A Phase says where in its operation an act lies.
type Phase int

// The phases of an operation.
const (
	Anytime Phase = iota // outside the route
	Begin                // starts the operation
	During               // while it is under way
	End                  // finishes it
	Whole                // starts and finishes it at once
)

// An Act is an event that belongs to an operation of an insert's route and is
// judged by gates.
type Act interface {
	Event
	Operation() string
	InsertNo() string
	Phase() Phase
	Gates() []Gate
}

// A Joint act is done to several inserts at once and is judged for each.
type Joint interface {
	Event
	Operation() string
	On() []string // the inserts
	Gates() []Gate
}

// A Decision is taken outside the route of an insert and judged by gates: about
// a lot, its paste or a release. Its policy is that of the operation that it
// lets begin.
type Decision interface {
	Event
	Operation() string
	Gates() []Gate
}

// An Objection is a gate that said no.
type Objection struct {
	Gate string `json:"gate"`
	Why  string `json:"why"`
	Lift string `json:"lift"`
	Mode Mode   `json:"mode"`

	Compared []Compared `json:"compared,omitempty"` // factors side by side, where it is about factors
}

// The gates. Each is judged by the policy of its day.
var (
	NotHeld             = Gate{"not held", "the quality manager, who lifts the hold", askHeld}
	Authorised          = Gate{"person authorised", "a person authorised for it", askAuthorised}
	RouteOrder          = Gate{"route order", "the operation that comes first", askOrder}
	DesignCurrent       = Gate{"design revision current", "the process engineer", askCurrent}
	ReleaseInForce      = Gate{"release in force", "the process engineer", askInForce}
	ReleaseSignedTwice  = Gate{"release has second signature", "a second person's signature", askSigned}
	ReleaseCovers       = Gate{"release covers the print", "the process engineer", askCovers}
	ProgramHash         = Gate{"program hash", "loading the released program", askProgram}
	OversizeOfRelease   = Gate{"oversize equals release", "setting the released factors", askOversize}
	LotReleasedInDate   = Gate{"lot released and in date", "the quality manager", askLot}
	LotOfRelease        = Gate{"lot of the release", "a container of that lot, or a change of lot signed by the process engineer", askLotOfRelease}
	ContainerOpenLife   = Gate{"container open life", "a fresh container", askOpenLife}
	ContainerEnoughLeft = Gate{"container enough left", "another container", askEnough}
	MachineFree         = Gate{"machine free", "the print under way", askMachineFree}
	RecordsComplete     = Gate{"records complete", "the missing records", askComplete}
	StepOptional        = Gate{"operation may be left out", "a route that says so", askOptional}
	RecipeOfRelease     = Gate{"recipe of the release", "a load with that recipe", askRecipe}
	MouldOfOrder        = Gate{"mould of the order", "the planner", askMould}
	PlaceFree           = Gate{"place in the mould free", "another place", askPlace}
)

// AllGates lists every gate that a policy can name.
var AllGates = []Gate{NotHeld, Authorised, RouteOrder, DesignCurrent, ReleaseInForce, ReleaseSignedTwice, ReleaseCovers,
	ProgramHash, OversizeOfRelease, LotReleasedInDate, LotOfRelease, ContainerOpenLife, ContainerEnoughLeft, MachineFree,
	RecordsComplete, StepOptional, RecipeOfRelease, MouldOfOrder, PlaceFree, FailHasNonconformance, NonconformanceClosed, GaugeInCalibration, GaugeCheckPassed, GaugeCheckLimit,
	FurnaceTestsInDate, RecipeIsReleased, SetterLife, MachineInDate, CutterLife, FurnaceSafe,
	CompensationOfLot, ReleaseAsLot, AxesMeasured, FactorByTwo, GreenPredictsGood, ConstantMass, LossInBand, GaugeCapable, InstructionRead, DrawAsExpected, WeighingAsExpected,
	LayersDrawnOnce, PrintedAsDrawn, MeasuredAsBook,
	CertificateInLimits, QualifiedAsPlanned, FactorsApproved, ShrinkageKnown, FirstInsertsAsPlanned}

// AboutValues are those gates that a corrected record must pass as well: they
// ask about the person and about what is written down. The order of
// operations, holds and releases belong to the act, which was judged when it
// happened.
func AboutValues(gates []Gate) []Gate {
	return slices.DeleteFunc(slices.Clone(gates), func(g Gate) bool {
		return !slices.Contains([]string{Authorised.Name, LotOfRelease.Name, ContainerOpenLife.Name, ContainerEnoughLeft.Name, DrawAsExpected.Name, LayersDrawnOnce.Name, MouldOfOrder.Name, PlaceFree.Name,
			GaugeInCalibration.Name, GaugeCheckPassed.Name, GaugeCheckLimit.Name, GaugeCapable.Name}, g.Name)
	})
}

// Object asks every gate of an act and returns those that said no.
func Object(gates []Gate, f Facts) []Objection {
	var no []Objection
	for _, g := range gates {
		if why := g.Ask(f); why != "" {
			o := Objection{Gate: g.Name, Why: why, Lift: g.Lift}
			if slices.Contains(comparing, g.Name) {
				o.Compared = compare(f)
			}
			no = append(no, o)
		}
	}
	return no
}

// AsOf is the time up to which records count. For what happens now that is all
// of them, in the order of the log: a clock that was set back makes none of
// them undone. What is entered later is judged by its own time.
func (f Facts) AsOf() time.Time {
	if f.Later {
		return f.At
	}
	return EndOfTime
}

// EndOfTime is later than any record.
var EndOfTime = time.Date(9999, time.December, 31, 23, 59, 59, 0, time.UTC)

// askHeld asks for holds that stood when it happened, and for those that stand
// while it is entered: no paper form goes around a hold.
func askHeld(f Facts) string {
	for _, h := range f.Holds {
		if h.Standing() || h.Stands(f.AsOf()) {
			return fmt.Sprintf("%s is held by %s since %s (%s): %s.", h.OnCode, h.SetBy, f.clock(h.SetAt), h.Hold, strings.TrimSuffix(h.Reason, "."))
		}
	}
	return ""
}

func askAuthorised(f Facts) string {
	day := DayOf(f.At, f.Zone)
	if f.By.MayDo(f.Operation, day) {
		return ""
	}
	return fmt.Sprintf("Badge %s is not authorised for %s on %s.", f.By.Badge, f.Operation, day)
}

func askOrder(f Facts) string {
	next, ok := f.Insert.Next()
	if f.Insert.Done || !ok {
		return fmt.Sprintf("%s is %s: nothing comes after it on the traveler.", f.Insert.Insert, f.Insert.Status)
	}
	begun := next.State == Started
	if _, again := f.Event.(ReleaseAssigned); again && next.Operation == OpPrint && !begun {
		return "" // another release may be assigned until the print starts
	}
	if _, drawn := f.Event.(PasteDrawn); drawn && next.Operation == OpPrint {
		return "" // paste is weighed out before the machine starts
	}
	switch {
	case next.Operation != f.Operation:
		if mine, _ := f.Insert.StepOf(f.Operation); mine.State == Finished {
			return fmt.Sprintf("%s of %s was finished by %s at %s. Next is %s.", sentenceCase(f.Operation), f.Insert.Insert, mine.FinishedBy, f.clock(mine.FinishedAt), next.Operation)
		}
		return fmt.Sprintf("%s is not ready for %s: %s comes first.", f.Insert.Insert, f.Operation, next.Operation)
	case (f.Phase == Begin || f.Phase == Whole) && begun:
		return fmt.Sprintf("%s of %s was started by %s at %s.", sentenceCase(f.Operation), f.Insert.Insert, next.StartedBy, f.clock(next.StartedAt))
	case (f.Phase == During || f.Phase == End) && !begun && f.Operation != OpInspect:
		return fmt.Sprintf("%s of %s has not been started.", sentenceCase(f.Operation), f.Insert.Insert)
	}
	return ""
}

func askCurrent(f Facts) string {
	if f.Insert.Revision == f.Current {
		return ""
	}
	return fmt.Sprintf("%s was opened for revision %s of %s; revision %s is in force.", f.Insert.Insert, f.Insert.Revision, f.Insert.Design, f.Current)
}

func askInForce(f Facts) string {
	if f.Release.InForce(f.AsOf()) {
		return ""
	}
	if f.Release.SupersededBy == f.Release.Release {
		return fmt.Sprintf("Release %s was withdrawn at %s.", f.Release.Release, f.clock(f.Release.SupersededAt))
	}
	return fmt.Sprintf("Release %s was superseded by %s at %s.", f.Release.Release, f.Release.SupersededBy, f.clock(f.Release.SupersededAt))
}

func askSigned(f Facts) string {
	if f.Release.Signed(f.AsOf()) {
		return ""
	}
	return fmt.Sprintf("Release %s has no second signature: two people must sign it.", f.Release.Release)
}

func askCovers(f Facts) string {
	e, prints := f.Event.(PrintStarted)
	switch {
	case prints && f.Insert.Release != e.Release:
		return fmt.Sprintf("%s is to be printed by release %s, not %s.", f.Insert.Insert, cmpOr(f.Insert.Release, "none yet"), e.Release)
	case !f.Release.CoversInsert(f.Insert.Insert):
		return fmt.Sprintf("Release %s is for the first inserts of lot %s only, %s, not %s.", f.Release.Release, f.Release.Lot, Listed(f.Release.Firsts), f.Insert.Insert)
	case prints && f.Release.Machine != e.Machine:
		return fmt.Sprintf("Release %s is for machine %s, not %s.", e.Release, f.Release.Machine, e.Machine)
	case f.Release.Design != f.Insert.Design || f.Release.Revision != f.Insert.Revision:
		return fmt.Sprintf("Release %s is for %s revision %s; %s is %s revision %s.", f.Release.Release, f.Release.Design, f.Release.Revision, f.Insert.Insert, f.Insert.Design, f.Insert.Revision)
	}
	return ""
}

func askProgram(f Facts) string {
	if e, ok := f.Event.(PrintStarted); ok && e.ProgramHash != f.Release.ProgramHash {
		return fmt.Sprintf("The program on %s is not the one of release %s: its SHA-256 begins %.8s, the released one %.8s.", e.Machine, e.Release, e.ProgramHash, f.Release.ProgramHash)
	}
	return ""
}

func askOversize(f Facts) string {
	e, ok := f.Event.(PrintStarted)
	if !ok {
		return ""
	}
	var said []string
	for i, k := range f.Release.Oversize() {
		if used := (Release{KX: e.KX, KY: e.KY, KZ: e.KZ}).Oversize()[i].K; used.Value() != k.K.Value() {
			said = append(said, spaced(fmt.Sprintf("The oversize in %s on the machine is %s; release %s says %s.", k.Axis, used, f.Release.Release, k.K), f.slipAtMachine(k, used)))
		}
	}
	return strings.Join(said, " ")
}

// slipAtMachine says what was probably done where a machine was given another
// factor than the release has: by the lot's factor where one is in force, which
// may be the release that has not, else by that of the release.
func (f Facts) slipAtMachine(k AxisFactor, used Reading) string {
	in, ok := FactorAt(f.Factors, f.Release.Lot, k.Axis, f.AsOf())
	switch {
	case !ok:
		return SlipOf(used, Wanted{Axis: k.Axis, K: k.K})
	case used.Value() == in.K.Value():
		return fmt.Sprintf("The machine has the factor of lot %s in force; it is the release that has another.", in.Lot)
	}
	return f.slip(used, in)
}

func askLot(f Facts) string {
	day := DayOf(f.At, f.Zone)
	for _, lot := range append([]Lot{f.Lot}, f.FurtherLots...) {
		switch {
		case (!lot.Released() || lot.ReleasedAt.After(f.AsOf())) && !f.firstOf(lot.Lot):
			return fmt.Sprintf("Lot %s is not released for printing.", lot.Lot)
		case !lot.InDate(day):
			return fmt.Sprintf("Lot %s expired: its last day of use was %s.", lot.Lot, lot.ExpiresOn)
		}
	}
	return ""
}

// askLotOfRelease asks for the lot of the layers that the paste is for; while
// these are not known, any lot of the release will do.
func askLotOfRelease(f Facts) string {
	e, _ := f.Event.(PasteDrawn)
	of, release := f.Container.Lot, f.Release
	switch {
	case e.FromLayer == 0 && slices.Contains(release.Lots(), of):
		return ""
	case e.FromLayer == 0 || release.LotAt(e.FromLayer) != of && len(release.Further) == 0:
		return fmt.Sprintf("Container %s is of lot %s; release %s is for lot %s.", f.Container.Container, of, release.Release, release.LotWords())
	case release.LotAt(e.FromLayer) != of:
		return fmt.Sprintf("Container %s is of lot %s; release %s prints layer %d of lot %s.", f.Container.Container, of, release.Release, e.FromLayer, release.LotAt(e.FromLayer))
	case release.LotAt(e.ToLayer) != of:
		return fmt.Sprintf("Release %s prints layer %d of lot %s, not %s: record what was drawn for those layers by itself.", release.Release, e.ToLayer, release.LotAt(e.ToLayer), of)
	}
	return ""
}

func askOpenLife(f Facts) string {
	switch until := f.Container.OpenUntil(f.Lot); {
	case until.IsZero():
		return fmt.Sprintf("Container %s is sealed: record its opening first, so that its open life counts.", f.Container.Container)
	case f.Later && f.At.Before(f.Container.Opened):
		return fmt.Sprintf("Container %s was opened %s: nothing can have been drawn from it at %s.", f.Container.Container, f.clock(f.Container.Opened), f.clock(f.At))
	case f.At.After(until):
		return fmt.Sprintf("Container %s was opened %s; its open life of %d days is over.", f.Container.Container, f.clock(f.Container.Opened), f.Lot.OpenLifeDays)
	}
	return ""
}

func askEnough(f Facts) string {
	e, ok := f.Event.(PasteDrawn)
	if wanted := e.Drawn.Value() + e.Purged.Value(); ok && wanted > f.Container.Left+1e-9 {
		return fmt.Sprintf("Container %s holds %s g by its records, not %s g.", e.Container, InGrams(f.Container.Left), InGrams(wanted))
	}
	return ""
}

// InGrams is a sum of masses without the rounding of a double, and without
// hiding the digit by which two of them differ.
func InGrams(g float64) string { return strconv.FormatFloat(math.Round(g*1e6)/1e6, 'f', -1, 64) }

func askMachineFree(f Facts) string {
	if e, ok := f.Event.(PrintStarted); ok && f.OnMachine != "" {
		return fmt.Sprintf("%s is printing %s: that print must be finished first.", e.Machine, f.OnMachine)
	}
	return ""
}

func askComplete(f Facts) string {
	if len(f.Missing) == 0 {
		return ""
	}
	return fmt.Sprintf("%s of %s is not complete. Missing: %s.", sentenceCase(f.Operation), f.Insert.Insert, Listed(f.Missing))
}

func askOptional(f Facts) string {
	if s, _ := f.Insert.StepOf(f.Operation); s.Optional {
		return ""
	}
	return fmt.Sprintf("%s of %s cannot be left out on its route.", sentenceCase(f.Operation), f.Insert.Insert)
}

func askRecipe(f Facts) string {
	if f.LoadRecipe == f.Release.Recipe || f.Insert.Insert == "" {
		return ""
	}
	return fmt.Sprintf("The load runs %s; release %s of %s asks for %s.", f.LoadRecipe, f.Release.Release, f.Insert.Insert, f.Release.Recipe)
}

func askMould(f Facts) string {
	if e, ok := f.Event.(FitUpDone); ok && f.MouldOf != e.Mould {
		return fmt.Sprintf("%s was ordered for mould %s, not %s.", f.Insert.Insert, cmpOr(f.MouldOf, "none (stock)"), e.Mould)
	}
	return ""
}

func askPlace(f Facts) string {
	if e, ok := f.Event.(FitUpDone); ok && f.PlaceTaken != "" && f.PlaceTaken != e.Insert {
		return fmt.Sprintf("Place %s of mould %s is taken by %s.", e.Place, e.Mould, f.PlaceTaken)
	}
	return ""
}

// clock is a moment in the shop's own time.
func (f Facts) clock(t time.Time) string { return t.In(f.Zone).Format("2006-01-02 15:04") }

func sentenceCase(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func cmpOr(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// GateNames lists the names of all gates.
func GateNames() []string {
	var names []string
	for _, g := range AllGates {
		names = append(names, g.Name)
	}
	slices.Sort(names)
	return names
}
