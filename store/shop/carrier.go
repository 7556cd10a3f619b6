package shop

// A Carrier is a plate or tray that holds a green part's identity, since no
// label sticks to the part itself.
type Carrier struct {
	ID      int64
	Carrier string
	Type    string // plate or tray
	Insert  string // that it carries now, "" while it is free
	Code    ScanCode
}

// CarrierTypes are the kinds of carriers.
var CarrierTypes = []string{"plate", "tray"}

// CarrierAdded puts a carrier into use.
type CarrierAdded struct {
	Carrier string   `json:"carrier"`
	Type    string   `json:"type"`
	Code    ScanCode `json:"code"`
}

func (CarrierAdded) Kind() string         { return "carrier-added" }
func (e CarrierAdded) Subjects() []string { return []string{Subject("carrier", e.Carrier)} }

// Valid refuses a carrier of no type.
func (e CarrierAdded) Valid() error {
	f := Fields{}
	f.Number("carrier", e.Carrier, "The carrier's number")
	if e.Type != "plate" && e.Type != "tray" {
		f.Say("type", "The carrier is a %q: it must be a plate or a tray.", e.Type)
	}
	needCode(f, e.Code)
	return f.Err()
}

// CarrierChanged moves a green part onto another carrier: its identity goes
// with it.
type CarrierChanged struct {
	Insert  string `json:"insert"`
	Carrier string `json:"carrier"` // on which it lies from now on
}

func (CarrierChanged) Kind() string { return "carrier-changed" }
func (e CarrierChanged) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("carrier", e.Carrier)}
}

// Valid refuses a move of nothing or to nowhere.
func (e CarrierChanged) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("carrier", e.Carrier, "The carrier")
	return f.Err()
}

// Free refuses a carrier that carries another insert.
func (c Carrier) Free(forInsert string) error {
	if c.Insert == "" || c.Insert == forInsert {
		return nil
	}
	return Wrong("carrier", "Carrier %s carries %s: one carrier holds the identity of one part.", c.Carrier, c.Insert)
}
