package shop

import "strconv"

// An Oven dries or tempers.
type Oven struct {
	ID      int64
	Oven    string
	Shelves int
	Limit   Reading // highest air temperature allowed
	Code    ScanCode
}

// OvenAdded puts an oven on the floor.
type OvenAdded struct {
	Oven    string   `json:"oven"`
	Shelves int      `json:"shelves"`
	Limit   Reading  `json:"limit" quantity:"temperature"`
	Code    ScanCode `json:"code"`
}

func (OvenAdded) Kind() string         { return "oven-added" }
func (e OvenAdded) Subjects() []string { return []string{Subject("oven", e.Oven)} }

// Valid refuses an oven without shelves or limit.
func (e OvenAdded) Valid() error {
	f := Fields{}
	f.Number("oven", e.Oven, "The oven's number")
	if e.Shelves < 1 || e.Shelves > 100 {
		f.sayCount("shelves", "The number of shelves", e.Shelves, 100)
	}
	if !e.Limit.Taken() {
		f.Say("limit", "The highest air temperature allowed is missing.")
	} else if e.Limit.Value() < 20 || e.Limit.Value() > 1200 {
		f.Say("limit", "The highest air temperature is %s: it must lie from 20 to 1200 °C.", e.Limit)
	}
	needCode(f, e.Code)
	return f.Err()
}

// Takes refuses air that is too hot for the oven, and a shelf that it has not.
func (o Oven) Takes(shelf string, air Reading) error {
	f := Fields{}
	if air.Value() > o.Limit.Value() {
		f.Say("oven", "Oven %s may reach %s: %s is too hot for it.", o.Oven, o.Limit, air)
	}
	if n, err := strconv.Atoi(shelf); err == nil && (n < 1 || n > o.Shelves) {
		f.Say("shelf", "Oven %s has no shelf %d: its shelves are 1 to %d.", o.Oven, n, o.Shelves)
	}
	return f.Err()
}
