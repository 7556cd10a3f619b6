package views

import (
	"strings"
	"time"

	"sinterbook/store/shop"
)

// operations says how each operation stands on the band: its short name, and
// how dense the part is by then, from 1 (paste) to 6 (steel).
var operations = map[string]struct {
	name string
	fill int
}{
	shop.OpRelease: {"Release", 1}, shop.OpPrint: {"Print, dry, shape", 2}, shop.OpDry: {"Final drying", 3}, shop.OpSinter: {"Sintering", 4},
	shop.OpTemper: {"Tempering", 5}, shop.OpInspect: {"Inspection", 5}, shop.OpFit: {"Fit-up", 6}, shop.OpDeliver: {"Delivered", 6},
}

// OperationName is an operation as pages name it.
func OperationName(operation string) string {
	if o, ok := operations[operation]; ok {
		return o.name
	}
	switch operation { // parts of the print that people are authorised for
	case "shape":
		return "Shaping between layers"
	case "dry":
		return "Drying between layers"
	}
	return operation
}

// OperationAnchor is the id of the part of a traveler's page that holds the
// records of an operation, as "final-drying".
func OperationAnchor(operation string) string { return strings.ReplaceAll(operation, " ", "-") }

// RouteSegments is an insert's route as segments of a band. Times stand in the
// shop's zone. Where a hold stops the insert, StopAt marks the place.
func RouteSegments(i shop.Insert, zone *time.Location) []Segment {
	next, open := i.Next()
	route := make([]Segment, len(i.Steps))
	for n, step := range i.Steps {
		s := Segment{Name: OperationName(step.Operation), Fill: operations[step.Operation].fill, State: "todo"}
		if step.Pass > 1 {
			s.Name += ", again"
		}
		switch {
		case step.State == shop.Finished:
			s.State, s.When, s.Href = "done", step.FinishedAt.In(zone).Format("01-02")+" "+step.FinishedBy, "/inserts/"+i.Insert+"#"+OperationAnchor(step.Operation)
		case step.State == shop.LeftOut:
			s.State = "skipped"
		case step.State == shop.BrokenOff:
			s.State, s.When = "skipped", "broken off "+step.FinishedAt.In(zone).Format("01-02")
		case i.Status == shop.StatusScrapped && open && step == next:
			s.State, s.When = "stopped", "scrapped"
		case open && step == next && !i.Done:
			s.State, s.When = "here", since(step, zone)
		}
		route[n] = s
	}
	return route
}

// since says when a step began; "" before it did.
func since(step shop.Step, zone *time.Location) string {
	if step.State != shop.Started {
		return ""
	}
	return "since " + step.StartedAt.In(zone).Format("01-02") + " " + step.StartedBy
}

// StopAt marks the place at which a route stands as stopped.
func StopAt(route []Segment, why string) []Segment {
	for n, s := range route {
		if s.State == "here" {
			route[n].State, route[n].When = "stopped", why
		}
	}
	return route
}
