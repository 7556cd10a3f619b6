package views

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Furnace is the page about one furnace.
type Furnace struct {
	Frame
	Furnace  shop.Furnace // with its sensors and their last tests
	Zone     *time.Location
	Now      time.Time
	Holds    []shop.Hold
	Tests    []shop.SensorTest // newest first
	Surveys  []shop.Survey     // newest first
	Sensors  []shop.Sensor     // those that were taken out too
	Loads    []shop.Load       // newest first
	Services []shop.Service
	Acts     []Link
	Needs    *Form // which safety tests it needs; nil for those who may not say
}

// Stops is what the gates of a load would say against the furnace today.
func (p Furnace) Stops() string {
	return shop.FurnaceTestsInDate.Ask(shop.Facts{At: p.Now, Zone: p.Zone, Furnace: p.Furnace})
}

// Facts are what the register says of it.
func (p Furnace) Facts() []Fact {
	l := p.Furnace.Limits
	needs := []Fact{{Name: "Safety tests on record before a run", Value: strings.Join(p.Furnace.Tests, ", ")}}
	if len(p.Furnace.Tests) == 0 {
		needs[0].Value = "none is asked for"
	}
	return together(fact("SAT limit", pm(l.SAT)), fact("SAT every", everyDays(l.SATDays)), fact("TUS limit", pm(l.TUS)), fact("TUS every", everyDays(l.TUSDays)), needs, fact("Scan code", p.Furnace.Code.Grouped()))
}

func everyDays(n int) string {
	if n == 0 {
		return ""
	}
	return days(n)
}

// ZoneList lists its zones with the sensor of each.
func (p Furnace) ZoneList() Listing {
	l := Listing{Name: "Zones", Columns: columnsOf("Zone", "Inserts at", "Coupons at", "Sensor", "Type", "Certificate", "Last SAT", "SAT due")}
	for _, z := range ZonesOf(p.Furnace) {
		cells := []Item{words(z.Name), code(z.Names), code(z.Spare), words("none on record"), words(""), words(""), words(""), words("")}
		for _, s := range p.Furnace.Sensors {
			if s.Zone == z.Name {
				cells = append(cells[:3], Item{Text: s.Sensor, Href: HistoryOf("sensor", s.Sensor), Code: true}, words(s.Type), code(s.Certificate), stateItem("never tested", "stopped"), code(""))
				if s.Test.Seq != 0 {
					cells[6], cells[7] = stateItem(s.Test.Verdict, verdictMark(s.Test.Verdict)), code(string(s.Test.Due))
				}
			}
		}
		l.Rows = append(l.Rows, Row{Cells: cells})
	}
	return l
}

// TestList lists the system accuracy tests.
func (p Furnace) TestList() Listing {
	l := Listing{Name: "System accuracy tests", Empty: "No SAT was recorded yet: nothing is sintered before.", Columns: columnsOf("Sensor", "On, by", "#Set point", "#Read", "#Reference", "#Off, limit ±, °C", "Verdict, next due")}
	for _, t := range p.Tests {
		l.Rows = append(l.Rows, Row{Stopped: t.Verdict != "pass", Cells: []Item{code(t.Sensor), code(Day(t.At, p.Zone) + " " + t.By), words(t.SetPoint.String()), words(t.Read.String()), words(t.Reference.String()),
			words(fmt.Sprintf("%+.1f / %s", t.Off(), t.Limit.Text)), dueItem(t.Verdict, t.Due)}})
	}
	return l
}

// SurveyList lists the temperature uniformity surveys.
func (p Furnace) SurveyList() Listing {
	l := Listing{Name: "Temperature uniformity surveys", Empty: "No TUS was recorded yet: nothing is sintered before.", Columns: columnsOf("On, by", "#Set point", "Off the set point", "#Limit", "Verdict, next due")}
	for _, s := range p.Surveys {
		var zones []string
		for _, z := range s.Zones {
			zones = append(zones, z.Zone+" "+z.Off.String())
		}
		l.Rows = append(l.Rows, Row{Stopped: s.Verdict != "pass", Cells: []Item{code(Day(s.At, p.Zone) + " " + s.By), words(s.SetPoint.String()), code(strings.Join(zones, ", ")), words(pm(s.Limit)),
			dueItem(s.Verdict, s.Due)}})
	}
	return l
}

// dueItem is a verdict with the day on which the next test is due.
func dueItem(verdict string, due shop.Date) Item {
	return stateItem(verdict+opt(", ", string(due)), verdictMark(verdict))
}

