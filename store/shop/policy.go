package shop

import (
	"slices"
	"time"
)

// A Mode says how strictly a gate is kept.
type Mode string

// The modes of a gate.
const (
	Silent Mode = "silent" // not asked
	Warn   Mode = "warn"   // asks for a reason, then lets pass
	Stop   Mode = "stop"   // refuses
)

// EveryOperation is the word for a policy that holds on the whole route.
const EveryOperation = "every operation"

// A Policy is what the shop has decided about a gate from a day on.
type Policy struct {
	Gate      string
	Operation string // or EveryOperation
	From      time.Time
	Mode      Mode
}

// policyOf names the operation whose policy counts for a gate that is asked
// before another one.
var policyOf = map[string]string{FailHasNonconformance.Name: OpInspect}

// Asking are the gates that ask for a reason while nothing was decided about
// them: what they question is odd, and can be right.
var Asking = []string{LayersDrawnOnce.Name, PrintedAsDrawn.Name, DrawAsExpected.Name, WeighingAsExpected.Name, MeasuredAsBook.Name,
	CertificateInLimits.Name, QualifiedAsPlanned.Name, FactorsApproved.Name, ShrinkageKnown.Name}

// ModeAt is the mode of a gate at an operation at a time: the latest policy
// that names both counts; without one a gate stops, or asks where it is one of
// Asking.
func ModeAt(policies []Policy, gate, operation string, at time.Time) Mode {
	if slices.Contains(Unyielding, gate) {
		return Stop
	}
	if of := policyOf[gate]; of != "" {
		operation = of
	}
	mode, since := Stop, time.Time{}
	if slices.Contains(Asking, gate) {
		mode = Warn
	}
	for _, p := range policies {
		if p.Gate == gate && (p.Operation == operation || p.Operation == EveryOperation) && !p.From.After(at) && !p.From.Before(since) {
			mode, since = p.Mode, p.From
		}
	}
	return mode
}

// PolicySet decides how strictly a gate is kept from a moment on.
type PolicySet struct {
	Gate string    `json:"gate"`
	Op   string    `json:"operation"`
	From time.Time `json:"from"`
	Mode Mode      `json:"mode"`
	Note string    `json:"note"`
}

func (PolicySet) Kind() string         { return "policy-set" }
func (e PolicySet) Subjects() []string { return []string{Subject("gate", e.Gate)} }

// Valid refuses a policy about a gate or operation that does not exist.
func (e PolicySet) Valid() error {
	f := Fields{}
	if !slices.Contains(GateNames(), e.Gate) {
		f.Say("gate", "There is no gate %q.", e.Gate)
	}
	if e.Op != EveryOperation && !slices.Contains(Operations, e.Op) {
		f.Say("operation", "%q is not an operation of the route.", e.Op)
	}
	if e.From.IsZero() {
		f.Say("from", "The time from which it holds is missing.")
	}
	if !slices.Contains([]Mode{Silent, Warn, Stop}, e.Mode) {
		f.Say("mode", "The mode %q is not silent, warn or stop.", e.Mode)
	}
	if slices.Contains(Unyielding, e.Gate) && e.Mode != Stop {
		f.Say("mode", "The gate %q always stops: no policy loosens it.", e.Gate)
	}
	if e.Gate == NotHeld.Name && e.Mode == Silent {
		f.Say("mode", "A hold always stops or asks: the gate %q cannot be silent.", e.Gate)
	}
	return f.Err()
}

// GateRefused records that a gate said no. Nothing else changed.
type GateRefused struct {
	Tried      string      `json:"tried"` // kind of the event that was refused
	On         []string    `json:"on"`    // its subjects
	Operation  string      `json:"operation"`
	Objections []Objection `json:"objections"`
}

func (GateRefused) Kind() string         { return "gate-refused" }
func (e GateRefused) Subjects() []string { return e.On }

// Valid refuses a refusal without a gate.
func (e GateRefused) Valid() error {
	f := Fields{}
	if len(e.Objections) == 0 || len(e.On) == 0 {
		f.Say("objections", "A refusal needs the gate that said no and what it was about.")
	}
	return f.Err()
}
