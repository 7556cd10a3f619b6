package shop

import "slices"

// StepPaused notes that the work on an insert rests: the shift ends, or
// something is missing. The operation stays under way.
type StepPaused struct {
	Insert string `json:"insert"`
	Op     string `json:"operation"`
	Layer  int    `json:"layer"` // last one that is finished, of a print; 0 where nothing was said
	Why    string `json:"why"`   // "" where nothing was said
}

func (StepPaused) Kind() string         { return "step-paused" }
func (e StepPaused) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses a pause of nothing.
func (e StepPaused) Valid() error {
	f := Fields{}
	f.needStep(e.Insert, e.Op)
	if e.Layer < 0 {
		f.Say("layer", "The last finished layer is %d: it is 1 or more, or left empty.", e.Layer)
	}
	return f.Err()
}

// StepResumed notes that the work goes on, by whoever records it.
type StepResumed struct {
	Insert string `json:"insert"`
	Op     string `json:"operation"`
	Note   string `json:"note"` // as of what was handed over, "" where nothing was said
}

func (StepResumed) Kind() string         { return "step-resumed" }
func (e StepResumed) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses to go on with nothing.
func (e StepResumed) Valid() error {
	f := Fields{}
	f.needStep(e.Insert, e.Op)
	return f.Err()
}

func (f Fields) needStep(insert, operation string) {
	f.Need("insert", insert, "The insert")
	if !slices.Contains(Operations, operation) {
		f.Say("operation", "%q is not an operation of the route.", operation)
	}
}
