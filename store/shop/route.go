package shop

import (
	"fmt"
	"slices"
)

// The operations of a route, in the order in which an insert meets them.
const (
	OpRelease = "design release"
	OpPrint   = "print" // print, shape and dry interleave by layer
	OpDry     = "final drying"
	OpSinter  = "sintering"
	OpTemper  = "tempering"
	OpInspect = "inspection"
	OpFit     = "fit-up"
	OpDeliver = "delivered"
)

// Operations lists all operations in order.
var Operations = []string{OpRelease, OpPrint, OpDry, OpSinter, OpTemper, OpInspect, OpFit, OpDeliver}

// BuildParts are the three acts that interleave by layer in the print operation.
var BuildParts = []string{"print", "shape", "dry"}

// A Route is a version of the shop's list of operations. A traveler keeps the
// version it started with.
type Route struct {
	ID       int64
	Template string
	Version  int
	Steps    []RouteStep
}

// A RouteStep is one operation of a route.
type RouteStep struct {
	Step      int      `json:"step"`
	Operation string   `json:"operation"`
	Group     []string `json:"group"` // acts that interleave by layer, none for one act
	Optional  bool     `json:"optional"`
	Yields    string   `json:"yields"` // what it records
}

// RouteReleased puts a version of a route template in force.
type RouteReleased struct {
	Template string      `json:"template"`
	Version  int         `json:"version"`
	Steps    []RouteStep `json:"steps"`
}

func (RouteReleased) Kind() string         { return "route-released" }
func (e RouteReleased) Subjects() []string { return []string{Subject("route", e.Template)} }

// Valid refuses a route that the shop could not walk: steps that do not count
// up from 1, operations twice or unknown, no print or no end.
func (e RouteReleased) Valid() error {
	f := Fields{}
	f.Number("template", e.Template, "The name of the route")
	if e.Version < 1 {
		f.sayCount("version", "The version", e.Version, 0)
	}
	var seen []string
	for i, s := range e.Steps {
		field := fmt.Sprintf("steps.%d", i+1)
		if s.Step != i+1 {
			f.Say(field, "Step %d stands at place %d: steps count up from 1.", s.Step, i+1)
		}
		if !slices.Contains(Operations, s.Operation) {
			f.Say(field, "%q is not an operation that the shop knows.", s.Operation)
		}
		if slices.Contains(seen, s.Operation) {
			f.Say(field, "The operation %s stands twice.", s.Operation)
		}
		seen = append(seen, s.Operation)
	}
	for _, must := range []string{OpRelease, OpPrint, OpDry, OpSinter, OpInspect, OpDeliver} {
		if !slices.Contains(seen, must) {
			f.Say("steps", "The operation %s is missing from the route.", must)
		}
	}
	return f.Err()
}
