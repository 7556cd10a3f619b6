package shop

import "time"

// A Container is one tub, syringe or cartridge of paste: the unit that is
// opened, dries out and is used up.
type Container struct {
	ID        int64
	Container string // lot slash number, as L2509-A/03
	Lot       string
	In        float64   // g, when received
	Left      float64   // g, by the records
	Opened    time.Time // UTC, zero while sealed
	Code      ScanCode
}

// OpenUntil is the end of the container's open life; zero while it is sealed.
func (c Container) OpenUntil(l Lot) time.Time {
	if c.Opened.IsZero() {
		return time.Time{}
	}
	return c.Opened.AddDate(0, 0, l.OpenLifeDays)
}

// ContainerReceived takes a container of a lot into the store.
type ContainerReceived struct {
	Container string   `json:"container"`
	Lot       string   `json:"lot"`
	Mass      Reading  `json:"mass" quantity:"mass"`
	Code      ScanCode `json:"code"`
}

func (ContainerReceived) Kind() string { return "container-received" }
func (e ContainerReceived) Subjects() []string {
	return []string{Subject("container", e.Container), Subject("lot", e.Lot)}
}

// Valid refuses an empty container or one without a lot.
func (e ContainerReceived) Valid() error {
	f := Fields{}
	f.Number("container", e.Container, "The container number")
	f.Need("lot", e.Lot, "The lot number")
	f.needPositive("mass", e.Mass, "The mass of paste in it")
	needCode(f, e.Code)
	return f.Err()
}

// ContainerOpened starts a container's open life.
type ContainerOpened struct {
	Container string `json:"container"`
}

func (ContainerOpened) Kind() string         { return "container-opened" }
func (e ContainerOpened) Subjects() []string { return []string{Subject("container", e.Container)} }

// Valid refuses an event without a container.
func (e ContainerOpened) Valid() error {
	f := Fields{}
	f.Need("container", e.Container, "The container")
	return f.Err()
}

// PasteDrawn takes paste out of a container for an insert that is being printed.
type PasteDrawn struct {
	Container string  `json:"container"`
	Insert    string  `json:"insert"`
	FromLayer int     `json:"from_layer"`
	ToLayer   int     `json:"to_layer"`
	Drawn     Reading `json:"drawn" quantity:"mass"`  // for the piece, chips of shaping included
	Purged    Reading `json:"purged" quantity:"mass"` // pushed through the nozzle and thrown away
}

func (PasteDrawn) Kind() string { return "paste-drawn" }
func (e PasteDrawn) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("container", e.Container)}
}

// Valid refuses a draw of nothing, or for layers in the wrong order.
func (e PasteDrawn) Valid() error {
	f := Fields{}
	f.Need("container", e.Container, "The container")
	f.Need("insert", e.Insert, "The insert")
	f.needPositive("drawn", e.Drawn, "The mass drawn")
	f.notNegative("purged", e.Purged, "The mass purged")
	f.needLayers(e.FromLayer, e.ToLayer)
	return f.Err()
}

// Operation and Insert place the draw on the traveler.
func (PasteDrawn) Operation() string  { return OpPrint }
func (e PasteDrawn) InsertNo() string { return e.Insert }
func (PasteDrawn) Phase() Phase       { return During }
func (PasteDrawn) Gates() []Gate {
	return []Gate{NotHeld, Authorised, RouteOrder, LotReleasedInDate, LotOfRelease, ContainerOpenLife, ContainerEnoughLeft}
}
