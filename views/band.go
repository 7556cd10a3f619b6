package views

import (
	"strconv"
	"strings"
)

// A Segment is one operation on the band of a route.
type Segment struct {
	Name   string
	When   string // when and by whom, in figures
	State  string // done, here, todo, stopped or skipped
	Fill   int    // how dense the part is by then: 1 is paste, 6 is steel
	Href   string // where the operation's record is; "" when there is none
	Spoken string // for those who listen; made of the rest when empty
}

// Word is the state in a word.
func (s Segment) Word() string {
	switch s.State {
	case "done":
		return "done"
	case "here":
		return "now"
	case "stopped":
		return "stopped"
	case "skipped":
		return "left out"
	default:
		return "to come"
	}
}

// Under is the line below the name: the time, or the state where there is no
// time to show.
func (s Segment) Under() string {
	if s.When == "" && s.State != "done" && s.State != "todo" {
		return s.Word()
	}
	return s.When
}

// Said is the whole segment for those who listen.
func (s Segment) Said() string {
	if s.Spoken != "" {
		return s.Spoken
	}
	said := []string{s.Name, s.Word()}
	if s.When != "" {
		said = append(said, s.When)
	}
	return strings.Join(said, ", ")
}

// Grain is the class of the grains in the segment.
func (s Segment) Grain() string { return "grain-" + strconv.Itoa(min(max(s.Fill, 1), 6)) }

// Filled says whether there is anything in the segment yet.
func (s Segment) Filled() bool {
	return s.State == "done" || s.State == "here" || s.State == "stopped"
}

// grainRows are enough for the tallest segment, upright on a phone.
const grainRows = 13

// Every second row of grains is moved by half of the 8 units between two.
func grainStart(row int) string { return strconv.Itoa(row % 2 * 4) }

func grainHeight(row int) string { return strconv.Itoa(row * 7) }
