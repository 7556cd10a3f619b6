package shop

import (
	"testing"
	"time"
)

func TestNext(t *testing.T) {
	left := steps(5)
	left[4].State = LeftOut
	under := steps(3)
	under[3].State = Started
	rework := append(steps(8), Step{Pass: 2, Step: 2, Operation: OpPrint, State: Started}, Step{Pass: 2, Step: 3, Operation: OpDry, State: Todo})
	for _, tt := range []struct {
		name  string
		steps []Step
		next  string
		pass  int
		state StepState
	}{
		{"just opened", steps(0), OpRelease, 1, Todo},
		{"one under way comes before what is to do", under, OpSinter, 1, Started},
		{"one left out lies behind", left, OpInspect, 1, Todo},
		{"second pass", rework, OpPrint, 2, Started},
		{"at the end", steps(8), "", 0, ""},
		{"no steps", nil, "", 0, ""},
	} {
		next, ok := Insert{Steps: tt.steps}.Next()
		if ok != (tt.next != "") || next.Operation != tt.next || next.Pass != tt.pass || next.State != tt.state {
			t.Errorf("%s: next is %+v, %v; want %s, pass %d, %s", tt.name, next, ok, tt.next, tt.pass, tt.state)
		}
	}
}

func TestStepOf(t *testing.T) {
	i := Insert{Steps: append(steps(8), Step{Pass: 2, Step: 2, Operation: OpPrint, State: Started})}
	if s, ok := i.StepOf(OpPrint); !ok || s.Pass != 2 || s.State != Started {
		t.Errorf("print is %+v, %v; want its second pass", s, ok)
	}
	if s, ok := i.StepOf(OpDry); !ok || s.Pass != 1 || s.State != Finished {
		t.Errorf("final drying is %+v, %v; want its first pass", s, ok)
	}
	if s, ok := i.StepOf("polishing"); ok {
		t.Errorf("polishing is %+v; want none", s)
	}
}

func TestTook(t *testing.T) {
	for _, tt := range []struct {
		name          string
		start, finish time.Time
		want          time.Duration
		known         bool
	}{
		{"an hour", noon, noon.Add(time.Hour), time.Hour, true},
		{"at once", noon, noon, 0, true},
		{"not finished", noon, time.Time{}, 0, false},
		{"not started", time.Time{}, noon, 0, false},
		{"the clock stepped back in between", noon, noon.Add(-time.Second), 0, false},
		{"through the night in which clocks go back", time.Date(2025, 10, 25, 22, 0, 0, 0, time.UTC), time.Date(2025, 10, 26, 4, 0, 0, 0, time.UTC), 6 * time.Hour, true},
	} {
		got, known := Step{StartedAt: tt.start, FinishedAt: tt.finish}.Took()
		if got != tt.want || known != tt.known {
			t.Errorf("%s: took %v, %v; want %v, %v", tt.name, got, known, tt.want, tt.known)
		}
	}
}

func TestLastFinished(t *testing.T) {
	i := Insert{Steps: steps(3)}
	i.Steps[1].FinishedAt = noon.Add(time.Hour) // a clock that stepped back after it
	if got := i.LastFinished(); !got.Equal(noon.Add(time.Hour)) {
		t.Errorf("last finished at %v; want the latest, whatever its place", got)
	}
	if got := (Insert{Steps: steps(0)}).LastFinished(); !got.IsZero() {
		t.Errorf("last finished at %v; want never", got)
	}
}

func TestWhere(t *testing.T) {
	for want, i := range map[string]Insert{
		"M301, place K1": {Mould: "M301", MouldAt: "K1", Place: "M301 in the toolroom"},
		"on PL-01":       {Place: "on PL-01"},
		"not placed yet": {},
	} {
		if got := i.Where(); got != want {
			t.Errorf("Where = %q; want %q", got, want)
		}
	}
}

func TestDryingLoss(t *testing.T) {
	for _, tt := range []struct {
		name     string
		wet, dry Reading
		want     string
	}{
		{"as weighed", grams("254.82"), grams("232.85"), "8.62"}, // 100·(254.82 − 232.85)/254.82 = 8.6218, worked by hand
		{"weighed in two units", MustReading("0.25482", "kg"), grams("232.85"), "8.62"},
		{"nothing lost", grams("254.82"), grams("254.82"), "0.00"},
		{"half", grams("2"), grams("1"), "50.00"},
		{"rounded up", grams("100"), grams("91.3845"), "8.62"},   // 8.6155
		{"rounded down", grams("100"), grams("91.3855"), "8.61"}, // 8.6145
		{"gained mass", grams("232.85"), grams("232.86"), ""},
		{"never weighed wet", Reading{}, grams("232.85"), ""},
	} {
		got, err := DryingLoss(tt.wet, tt.dry)
		if (err != nil) != (tt.want == "") || got.Text != tt.want {
			t.Errorf("%s: DryingLoss = %v, %v; want %q", tt.name, got, err, tt.want)
		}
		if err != nil {
			whole(t, err.Error())
		}
	}
}
