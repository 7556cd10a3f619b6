package shop

import (
	"slices"
	"time"
)

// A Permit lets one insert pass one gate at one operation although it stops:
// a deviation permit, given before the act by those who may depart from a
// requirement (ISO 9000:2015, 3.12.6).
type Permit struct {
	Seq       int64
	Permit    string // as DP-001
	Insert    string
	Gate      string
	Operation string
	Why       string
	ExpiresOn Date // last day on which it can be used
	GivenAt   time.Time
	GivenBy   string
}

// Binding are the gates that no permit passes: a hold is lifted, a person is
// authorised, the order is kept, and what failed has its own way through
// nonconformance and concession.
var Binding = []string{NotHeld.Name, Authorised.Name, RouteOrder.Name, InstructionRead.Name, FailHasNonconformance.Name, NonconformanceClosed.Name, FurnaceSafe.Name}

// PermitGiven lets one insert pass one gate at one operation.
type PermitGiven struct {
	Permit    string `json:"permit"`
	Insert    string `json:"insert"`
	Gate      string `json:"gate"`
	Op        string `json:"operation"`
	Why       string `json:"why"`
	ExpiresOn Date   `json:"expires_on"`
}

func (PermitGiven) Kind() string { return "permit-given" }
func (e PermitGiven) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("permit", e.Permit)}
}

// Valid refuses a permit for a gate that none passes, or for no reason.
func (e PermitGiven) Valid() error {
	f := Fields{}
	f.Number("permit", e.Permit, "The number of the permit")
	f.Need("insert", e.Insert, "The insert")
	switch {
	case slices.Contains(Binding, e.Gate):
		f.Say("gate", "No permit passes the gate %q.", e.Gate)
	case !slices.Contains(GateNames(), e.Gate):
		f.Say("gate", "There is no gate %q.", e.Gate)
	}
	if !slices.Contains(Operations, e.Op) {
		f.Say("operation", "%q is not an operation of the route.", e.Op)
	}
	f.Need("why", e.Why, "Why it may depart from it")
	f.needDate("expires_on", e.ExpiresOn, "The last day on which it can be used")
	return f.Err()
}

// Passes is the permit that passes a gate at an operation on a day.
func Passes(permits []Permit, gate, operation string, day Date) (Permit, bool) {
	for _, p := range permits {
		if p.Gate == gate && p.Operation == operation && day <= p.ExpiresOn {
			return p, true
		}
	}
	return Permit{}, false
}
