package shop

import (
	"testing"
	"time"
)

func TestModeAt(t *testing.T) {
	day := func(d int) time.Time { return noon.AddDate(0, 0, d) }
	policies := []Policy{
		{Gate: "route order", Operation: EveryOperation, From: day(-10), Mode: Warn},
		{Gate: "route order", Operation: OpPrint, From: day(-5), Mode: Stop},
		{Gate: "route order", Operation: OpFit, From: day(-20), Mode: Silent},
		{Gate: "route order", Operation: EveryOperation, From: day(5), Mode: Silent},
		{Gate: "not held", Operation: OpPrint, From: day(-10), Mode: Warn},
	}
	for _, tt := range []struct {
		name, gate, operation string
		at                    time.Time
		want                  Mode
	}{
		{"before there was any", "route order", OpPrint, day(-11), Stop},
		{"the moment it begins", "route order", OpDry, day(-10), Warn},
		{"a moment before", "route order", OpDry, day(-10).Add(-time.Microsecond), Stop},
		{"every operation, where one says nothing", "route order", OpDry, noon, Warn},
		{"one operation, decided later", "route order", OpPrint, noon, Stop},
		{"one operation, before it was decided", "route order", OpPrint, day(-6), Warn},
		{"every operation, decided after the one", "route order", OpFit, noon, Warn},
		{"one operation, before every was decided", "route order", OpFit, day(-15), Silent},
		{"the latest of all", "route order", OpPrint, day(6), Silent},
		{"another operation of a gate", "not held", OpDry, noon, Stop},
		{"a gate that nobody decided about", "machine free", OpPrint, noon, Stop},
	} {
		if got := ModeAt(policies, tt.gate, tt.operation, tt.at); got != tt.want {
			t.Errorf("%s: mode %q; want %q", tt.name, got, tt.want)
		}
	}
	for _, gate := range Asking {
		if got := ModeAt(nil, gate, OpPrint, noon); got != Warn {
			t.Errorf("without policies the gate %q is %q; want warn", gate, got)
		}
		if got := ModeAt([]Policy{{Gate: gate, Operation: EveryOperation, From: noon, Mode: Stop}}, gate, OpPrint, noon); got != Stop {
			t.Errorf("decided to stop, the gate %q is %q", gate, got)
		}
	}
	if got := ModeAt(nil, "not held", OpPrint, noon); got != Stop {
		t.Errorf("without policies a gate is %q; want stop", got)
	}
}

// TestModeAtOrder: of policies from different moments the order in which they
// are listed decides nothing; of two from one moment the one recorded later
// counts.
func TestModeAtOrder(t *testing.T) {
	early := Policy{Gate: "not held", Operation: OpPrint, From: noon.Add(-2 * time.Hour), Mode: Silent}
	late := Policy{Gate: "not held", Operation: EveryOperation, From: noon.Add(-time.Hour), Mode: Warn}
	for _, list := range [][]Policy{{early, late}, {late, early}} {
		if got := ModeAt(list, "not held", OpPrint, noon); got != Warn {
			t.Errorf("mode %q; want the later one, warn", got)
		}
	}
	again := late
	again.Mode = Stop
	if got := ModeAt([]Policy{late, again}, "not held", OpPrint, noon); got != Stop {
		t.Errorf("of two from one moment the mode is %q; want the one recorded later, stop", got)
	}
}
