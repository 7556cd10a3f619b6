package shop

import "time"

// A Mould carries the inserts; it usually belongs to the customer.
type Mould struct {
	ID       int64
	Mould    string
	Customer string
	Shipped  time.Time // zero while it is in the toolroom
	Code     ScanCode
}

// MouldReceived takes a mould into the toolroom.
type MouldReceived struct {
	Mould    string   `json:"mould"`
	Customer string   `json:"customer"`
	Code     ScanCode `json:"code"`
}

func (MouldReceived) Kind() string         { return "mould-received" }
func (e MouldReceived) Subjects() []string { return []string{Subject("mould", e.Mould)} }

// Valid refuses a mould of nobody.
func (e MouldReceived) Valid() error {
	f := Fields{}
	f.Number("mould", e.Mould, "The mould number")
	f.Number("customer", e.Customer, "The customer")
	needCode(f, e.Code)
	return f.Err()
}
