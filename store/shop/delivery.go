package shop

// MouldShipped delivers a mould with every insert fitted in it.
type MouldShipped struct {
	Mould   string   `json:"mould"`
	Note    string   `json:"note"`    // number of the delivery note
	Inserts []string `json:"inserts"` // all that are fitted in it
}

func (MouldShipped) Kind() string { return "mould-shipped" }
func (e MouldShipped) Subjects() []string {
	subjects := []string{Subject("mould", e.Mould)}
	for _, insert := range e.Inserts {
		subjects = append(subjects, Subject("insert", insert))
	}
	return subjects
}

func (MouldShipped) Operation() string { return OpDeliver }
func (e MouldShipped) On() []string    { return e.Inserts }

// Gates of a delivery.
func (MouldShipped) Gates() []Gate {
	return []Gate{NotHeld, Authorised, FailHasNonconformance, NonconformanceClosed}
}

// Valid refuses a delivery without mould, note or inserts.
func (e MouldShipped) Valid() error {
	f := Fields{}
	f.Need("mould", e.Mould, "The mould")
	f.Number("note", e.Note, "The number of the delivery note")
	f.noTwice("inserts", e.Inserts)
	if len(e.Inserts) == 0 {
		f.Say("inserts", "No insert is fitted in the mould: there is nothing to deliver.")
	}
	return f.Err()
}

// PutToStock ends an insert's route on a shelf, for an order without a mould.
type PutToStock struct {
	Insert string `json:"insert"`
	Place  string `json:"place"`
}

func (PutToStock) Kind() string         { return "put-to-stock" }
func (e PutToStock) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses a shelf without a name.
func (e PutToStock) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("place", e.Place, "The shelf")
	return f.Err()
}

func (PutToStock) Operation() string  { return OpDeliver }
func (e PutToStock) InsertNo() string { return e.Insert }
func (PutToStock) Phase() Phase       { return Whole }

// Gates of putting an insert to stock.
func (PutToStock) Gates() []Gate {
	return []Gate{NotHeld, Authorised, RouteOrder, FailHasNonconformance, NonconformanceClosed}
}