// LoadList lists its loads.
func (p Furnace) LoadList() Listing {
	l := Listing{Name: "Loads", Empty: "Nothing was sintered in it yet.", Columns: columnsOf("Load", "State", "Recipe", "#Pieces", "Door closed", "Unloaded")}
	for _, v := range p.Loads {
		word, mark := LoadState(v, "")
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink("load", v.Load), stateItem(word, mark), code(v.Recipe), words(strconv.Itoa(len(v.Items))), code(when(v.Closed, p.Zone)), code(when(v.Opened, p.Zone))}})
	}
	return l
}

// furnaceOptions are the furnaces to choose from.
func furnaceOptions(all []shop.Furnace) []Option {
	var o []Option
	for _, f := range all {
		o = append(o, Option{Value: f.Furnace, Text: f.Furnace})
	}
	return o
}

// NewSensorPage fits a control sensor.
func NewSensorPage(p New, furnaces []shop.Furnace) templ.Component {
	f := p.Form
	return plain(p, Wording{"Fit a sensor", "The sensor that was in the zone is out of it from then on. A new one needs a SAT of its own before anything is sintered.", "Record that it was fitted", "/furnaces"},
		group(field(f.CodeField("sensor", "Sensor number", true)), choice(f.Pick("furnace", "Furnace", furnaceOptions(furnaces), true)), choice(f.Pick("zone", "Zone", Options("top", "middle", "bottom"), true))),
		group(choice(f.Pick("type", "Thermocouple type", Options(shop.SensorTypes...), true)), field(f.CodeField("certificate", "Number of its certificate", true))), group(earlier(f)))
}

// NewSensorTestPage records a system accuracy test.
func NewSensorTestPage(p New, sensors []shop.Sensor) templ.Component {
	f := p.Form
	var o []Option
	for _, s := range sensors {
		if s.RemovedAt.IsZero() {
			o = append(o, Option{Value: s.Sensor, Text: s.Sensor + ", furnace " + s.Furnace + ", " + s.Zone})
		}
	}
	return plain(p, Wording{"Record a SAT", "System accuracy test: the furnace's own reading against a calibrated sensor beside it. The verdict follows from the limit.", "Record the test", "/furnaces"},
		group(choice(f.Pick("sensor", "Sensor", o, true)), choice(f.Pick("unit", "Degrees in", celsius(), true))),
		group(field(f.Figure("set_point", "Set point", "", true)), field(f.Figure("read", "The furnace reads", "", true)), field(f.Figure("reference", "The test sensor reads, corrected", "", true))),
		group(field(f.Figure("limit", "Limit, plus or minus", "", true)), field(f.Day("due", "Next one due, if it passes", false))), group(earlier(f)))
}

// zoneCells are the cells of a line in the table of a survey.
func zoneCells(f Form, n int) []Line {
	return []Line{f.cell("zones", n, "", "Zone").of(Options("top", "middle", "bottom")), f.cell("zones", n, "off", "Off the set point").figure()}
}

// NewServicePage records work on a piece of equipment.
func NewServicePage(p New) templ.Component {
	f := p.Form
	return plain(p, Wording{"Record work on equipment", "Maintenance, a repair, a part replaced: a drift that begins that day is found by it.", "Record the work", "/equipment"},
		group(choice(f.Pick("on_kind", "Kind of equipment", Options(shop.Serviced...), true)), field(f.CodeField("on_code", "Its number", true))),
		group(area(f.Words("what", "What was done", true))), group(earlier(f)))
}

// NewFurnaceTestPage records a safety test before a run.
func NewFurnaceTestPage(p New, loads []shop.Load) templ.Component {
	f := p.Form
	var o []Option
	for _, l := range loads {
		if l.Opened.IsZero() {
			o = append(o, Option{Value: l.Load, Text: l.Load + " for furnace " + l.Furnace})
		}
	}
	return plain(p, Wording{"Record a safety test", "Done at the furnace by an authorised person, by its instructions and the local code. The record is never permission to start it, and a failed test is overridden by nobody.", "Record the test", "/loads"},
		group(choice(f.Pick("load", "Before the run of", o, true)), choice(f.Pick("test", "Test", Options(shop.FurnaceTests...), true)), choice(f.Pick("verdict", "Verdict", Options("pass", "fail"), true))),
		group(area(f.Words("note", "What was read", false))), group(earlier(f)))
}
