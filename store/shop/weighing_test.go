package shop

import (
	"strings"
	"time"
)

// weighingRows are the questions to the gates about drying, by gate.
var weighingRows = map[string][]gateRow{
	ConstantMass.Name: {
		{"another act", asIs, nil},
		{"constant", dries("233.07 26h", "232.88 1h", "232.85 0s"), nil}, // 0.0129 %
		{"typed again what was weighed", dries("232.88 61m", "232.85 2m", "232.85 0s"), nil},
		{"still drying", dries("254.82 26h", "233.07 1h", "232.85 0s"), []string{"not at constant mass", "0.094 %", "0.05 %"}},
		{"ten minutes apart", dries("254.82 26h", "232.86 10m", "232.85 0s"), []string{"not at constant mass", "254.82 g"}},
		{"weighed once", dries("232.85 0s"), []string{"not weighed twice"}},
	},
	LossInBand.Name: {
		{"another act", asIs, nil},
		{"in the middle", loses("8.62"), nil},
		{"on the edge", loses("9.60"), nil},
		{"too much", loses("9.61"), []string{"lost 9.61 %", "L2509-A", "7.80 % to 9.60 %"}},
		{"too little", loses("7.79"), []string{"lost 7.79 %"}},
		{"too much, and used as it is", func(f *Facts) {
			loses("9.61")(f)
			f.Nonconformances = []Nonconformance{{Number: "NC-009", State: NCClosed, Disposition: UseAsIs, RaisedAt: noon.Add(time.Minute)}}
			f.DryingSince = noon
		}, nil},
		{"too much, decided before it was dried", func(f *Facts) {
			loses("9.61")(f)
			f.Nonconformances = []Nonconformance{{Number: "NC-009", State: NCClosed, Disposition: UseAsIs, RaisedAt: noon.Add(-time.Minute)}}
			f.DryingSince = noon
		}, []string{"lost 9.61 %"}},
		{"a lot without a band", func(f *Facts) {
			loses("9.61")(f)
			f.Lot.DryingLow, f.Lot.DryingHigh = Reading{}, Reading{}
		}, nil},
	},
}

// dries are weighings, each with how long before the end of drying it was
// taken; the last is the one typed at the end.
func dries(weighings ...string) func(*Facts) {
	return func(f *Facts) {
		f.Constant = MustReading("0.05", "%")
		for _, w := range weighings {
			mass, ago, _ := strings.Cut(w, " ")
			before, err := time.ParseDuration(ago)
			if err != nil {
				panic(err)
			}
			f.Weighings = append(f.Weighings, Weighing{At: f.At.Add(-before), Mass: grams(mass)})
		}
		last := len(f.Weighings) - 1
		f.Event, f.Weighings = DryingFinished{Insert: "I-0029", Dry: f.Weighings[last].Mass}, f.Weighings[:last]
	}
}

func loses(percent string) func(*Facts) {
	return func(f *Facts) {
		f.Lot.DryingLow, f.Lot.DryingHigh = MustReading("7.80", "%"), MustReading("9.60", "%")
		f.Event = DryingFinished{Insert: "I-0029", Dry: grams("232.85"), Loss: MustReading(percent, "%")}
	}
}
