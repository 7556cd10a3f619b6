package shop

import (
	"strings"
	"testing"
	"time"
)

// TestLimitOfItsSize: what is a hundred times off the first value of a limit,
// upwards or downwards, is a slip of unit; a chance is a percentage.
func TestLimitOfItsSize(t *testing.T) {
	for _, tt := range []struct {
		limit, value, unit string
		says               string // "" where it may be set
	}{
		{UnexplainedMass, "0.11", "g", ""},
		{UnexplainedMass, "0.10", "g", "0.10 g is a hundred times off what shops begin with, 10 g"},
		{UnexplainedMass, "0.012", "g", "Another unit was probably meant."}, // 12 g typed in kilograms
		{UnexplainedMass, "0.012", "kg", ""},
		{UnexplainedMass, "999", "g", ""},
		{UnexplainedMass, "1000", "g", "1000 g is a hundred times off"},
		{UnexplainedMass, "12", "kg", "12 kg is a hundred times off"},                     // 12 g typed in kilograms
		{DrawOff, "0.3", "%", "0.3 % is a hundred times off what shops begin with, 30 %"}, // 30 % typed as a fraction
		{DrawOff, "0.31", "%", ""},
		{DrawOff, "2999", "%", ""},
		{DrawOff, "3000", "%", "3000 % is a hundred times off"},
		{GreenChance, "0.99", "%", "A chance of 0.99 % cannot be asked for"},
		{GreenChance, "1", "%", ""},
		{GreenChance, "100", "%", ""},
		{GreenChance, "100.1", "%", "A chance of 100.1 % cannot be asked for"},
	} {
		e := an[LimitSet]()
		e.Limit, e.Value = tt.limit, MustReading(tt.value, tt.unit)
		switch err := Check(e); {
		case tt.says == "" && err != nil:
			t.Errorf("%s of %s: %v; want it to be set", tt.limit, e.Value, err)
		case tt.says != "" && (err == nil || !strings.Contains(err.Error(), tt.says)):
			t.Errorf("%s of %s: %v; want %q", tt.limit, e.Value, err, tt.says)
		}
	}
}

// TestLimitAt: a limit counts from its time on; of two from the same time the one
// that was set later.
func TestLimitAt(t *testing.T) {
	set := func(limit, value, unit string, after time.Duration) Limit {
		return Limit{Limit: limit, Value: MustReading(value, unit), From: noon.Add(after)}
	}
	all := []Limit{set(UnexplainedMass, "20", "g", -time.Hour), set(GreenChance, "90", "%", -time.Hour), set(UnexplainedMass, "30", "g", 0), set(UnexplainedMass, "25", "g", 0), set(UnexplainedMass, "15", "g", -2*time.Hour)}
	for _, tt := range []struct {
		name  string
		limit string
		after time.Duration
		want  string
	}{
		{"before any was set", UnexplainedMass, -3 * time.Hour, "10"},
		{"one that was set for a time before another", UnexplainedMass, -2 * time.Hour, "15"},
		{"a moment before the next", UnexplainedMass, -time.Hour - time.Nanosecond, "15"},
		{"from its moment on", UnexplainedMass, -time.Hour, "20"},
		{"two from one moment", UnexplainedMass, 0, "25"},
		{"of another name", GreenChance, 0, "90"},
		{"never set", DrawOff, 0, "30"},
	} {
		if got := LimitAt(all, tt.limit, noon.Add(tt.after)); got.Value.Text != tt.want {
			t.Errorf("%s: %s; want %s", tt.name, got.Value, tt.want)
		}
	}
}
