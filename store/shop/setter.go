package shop

import "fmt"

// A Setter is a ceramic plate on which pieces lie in the furnace.
type Setter struct {
	ID     int64
	Setter string
	Cycles int // runs it has been through
	Life   int // runs it is allowed
	Code   ScanCode
}

// SetterAdded puts a setter into use.
type SetterAdded struct {
	Setter string   `json:"setter"`
	Cycles int      `json:"cycles"` // runs before this book
	Life   int      `json:"life"`
	Code   ScanCode `json:"code"`
}

func (SetterAdded) Kind() string         { return "setter-added" }
func (e SetterAdded) Subjects() []string { return []string{Subject("setter", e.Setter)} }

// Valid refuses a setter without a life, or one that has outlived it.
func (e SetterAdded) Valid() error {
	f := Fields{}
	f.Number("setter", e.Setter, "The setter's number")
	if e.Life < 1 || e.Life > 10000 {
		f.sayCount("life", "The life in furnace runs", e.Life, 10000)
	} else if e.Cycles < 0 || e.Cycles > e.Life {
		f.Say("cycles", "The runs behind it are %d: they must lie from 0 to its life of %d.", e.Cycles, e.Life)
	}
	needCode(f, e.Code)
	return f.Err()
}

// SetterLife asks for a setter that has runs left.
var SetterLife = Gate{"setter life", "another setter", askSetterLife}

func askSetterLife(f Facts) string {
	if s := f.Setter; s.Setter != "" && s.Cycles >= s.Life {
		return fmt.Sprintf("Setter %s has been through %d runs; its life is %d.", s.Setter, s.Cycles, s.Life)
	}
	return ""
}
