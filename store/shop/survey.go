package shop

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// A Survey is a temperature uniformity survey (TUS): how far the zones of a
// furnace were from the set point.
type Survey struct {
	Seq      int64
	Furnace  string
	At       time.Time
	By       string
	SetPoint Reading
	Limit    Reading // plus or minus
	Zones    []ZoneOff
	Verdict  string
	Due      Date
}

// A ZoneOff is how far a zone was from the set point, zone minus set point.
type ZoneOff struct {
	Zone string  `json:"zone"`
	Off  Reading `json:"off" quantity:"temperature difference"`
}

// FurnaceSurveyed records a temperature uniformity survey (TUS). The verdict
// is decided when it is recorded, by the limit that was typed.
type FurnaceSurveyed struct {
	Furnace  string    `json:"furnace"`
	SetPoint Reading   `json:"set_point" quantity:"temperature"`
	Limit    Reading   `json:"limit" quantity:"temperature difference"`
	Zones    []ZoneOff `json:"zones"`
	Verdict  string    `json:"verdict"`
	Due      Date      `json:"due"`
}

func (FurnaceSurveyed) Kind() string         { return "furnace-surveyed" }
func (e FurnaceSurveyed) Subjects() []string { return []string{Subject("furnace", e.Furnace)} }

// Valid refuses a survey without zones, limit or next day.
func (e FurnaceSurveyed) Valid() error {
	f := Fields{}
	f.Need("furnace", e.Furnace, "The furnace")
	f.needFurnaceHeat("set_point", e.SetPoint, "The set point")
	f.needPositive("limit", e.Limit, "The limit")
	f.needNext("due", e.Due, e.Judged(), "The day on which the next survey is due")
	if len(e.Zones) == 0 {
		f.Say("zones", "A zone is missing: say how far each was from the set point.")
	}
	var seen []string
	for i, z := range e.Zones {
		field := fmt.Sprintf("zones.%d", i+1)
		f.Need(field, z.Zone, "The zone")
		if !z.Off.Taken() {
			f.Say(field, "How far zone %s was from the set point is missing: type 0 where it was on it.", z.Zone)
		}
		if slices.Contains(seen, z.Zone) {
			f.Say(field, "Zone %s stands twice.", z.Zone)
		}
		seen = append(seen, z.Zone)
	}
	return f.Err()
}

// Judged is the verdict: it passes when every zone was off the set point by no
// more than the limit.
func (e FurnaceSurveyed) Judged() string {
	for _, z := range e.Zones {
		if math.Abs(z.Off.Value()) > e.Limit.Value()+exactness(z.Off, e.Limit) {
			return "fail"
		}
	}
	return "pass"
}
