package server

import (
	"cmp"
	"fmt"

	"sinterbook/store/shop"
	"sinterbook/views"
)

var actResult = act{
	name: views.ActResult, operation: shop.OpInspect,
	event: func(f views.Form, insert string) (shop.Event, error) {
		wrong := shop.Fields{}
		return valid(wrong, shop.ResultRecorded{Insert: insert, Characteristic: f.Value("characteristic"), Value: typedReading(wrong, f),
			Gauge: f.Value("gauge"), PartTemp: wrong.Read("part_temp", f.Value("part_temp"), "C", shop.Temperature), Purpose: f.Value("purpose")})
	},
	past: func(e shop.Event) string {
		r := e.(shop.ResultRecorded)
		return fmt.Sprintf("%s of %s recorded as %s by %s", r.Characteristic, r.Insert, r.Value, r.Gauge)
	},
	probe: func(p views.Work) shop.Act {
		step, _ := p.Insert.StepOf(shop.OpInspect)
		return toMeasure{shop.InspectionFinished{Insert: p.Insert.Insert}, step.State == shop.Finished}
	},
}

// typedReading reads the value in the unit that was chosen. Its quantity is
// the unit's: whether that fits the characteristic is judged with the drawing.
func typedReading(wrong shop.Fields, f views.Form) shop.Reading {
	q := cmp.Or(shop.QuantityOf(f.Value("unit")), shop.Length)
	return taken(wrong, &f, "value", "unit", "The unit of the reading", q)
}

// A toMeasure is asked about before there is a value, so that what stands in the
// way of measuring is said beforehand.
type toMeasure struct {
	shop.InspectionFinished
	again bool // the inspection is over: measuring again is not an operation
}

// Phase of a measuring, as of the result that it becomes.
func (r toMeasure) Phase() shop.Phase {
	if r.again {
		return shop.Anytime
	}
	return shop.During
}

// Gates of a measuring, as of the result that it becomes.
func (r toMeasure) Gates() []shop.Gate {
	purpose := "inspection"
	if r.again {
		purpose = "re-measurement"
	}
	return shop.ResultRecorded{Purpose: purpose}.Gates()
}

var actInspectionFinish = act{
	name: views.ActInspectionFinish, operation: shop.OpInspect,
	event: func(_ views.Form, insert string) (shop.Event, error) {
		return shop.InspectionFinished{Insert: insert}, nil
	},
	past:  func(e shop.Event) string { return "Inspection of " + e.(shop.InspectionFinished).Insert + " finished" },
	probe: func(p views.Work) shop.Act { return shop.InspectionFinished{Insert: p.Insert.Insert} },
}

// resultAsTyped is a reading that stands, as its form had it.
func resultAsTyped(p views.Work, seq int64) (words string, values map[string]string) {
	for _, size := range p.Sizes {
		if r := size.Result; r.Seq == seq && seq != 0 {
			return views.ResultWords(r), map[string]string{"characteristic": r.Characteristic, "value": r.Value.Text, "unit": r.Value.Unit,
				"gauge": r.Gauge, "part_temp": r.PartTemp.Text, "purpose": r.Purpose}
		}
	}
	return "", nil
}
