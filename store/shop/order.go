package shop

// An Order is what a customer wants, for which mould, by when.
type Order struct {
	ID       int64
	Order    string
	Customer string
	Design   string
	Quantity int
	Due      Date
	Unit     string // unit in which sizes are typed for this order: mm or in
	Mould    string // "" goes to stock
	Remark   string
	Count    int64 // events of this order so far: what an edit is based on
}

// OrderTaken writes an order into the book.
type OrderTaken struct {
	Order    string `json:"order"`
	Customer string `json:"customer"`
	Design   string `json:"design"`
	Quantity int    `json:"quantity"`
	Due      Date   `json:"due"`
	Unit     string `json:"unit"`
	Mould    string `json:"mould"`
	Remark   string `json:"remark"`
}

func (OrderTaken) Kind() string         { return "order-taken" }
func (e OrderTaken) Subjects() []string { return []string{Subject("order", e.Order)} }

// Valid refuses an order for nothing, nobody or no day.
func (e OrderTaken) Valid() error {
	f := Fields{}
	f.Number("order", e.Order, "The order number")
	f.Number("customer", e.Customer, "The customer")
	f.Need("design", e.Design, "The part number")
	if e.Quantity < 1 {
		f.sayCount("quantity", "The quantity", e.Quantity, 0)
	}
	f.needDate("due", e.Due, "The day it is due")
	if e.Unit != "mm" && e.Unit != "in" {
		f.Say("unit", "The unit for this order is not stated: choose mm or in.")
	}
	return f.Err()
}

// OrderChanged sets fields of an order anew. It names only the fields that the
// person changed, with what they saw there before.
type OrderChanged struct {
	Order   string   `json:"order"`
	Changes []Change `json:"changes"` // fields due, quantity, remark
}

func (OrderChanged) Kind() string         { return "order-changed" }
func (e OrderChanged) Subjects() []string { return []string{Subject("order", e.Order)} }

// Valid refuses a change of nothing or to something impossible.
func (e OrderChanged) Valid() error {
	f := Fields{}
	f.Need("order", e.Order, "The order number")
	if len(e.Changes) == 0 {
		f.Say("changes", "Nothing was changed.")
	}
	for _, c := range e.Changes {
		switch c.Field {
		case "due":
			f.needDate("due", Date(c.To), "The day it is due")
		case "quantity":
			if n, err := wholeNumber(c.To); err != nil || n < 1 {
				f.Say("quantity", "The quantity %q must be a whole number, 1 or more.", c.To)
			}
		case "remark":
		default:
			f.Say("changes", "The field %q of an order cannot be changed.", c.Field)
		}
	}
	return f.Err()
}

// With is the order after the changes.
func (o Order) With(changes []Change) Order {
	for _, c := range changes {
		switch c.Field {
		case "due":
			o.Due = Date(c.To)
		case "quantity":
			o.Quantity, _ = wholeNumber(c.To) // Valid has refused what is not a number
		case "remark":
			o.Remark = c.To
		}
	}
	return o
}

// Field is the order's field as an edit form shows it.
func (o Order) Field(name string) string {
	switch name {
	case "due":
		return string(o.Due)
	case "quantity":
		return itoa(o.Quantity)
	case "remark":
		return o.Remark
	}
	return ""
}
