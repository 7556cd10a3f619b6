package views

import (
	"strconv"
	"strings"
)

// reasonsOn are what is most often wrong with a kind of thing, to be touched
// with a glove on: our own words, as a machinist says them.
var reasonsOn = map[string][]string{
	"insert":    {"Crack or chip", "Layer torn or missing", "Bent or warped", "Size is off", "Dropped or knocked", "Wrong paste or program", "Not sure which part it is", "Record in doubt"},
	"machine":   {"Nozzle blocked or leaking", "Axis or probe reads wrong", "Stopped by itself", "Spindle or cutter damaged", "Door or guard damaged"},
	"gauge":     {"Dropped or knocked", "Off on the block", "Worn or damaged", "Display does not settle"},
	"container": {"Lumps or dry skin", "Air in it", "Seal or label damaged", "Stored too warm or too cold"},
	"mould":     {"Pocket damaged", "Rust or dirt", "Part of it missing"},
}

// Reasons are offered beside a field for a reason in a person's own words: one
// touch is enough, words may be added.
type Reasons struct {
	Form    string // as in Field
	Legend  string
	Options []string
	Picked  string
	Focus   bool // the cursor begins here
}

// because is the field of a reason that was touched.
const because = "because"

// Reasons offers reasons for what is wrong with a kind of thing; none where the
// kind is not known.
func (f Form) Reasons(kind, legend string) Reasons {
	return Reasons{Form: f.Name, Legend: legend, Options: reasonsOn[kind], Picked: f.Value(because), Focus: !f.Returned()}
}

func (r Reasons) id(n int) string { return fieldID(r.Form, because+"-"+strconv.Itoa(n+1)) }

// begins reports whether the cursor goes to a reason: to the one that was
// touched, else to the first.
func (r Reasons) begins(n int) bool {
	return r.Focus && (r.Options[n] == r.Picked || n == 0 && !r.known())
}

func (r Reasons) known() bool {
	for _, o := range r.Options {
		if o == r.Picked {
			return true
		}
	}
	return false
}

// Reason is the reason that was touched, with what was typed beside it.
func (f Form) Reason(typed string) string {
	words := f.Value(typed)
	switch touched := f.Value(because); {
	case touched == "":
		return words
	case strings.TrimSpace(words) == "":
		return touched
	default:
		return touched + ": " + words
	}
}

// wordsFor labels the field beside the reasons; where none is offered it stands
// for itself.
func (f Form) wordsFor(kind, alone string) string {
	if len(reasonsOn[kind]) == 0 {
		return alone
	}
	return "In your own words"
}
