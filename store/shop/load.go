package shop

import "time"

// A Load is one furnace run and what lies in it.
type Load struct {
	ID       int64
	Load     string // as F2-05
	Furnace  string
	Recipe   string
	Closed   time.Time // door closed and started, zero while loading
	ClosedBy string
	Opened   time.Time // door opened, zero while closed
	OpenedBy string
	Clock    Reading // the logger's clock minus this one at closing, not taken where it was not compared
	Items    []LoadItem
	Coupons  []Coupon
	Code     ScanCode
}

// A LoadItem is an insert at its position.
type LoadItem struct {
	Insert   string
	Design   string
	Position string
	Setter   string // "" where it lies on none that is numbered
	Lying    string // which way it lies, "" where nobody said
	By       string
	At       time.Time
	Out      bool // scanned out after the run
}

// State says in a word how far the load has come.
func (l Load) State() string {
	switch {
	case !l.Opened.IsZero():
		return "unloaded"
	case !l.Closed.IsZero():
		return "in the furnace"
	}
	return "being loaded"
}

// At is the insert at a position, "" where it is free.
func (l Load) At(position string) string {
	for _, it := range l.Items {
		if it.Position == position {
			return it.Insert
		}
	}
	return ""
}

// LoadOpened begins to build a load for a furnace.
type LoadOpened struct {
	Load    string   `json:"load"`
	Furnace string   `json:"furnace"`
	Recipe  string   `json:"recipe"` // recipe and its revision
	Code    ScanCode `json:"code"`
}

func (LoadOpened) Kind() string { return "load-opened" }
func (e LoadOpened) Subjects() []string {
	return []string{Subject("load", e.Load), Subject("furnace", e.Furnace)}
}

// Valid refuses a load without furnace or recipe.
func (e LoadOpened) Valid() error {
	f := Fields{}
	f.Number("load", e.Load, "The load number")
	f.Need("furnace", e.Furnace, "The furnace")
	f.Need("recipe", e.Recipe, "The recipe and its revision")
	needCode(f, e.Code)
	return f.Err()
}

// LoadPlaced puts an insert at a position of a load; an insert that lay at
// another position of the same load is moved.
type LoadPlaced struct {
	Load     string `json:"load"`
	Insert   string `json:"insert"`
	Position string `json:"position"`
	Setter   string `json:"setter"` // plate it rests on, "" where setters are not numbered
	Lying    string `json:"lying"`  // which way it lies, "" where nobody says
}

func (LoadPlaced) Kind() string { return "load-placed" }
func (e LoadPlaced) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("load", e.Load)}
}

// Valid refuses an insert without place.
func (e LoadPlaced) Valid() error {
	f := Fields{}
	f.Need("load", e.Load, "The load")
	f.Need("insert", e.Insert, "The insert")
	f.Need("position", e.Position, "The position")
	return f.Err()
}

func (LoadPlaced) Operation() string  { return OpSinter }
func (e LoadPlaced) InsertNo() string { return e.Insert }
func (LoadPlaced) Phase() Phase       { return Begin }

// Gates of laying an insert into a load.
func (LoadPlaced) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, RecipeOfRelease, RecipeIsReleased, CompensationOfLot, GreenPredictsGood, FurnaceTestsInDate, SetterLife, NonconformanceClosed}
}

// LoadTakenOut takes an insert out of a load before the door is closed.
type LoadTakenOut struct {
	Load   string `json:"load"`
	Insert string `json:"insert"`
}

func (LoadTakenOut) Kind() string { return "load-taken-out" }
func (e LoadTakenOut) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("load", e.Load)}
}

// Valid refuses an event without load or insert.
func (e LoadTakenOut) Valid() error {
	f := Fields{}
	f.Need("load", e.Load, "The load")
	f.Need("insert", e.Insert, "The insert")
	return f.Err()
}

// LoadClosed records that the door was closed and the recipe started by the
// furnace operator. It starts nothing.
type LoadClosed struct {
	Load    string   `json:"load"`
	Inserts []string `json:"inserts"`               // all that lie in it, filled in by the store
	Coupons []string `json:"coupons"`               // same
	Clock   Reading  `json:"clock" quantity:"time"` // the logger's clock minus this one, not taken where it was not compared
}

func (LoadClosed) Kind() string { return "load-closed" }
func (e LoadClosed) Subjects() []string {
	subjects := []string{Subject("load", e.Load)}
	for _, insert := range e.Inserts {
		subjects = append(subjects, Subject("insert", insert))
	}
	for _, coupon := range e.Coupons {
		subjects = append(subjects, Subject("coupon", coupon))
	}
	return subjects
}
func (LoadClosed) Operation() string { return OpSinter }
func (e LoadClosed) On() []string    { return e.Inserts }

// Gates of closing the door: what was asked when each insert was laid in is
// asked again, since a hold may have come and the lot's release gone; and the
// furnace's safety tests before this run.
func (LoadClosed) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RecipeOfRelease, RecipeIsReleased, CompensationOfLot, GreenPredictsGood, FurnaceTestsInDate, FurnaceSafe}
}

// Valid refuses an event without load.
func (e LoadClosed) Valid() error {
	f := Fields{}
	f.Need("load", e.Load, "The load")
	if e.Clock.Taken() && (e.Clock.Value() < -86400 || e.Clock.Value() > 86400) {
		f.Say("clock", "The logger's clock is off by %s: more than a day is a slip.", e.Clock)
	}
	return f.Err()
}

// LoadUnloaded records that the door was opened and every insert scanned out.
type LoadUnloaded struct {
	Load    string   `json:"load"`
	Inserts []string `json:"inserts"` // as scanned out
	Coupons []string `json:"coupons"` // same
}

func (LoadUnloaded) Kind() string { return "load-unloaded" }
func (e LoadUnloaded) Subjects() []string {
	subjects := []string{Subject("load", e.Load)}
	for _, insert := range e.Inserts {
		subjects = append(subjects, Subject("insert", insert))
	}
	for _, coupon := range e.Coupons {
		subjects = append(subjects, Subject("coupon", coupon))
	}
	return subjects
}

// Valid refuses an event without load, and a serial scanned out twice.
func (e LoadUnloaded) Valid() error {
	f := Fields{}
	f.Need("load", e.Load, "The load")
	f.noTwice("inserts", e.Inserts)
	f.noTwice("coupons", e.Coupons)
	return f.Err()
}
