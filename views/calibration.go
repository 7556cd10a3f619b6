package views

import (
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// ChecksShown is how many checks the page of a gauge lists; its history has
// them all.
const ChecksShown = 30

// Gauge is the page about one gauge.
type Gauge struct {
	Frame
	Gauge        shop.Gauge
	Zone         *time.Location
	Now          time.Time
	Holds        []shop.Hold
	Calibrations []shop.Calibration // newest first
	Checked      []shop.GaugeCheck  // newest first
	Filings      Filings
	Checks       bool // this person may check it
	Calibrates   bool // this person may record a calibration
}

// NewGaugeCare is the form for a check or a calibration.
type NewGaugeCare struct {
	New
	Gauges []shop.Gauge
}

// GaugeOptions are the gauges of the register.
func (p NewGaugeCare) GaugeOptions() []Option { return gaugeOptions(p.Gauges) }

// LengthGauges are those that read lengths: a block tells whether they do.
func LengthGauges(gauges []shop.Gauge) []Option {
	var lengths []shop.Gauge
	for _, g := range gauges {
		if g.Resolution.Taken() {
			lengths = append(lengths, g)
		}
	}
	return gaugeOptions(lengths)
}

func gaugeOptions(gauges []shop.Gauge) []Option {
	var o []Option
	for _, g := range gauges {
		o = append(o, Option{Value: g.Gauge, Text: fmt.Sprintf("%s, %s, %s", g.Gauge, g.Type, g.Range)})
	}
	return o
}

// Stops is what the gates of a reading would say against the gauge today, ""
// where it may measure.
func (p Gauge) Stops() string {
	f := shop.Facts{At: p.Now, Zone: p.Zone, Gauge: p.Gauge}
	if len(p.Calibrations) > 0 {
		f.Calibration = p.Calibrations[0]
	}
	if len(p.Checked) > 0 {
		f.Check = p.Checked[0]
	}
	for _, g := range []shop.Gate{shop.GaugeInCalibration, shop.GaugeCheckPassed, shop.GaugeCheckLimit} {
		if why := g.Ask(f); why != "" {
			return why
		}
	}
	return ""
}

// Facts are what the register says of it.
func (p Gauge) Facts() []Fact {
	return together([]Fact{{Name: "Kind", Value: p.Gauge.Type}, {Name: "Range", Value: p.Gauge.Range, Figure: true}},
		fact("Resolution", shown(p.Gauge.Resolution)), fact("Permissible error", pm(p.Gauge.Error)), fact("Uncertainty, k = 2", pm(p.Gauge.Uncertain)),
		[]Fact{{Name: "Scan code", Value: p.Gauge.Code.Grouped(), Figure: true}})
}

// pm is a permissible error as it is written, "" where there is none.
func pm(r shop.Reading) string {
	if !r.Taken() {
		return ""
	}
	return "±" + r.String()
}

// checkOff is what the gauge read too much on its block, in micrometres.
func checkOff(k shop.GaugeCheck) string {
	return Number((k.Read.Value()-k.Block.Value())*1000, 0)
}

func verdictMark(verdict string) string {
	if verdict == "fail" {
		return "stopped"
	}
	return "done"
}

// pointCells are the cells of a line in the table of points.
func pointCells(f Form, n int) []Line {
	return []Line{
		f.cell("points", n, "", "Standard").figure(),
		f.cell("points", n, "found", "Read too much, as found").figure(),
		f.cell("points", n, "left", "Read too much, as left").figure(),
	}
}
