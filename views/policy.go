package views

import (
	"slices"
	"time"

	"sinterbook/store/shop"
)

// Policies is the page about how strictly each gate is kept.
type Policies struct {
	Frame
	Policies []shop.Policy // oldest first
	Zone     *time.Location
	At       time.Time
	Set      *Form // nil for those who may not set one
}

// acts is one act of each kind that gates judge.
var acts = []shop.Act{
	shop.ReleaseAssigned{}, shop.PrintStarted{}, shop.LayersMade{}, shop.PasteDrawn{}, shop.PrintFinished{}, shop.DryingStarted{}, shop.DryingFinished{},
	shop.LoadPlaced{}, shop.TemperingStarted{}, shop.TemperingFinished{}, shop.ResultRecorded{Purpose: "inspection"}, shop.InspectionFinished{},
	shop.FitUpDone{}, shop.PutToStock{},
}

// askedAt reports whether a gate is asked at an operation. Whether one may be
// left out is asked wherever somebody does so.
func askedAt(gate, operation string) bool {
	if gate == shop.StepOptional.Name {
		return true
	}
	for _, joint := range []shop.Joint{shop.LoadClosed{}, shop.MouldShipped{}} {
		if joint.Operation() == operation && slices.ContainsFunc(joint.Gates(), func(g shop.Gate) bool { return g.Name == gate }) {
			return true
		}
	}
	for _, d := range []shop.Decision{shop.FactorSet{}, shop.ReleaseDrafted{}, shop.ReleaseSigned{}, shop.LotChanged{}, shop.LotReleased{}, shop.FactorProposed{}, shop.CouponMade{}, shop.CouponMeasured{}, shop.ContainerReceived{}, shop.ContainerWeighed{}} {
		if d.Operation() == operation && slices.ContainsFunc(d.Gates(), func(g shop.Gate) bool { return g.Name == gate }) {
			return true
		}
	}
	return slices.ContainsFunc(acts, func(a shop.Act) bool {
		return a.Operation() == operation && slices.ContainsFunc(a.Gates(), func(g shop.Gate) bool { return g.Name == gate })
	})
}

// Mode is how strictly a gate is kept at an operation now.
func (p Policies) Mode(gate, operation string) string {
	return string(shop.ModeAt(p.Policies, gate, operation, p.At))
}

// Since is when the mode in force was set; "" where none was.
func (p Policies) Since(gate, operation string) string {
	var since time.Time
	for _, set := range p.Policies {
		if set.Gate == gate && (set.Operation == operation || set.Operation == shop.EveryOperation) && !set.From.After(p.At) && !set.From.Before(since) {
			since = set.From
		}
	}
	if since.IsZero() {
		return ""
	}
	return since.In(p.Zone).Format(time.DateOnly)
}

// Newest lists the decisions, newest first.
func (p Policies) Newest() []shop.Policy {
	all := slices.Clone(p.Policies)
	slices.Reverse(all)
	return all
}

// Begins says whether a decision is in force yet.
func (p Policies) Begins(set shop.Policy) string {
	if set.From.After(p.At) {
		return "not yet in force"
	}
	return ""
}

// GateOptions are the gates that a policy can name.
func (p Policies) GateOptions() []Option { return Options(shop.GateNames()...) }

// OperationOptions are the operations at which a gate is kept.
func (p Policies) OperationOptions() []Option {
	return append(Options(shop.EveryOperation), Options(shop.Operations...)...)
}

// ModeOptions are the modes with what they do.
func (p Policies) ModeOptions() []Option {
	return []Option{{string(shop.Stop), "stop: refuses"}, {string(shop.Warn), "warn: asks for a reason, then lets pass"}, {string(shop.Silent), "silent: not asked"}}
}

// FromField is the field for the moment from which it holds.
func (p Policies) FromField() Field {
	f := p.Set.Text("from", "From", true)
	f.Type = "datetime-local"
	return f
}
