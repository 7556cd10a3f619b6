package shop

import "time"

// nonconformanceRows are the questions to the gates about what does not conform, by gate.
var nonconformanceRows = map[string][]gateRow{
	FailHasNonconformance.Name: {
		{"all pass", asIs, nil},
		{"one failed", fails("CR40.4"), []string{"I-0029", "CR40.4 (43.8 HRC; limits 46 to 50 HRC), and no nonconformance"}},
		{"two failed", fails("CR40.1", "CR40.4"), []string{"CR40.1 (39.918 mm; limits 39.950 to 40.050 mm) and CR40.4"}},
		{"one that is open", conceded(func(f *Facts) { f.Concessions = nil }), nil},
		{"one that was cancelled", conceded(func(f *Facts) { f.Nonconformances[0].State = NCCancelled }), []string{"no nonconformance"}},
		{"used as is", conceded(decided(UseAsIs)), nil},
		{"failed again after rework", conceded(decided(ReworkIt)), []string{"no nonconformance"}},
	},
	NonconformanceClosed.Name: {
		{"nothing fails", asIs, nil},
		{"failed, and nothing was given", fails("CR40.4"), []string{"No concession covers what I-0029 failed in"}},
		{"open and not conceded", conceded(func(f *Facts) { f.Concessions = nil }), []string{"NC-004 on I-0029 is open: too soft."}},
		{"open and conceded", conceded(asIs), nil},
		{"closed without a failed reading", func(f *Facts) {
			conceded(decided(UseAsIs))(f)
			f.Fails, f.Concessions = nil, nil
		}, nil},
		{"cancelled", func(f *Facts) {
			conceded(asIs)(f)
			f.Nonconformances[0].State, f.Fails, f.Concessions = NCCancelled, nil, nil
		}, nil},
		{"used as is without a concession", conceded(func(f *Facts) {
			decided(UseAsIs)(f)
			f.Concessions = nil
		}), []string{"No concession covers what I-0029 failed in"}},
		{"entered later, closed after the act", later(func(f *Facts) {
			conceded(decided(UseAsIs))(f)
			f.Nonconformances[0].DecidedAt, f.Concessions = noon.Add(time.Minute), nil
		}), []string{"NC-004 on I-0029 is open"}},
		{"for another piece", conceded(func(f *Facts) { f.Concessions[0].Inserts = []string{"I-0030"} }), []string{"CN-01 is for I-0030, not for I-0029"}},
		{"for another mould", conceded(func(f *Facts) { f.ToMould = "M302" }), []string{"CN-01 is for mould M301, not M302"}},
		{"for a mould, not for stock", conceded(func(f *Facts) { f.ToMould = "" }), []string{"for mould M301, not for stock"}},
		{"on its last day", conceded(func(f *Facts) { f.Concessions[0].ExpiresOn = "2025-10-20" }), nil},
		{"the day after", conceded(func(f *Facts) { f.Concessions[0].ExpiresOn = "2025-10-19" }), []string{"CN-01 expired", "2025-10-19"}},
		{"withdrawn", conceded(func(f *Facts) { f.Concessions[0].WithdrawnAt, f.Concessions[0].WithdrawnBy = noon, "601" }), []string{"withdrawn by 601"}},
		{"entered later, given after the act", later(conceded(func(f *Facts) { f.Concessions[0].GivenAt = noon.Add(time.Hour) })), []string{"CN-01 was given later"}},
		{"on the limit that it allows", conceded(func(f *Facts) { f.Fails[0].Value = MustReading("43", "HRC") }), nil},
		{"beyond the limit that it allows", conceded(func(f *Facts) { f.Fails[0].Value = MustReading("42.9", "HRC") }), []string{"CN-01 allows Hardness 43 HRC or more; CR40.4 reads 42.9 HRC"}},
		{"failed in something else as well", conceded(fails("CR40.1")), []string{"CN-01 says nothing of CR40.1"}},
		{"another quantity", conceded(func(f *Facts) { f.Fails[0].Value = mm("43") }), []string{"another quantity"}},
		{"without limits", conceded(func(f *Facts) { f.Concessions[0].Limits = nil }), nil},
		{"all pieces used", conceded(func(f *Facts) { f.Concessions[0].Used, f.Concessions[0].Quantity = []string{"I-0030"}, 1 }), []string{"CN-01 allows 1 piece, and I-0030 is used already"}},
		{"its own piece used before", conceded(func(f *Facts) { f.Concessions[0].Used, f.Concessions[0].Quantity = []string{"I-0029"}, 1 }), nil},
		{"the second one covers it", conceded(func(f *Facts) {
			first := f.Concessions[0]
			first.Mould = "M302"
			f.Concessions = append([]Concession{first}, f.Concessions...)
		}), nil},
	},
}

// failing are readings outside their limits.
var failing = map[string]Fail{
	"CR40.1": {"CR40.1", "length X", MustReading("39.918", "mm"), "39.950 to 40.050 mm"},
	"CR40.4": {"CR40.4", "hardness", MustReading("43.8", "HRC"), "46 to 50 HRC"},
}

func fails(numbers ...string) func(*Facts) {
	return func(f *Facts) {
		for _, n := range numbers {
			f.Fails = append(f.Fails, failing[n])
		}
	}
}

// conceded is a piece that is too soft: a nonconformance is open, and a
// concession lets it into one mould.
func conceded(with func(*Facts)) func(*Facts) {
	return func(f *Facts) {
		fails("CR40.4")(f)
		f.ToMould = "M301"
		f.Nonconformances = []Nonconformance{{Number: "NC-004", Insert: "I-0029", What: "too soft.", RaisedAt: noon.Add(-3 * time.Hour), RaisedBy: "402", State: NCOpen}}
		f.Concessions = []Concession{{Concession: "CN-01", Nonconformance: "NC-004", Inserts: []string{"I-0029"}, What: "43 HRC or more", Limits: []ConcessionLimit{{Of: "Hardness", Lower: MustReading("43", "HRC")}},
			Mould: "M301", Quantity: 1, ExpiresOn: "2025-12-31", GivenAt: noon.Add(-time.Hour), GivenBy: "601"}}
		with(f)
	}
}

func decided(d Disposition) func(*Facts) {
	return func(f *Facts) {
		n := &f.Nonconformances[0]
		n.State, n.Disposition, n.DecidedAt, n.DecidedBy = NCClosed, d, noon.Add(-2*time.Hour), "601"
	}
}
