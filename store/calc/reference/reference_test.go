package reference

import (
	"math"
	"testing"
)

// A reader stands in for a test and only notes that it failed.
type reader struct {
	testing.TB
	failed bool
}

func (r *reader) Helper()               {}
func (r *reader) Errorf(string, ...any) { r.failed = true }

// TestEqualSeesDifferences, so that no comparison passes by itself.
func TestEqualSeesDifferences(t *testing.T) {
	t.Parallel()
	const id, value = "shrink.X.origin.f", 0.838304034089918
	for _, tt := range []struct {
		name string
		got  float64
		fail bool
	}{
		{"the value", value, false},
		{"within 1e-8", value * (1 + 5e-9), false},
		{"beyond 1e-8", value * (1 + 2e-8), true},
		{"no number", math.NaN(), true},
		{"infinite", math.Inf(1), true},
	} {
		r := &reader{TB: t}
		Open(r, "shrinkage").Equal(id, tt.got)
		if r.failed != tt.fail {
			t.Errorf("%s: failed %v, want %v", tt.name, r.failed, tt.fail)
		}
	}
}

// TestRest fails for what was forgotten, for what was both compared and left
// out, and for what is not there.
func TestRest(t *testing.T) {
	t.Parallel()
	const id, value = "decision.conformance_prob", 0.5
	for _, tt := range []struct {
		name    string
		compare bool
		leftOut map[string]string
		fail    bool
	}{
		{"compared", true, nil, false},
		{"left out", false, map[string]string{id: "why"}, false},
		{"forgotten", false, nil, true},
		{"both", true, map[string]string{id: "why"}, true},
		{"not there", true, map[string]string{"decision.other": "why"}, true},
	} {
		r := &reader{TB: t}
		topic := Open(r, "decision")
		if tt.compare {
			topic.Near(id, 1e9, value, value, value, value, value, value, value, value, value, value, value, value)
			r.failed = false
		}
		topic.Rest(tt.leftOut)
		if r.failed != tt.fail {
			t.Errorf("%s: failed %v, want %v", tt.name, r.failed, tt.fail)
		}
	}
}
