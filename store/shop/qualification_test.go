package shop

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestLacks: a plan is held against the way in which its coupons are built: by
// the releases of the lot, and by the design while there is none.
func TestLacks(t *testing.T) {
	bar := Design{Design: "CP40", Revision: "B", Orientation: "+Z up", Characteristics: []Characteristic{
		{Number: "1", Axis: "X", Kind: Length, Nominal: mm("40")}, {Number: "2", Axis: "X", Kind: Length, Nominal: mm("20")},
		{Number: "3", Axis: "Y", Kind: Length, Nominal: mm("12")}, {Number: "4", Axis: "Y", Kind: Length, Nominal: mm("12.5")},
		{Number: "5", Kind: Hardness}}}
	built := func(orientation string) Release {
		return Release{Release: "DR-01 " + orientation, Design: "CP40", Revision: "B", Lot: "L2509-A", Orientation: orientation}
	}
	gone := built("+X up, Y along the machine X")
	gone.SupersededBy, gone.SupersededAt = "DR-02 A", noon.Add(-time.Hour)
	of := func(change func(*Release)) Release {
		r := built("+X up, Y along the machine X")
		change(&r)
		return r
	}
	const noZ, noX = "No length of CP40 B lies along Z of the build", "No length of CP40 B lies along X of the build"
	for _, tt := range []struct {
		name     string
		axes     string
		releases []Release
		says     []string
		silent   []string
	}{
		{"no release yet: as it is drawn", "X Y Z", nil, []string{noZ, "Along Y the coupons have one length only"}, []string{noX, "Along X"}},
		{"turned on its end", "X Y Z", []Release{built("+X up, Y along the machine X")}, []string{"Along X the coupons have one length only", "No length of CP40 B lies along Y of the build"}, []string{noZ, "Along Z", noX}},
		{"some lie and some stand", "X Y Z", []Release{built("+Z up"), built("+X up, Y along the machine Y")}, []string{"Along Y the coupons have one length only"}, []string{noZ, noX, "Along X"}},
		{"a release that is superseded", "X Y Z", []Release{gone}, []string{noZ}, []string{noX}},
		{"a release of another lot", "X Y Z", []Release{of(func(r *Release) { r.Lot = "L2509-B" })}, []string{noZ}, []string{noX}},
		{"a release of which the lot takes over later", "X Y Z", []Release{of(func(r *Release) { r.Lot, r.Further = "L2509-B", []LayerLot{{"L2509-A", 50}} })}, []string{"No length of CP40 B lies along Y"}, []string{noZ}},
		{"a release of another revision", "X Y Z", []Release{of(func(r *Release) { r.Revision = "A" })}, []string{noZ}, []string{noX}},
		{"words that do not say how", "X Y Z", []Release{built("flat")}, []string{`The coupons are built "flat"`, "Their lengths will count along none.", noX, noZ}, []string{"one length only"}},
		{"X only", "X", nil, []string{"Nothing is planned along Y: a factor in Y will rest on no measurement.", "Nothing is planned along Z"}, []string{noZ, "one length only"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q := Qualification{Lot: "L2509-A", Kinds: []PlannedCoupons{{4, "CP40", "B"}}, Axes: strings.Fields(tt.axes)}
			said := strings.Join(q.Lacks([]Design{bar}, tt.releases, noon), " ")
			whole(t, said)
			says(t, said, tt.says)
			for _, word := range tt.silent {
				if strings.Contains(said, word) {
					t.Errorf("%q says %q", said, word)
				}
			}
		})
	}
}

// qualificationRows are the questions to the gates at a desk about a lot, by
// gate.
var qualificationRows = map[string][]gateRow{
	MeasuredAsBook.Name: {
		{"another act", asIs, nil},
		{"as the lengths say", proposes("16.787", OwnRuns, 4, "16.741", "16.833", fourX), nil},
		{"to fewer decimals", proposes("16.79", OwnRuns, 4, "16.74", "16.83", fourX), nil},
		{"surer than the lengths", proposes("16.79", Measured, 4, "16.74", "16.83", fourX), []string{"X is proposed as 16.79 %, measured", "within its own runs: how far runs differ is not known"}},
		{"as sure as the lengths", func(f *Facts) {
			proposes("16.79", Measured, 4, "16.74", "16.83", fourX)(f)
			f.Fits[0].Axes[0].Runs = RunsOwn
		}, nil},
		{"another count", proposes("16.79", Measured, 5, "16.74", "16.83", fourX),
			[]string{"X is proposed as 16.79 %, measured, n 5, from 16.74 % to 16.83 %.", "The book's lengths of lot L2509-A along X say 16.79 %, n 4, from 16.74 % to 16.83 % within its own runs"}},
		{"another interval", proposes("16.79", Measured, 4, "16.78", "16.80", fourX), []string{"from 16.78 % to 16.80 %", "from 16.74 % to 16.83 %"}},
		{"a value outside", proposes("18.38", Measured, 4, "16.74", "18.40", fourX), []string{"proposed as 18.38 %", "say 16.79 %"}},
		{"nothing measured", proposes("16.79", Measured, 5, "16.74", "16.83", nil), []string{"X is proposed as 16.79 %, measured, n 5", "has no length of lot L2509-A along X"}},
		{"one length", proposes("16.79", Measured, 1, "16.74", "16.83", lengths("X", 48.00, 39.94)), []string{"say 16.79 %, n 1, and give no interval"}},
		{"no number", proposes("16.79", Measured, 1, "16.74", "16.83", lengths("X", 39.94, 48.00)), []string{"give no number: n 1"}},
		{"not said to be measured", proposes("18.38", OtherAxis, 0, "", "", nil), nil},
		{"pooled of one lot", proposes("16.79", Pooled, 4, "16.70", "16.90", fourX), []string{"pooled, n 4", "say 16.79 %, n 4"}},
	},
	CertificateInLimits.Name: {
		{"another act", asIs, nil},
		{"within", qualified(func(*Qualifying) {}), nil},
		{"none", qualified(func(q *Qualifying) { q.Certificate = nil }), []string{"certificate of lot L2509-A was not entered"}},
		{"outside", qualified(func(q *Qualifying) { q.Certificate[0].Value = "0.46" }), []string{"outside its limits: carbon 0.46 wt% (0.38 to 0.44)"}},
	},
	QualifiedAsPlanned.Name: {
		{"another act", asIs, nil},
		{"as planned", qualified(func(*Qualifying) {}), nil},
		{"no plan", qualified(func(q *Qualifying) { q.Plan = nil }), []string{"Nobody planned how lot L2509-A is to be qualified."}},
		{"one not sintered", qualified(func(q *Qualifying) { q.Coupons[3].Out = false }), []string{"Of 4 coupons of CP40 B that are planned for lot L2509-A, 4 are printed and 3 sintered."}},
		{"run coupons do not count", qualified(func(q *Qualifying) { q.Coupons[3].For = RunCoupon }), []string{"3 are printed and 3 sintered"}},
		{"one not measured", qualified(func(q *Qualifying) { q.Fit = FitLot("L2509-A", fourX[:3], nil, noon) }), []string{"Along X, 3 of 4 coupons of CP40 B are measured green and sintered."}},
		{"nothing planned along Y", qualified(func(q *Qualifying) { q.Plan.Axes = []string{"X"} }), nil},
		{"an axis along which they have no length", qualified(func(q *Qualifying) { q.Plan.Axes = Axes }), nil},
		{"another design too", qualified(func(q *Qualifying) { q.Plan.Kinds = append(q.Plan.Kinds, PlannedCoupons{2, "CP25", "A"}) }), []string{"Of 2 coupons of CP25 A that are planned for lot L2509-A, 0 are printed and 0 sintered."}},
		{"first inserts", qualified(func(q *Qualifying) { q.Plan.Firsts = 2 }), []string{"Of 2 first inserts that are planned for lot L2509-A, 0 are measured green and sintered."}},
		{"a first insert measured", qualified(func(q *Qualifying) {
			q.Plan.Firsts, q.Firsts = 1, []Insert{{Insert: "I-0042"}}
			pairs := append([]LengthPair{}, fourX...)
			first := lengths("X", 60.1, 50.0)[0]
			first.Piece, first.Coupon = "I-0042", false
			q.Fit = FitLot("L2509-A", append(pairs, first), nil, noon)
		}), nil},
	},
	FactorsApproved.Name: {
		{"another act", asIs, nil},
		{"in force by a proposal", qualified(func(*Qualifying) {}), nil},
		{"none in Z", qualified(func(q *Qualifying) { q.Fit.Axes[2].InForce = Factor{} }), []string{"No factor of lot L2509-A in Z is in force."}},
		{"set by one person", qualified(func(q *Qualifying) { q.Fit.Axes[1].InForce.Proposal = "" }), []string{"The factor of lot L2509-A in Y was put into force by one person, 601."}},
	},
	ShrinkageKnown.Name: {
		{"another act", asIs, nil},
		{"with an interval in each", qualified(func(*Qualifying) {}), nil},
		{"one length in Y", qualified(func(q *Qualifying) { q.Fit.Axes[1] = FitAxis("Y", lengths("Y", 14.4, 11.98), Factor{}) }), []string{"along Y say 16.81 %, n 1, and give no interval"}},
		{"nothing in Z", qualified(func(q *Qualifying) { q.Fit.Axes[2] = FitAxis("Z", nil, Factor{}) }), []string{"no length of lot L2509-A along Z"}},
	},
	FirstInsertsAsPlanned.Name: {
		{"a release for all", asIs, nil},
		{"as planned", firsts(2, "I-0029", "I-0030"), nil},
		{"none planned", firsts(0, "I-0029"), []string{"no first inserts of it are planned: release DR-09 A names I-0029"}},
		{"more than planned, with those of other releases", func(f *Facts) {
			firsts(2, "I-0029", "I-0030")(f)
			f.Qualifying.Firsts = []Insert{{Insert: "I-0031"}}
		}, []string{"2 first inserts of it are planned: with release DR-09 A there are 3"}},
		{"named before by another", func(f *Facts) {
			firsts(2, "I-0029", "I-0030")(f)
			f.Qualifying.Firsts = []Insert{{Insert: "I-0030"}}
		}, nil},
		{"a lot that is released", func(f *Facts) {
			firsts(0, "I-0029")(f)
			f.Lot.ReleasedAt = noon.Add(-time.Hour)
		}, nil},
	},
	LotReleasedInDate.Name: {
		{"on test, a first insert", firsts(1, "I-0029"), nil},
		{"on test, another insert", firsts(1, "I-0030"), []string{"L2509-A is not released"}},
		{"a first insert of an expired lot", func(f *Facts) { firsts(1, "I-0029")(f); f.Lot.ExpiresOn = "2025-10-19" }, []string{"expired"}},
		{"another lot on test takes over in a first insert", func(f *Facts) {
			firsts(1, "I-0029")(f)
			f.FurtherLots = []Lot{{Lot: "L2509-B", ExpiresOn: "2026-01-10"}}
		}, []string{"L2509-B is not released"}},
		{"a lot on test would take over in a first insert", func(f *Facts) { firsts(1, "I-0029")(f); f.Event = an[LotChanged]() }, []string{"L2509-A is not released"}},
	},
	ReleaseCovers.Name: {
		{"a first insert", firsts(1, "I-0029", "I-0031"), nil},
		{"not a first insert", firsts(1, "I-0030", "I-0031"), []string{"DR-09 A is for the first inserts of lot L2509-A only, I-0030 and I-0031, not I-0029"}},
	},
}

// qualified is a lot that may be released, but for something: four coupons with a
// length in X and in Y were planned, made and measured, and its factors are in
// force.
func qualified(but func(*Qualifying)) func(*Facts) {
	return func(f *Facts) {
		f.Event = LotReleased{Lot: "L2509-A", Evidence: "coupons"}
		q := Qualifying{Lot: Lot{Lot: "L2509-A"}, Certificate: []CertificateLine{{Property: "carbon", Value: "0.41", Unit: "wt%", Lower: "0.38", Upper: "0.44"}},
			Plan:    &Qualification{Lot: "L2509-A", Kinds: []PlannedCoupons{{4, "CP40", "B"}}, Axes: []string{"X"}},
			Designs: []Design{{Design: "CP40", Revision: "B", Orientation: "+Z up, X along the machine X", Characteristics: []Characteristic{{Number: "CP40.1", Axis: "X", Kind: Length, Nominal: mm("40")}}}}}
		for _, p := range fourX {
			q.Coupons = append(q.Coupons, Coupon{Coupon: p.Piece, For: ReceiptCoupon, Design: "CP40", Revision: "B", Out: true})
		}
		pairs := fourX
		for _, axis := range []string{"Y", "Z"} {
			pairs = append(pairs[:len(pairs):len(pairs)], lengths(axis, 48.00, 39.94, 48.05, 39.98, 33.60, 27.96, 24.02, 19.985)...)
		}
		q.Fit = FitLot("L2509-A", pairs, nil, noon)
		for i := range q.Fit.Axes {
			q.Fit.Axes[i].InForce = Factor{Seq: 5, Lot: "L2509-A", Axis: Axes[i], K: times("1.2019"), Proposal: "FA-001", By: "601"}
		}
		but(&q)
		f.Qualifying = q
	}
}

// firsts is a release of a lot on test that names its first inserts, of which so
// many are planned.
func firsts(planned int, named ...string) func(*Facts) {
	return func(f *Facts) {
		f.Lot.ReleasedAt, f.Release.Firsts = time.Time{}, named
		f.Qualifying = Qualifying{Lot: f.Lot, Plan: &Qualification{Firsts: planned}}
	}
}

// TestPlanLacks: lengths of two sizes tell shrinkage from a constant error, of
// one size not.
func TestPlanLacks(t *testing.T) {
	bar := func(name string, sizes ...string) Design {
		d := Design{Design: name, Revision: "A", Orientation: "+Z up, X along the machine X"}
		for i, size := range sizes {
			d.Characteristics = append(d.Characteristics, Characteristic{Axis: Axes[i], Kind: Length, Nominal: mm(size)})
		}
		return d
	}
	for _, tt := range []struct {
		name    string
		plan    Qualification
		designs []Design
		want    []string
	}{
		{"one size", Qualification{Axes: Axes}, []Design{bar("CP40", "40", "12", "12")}, []string{"Along X, Y and Z the coupons have one length only"}},
		{"two sizes in X", Qualification{Axes: Axes}, []Design{bar("CP40", "40", "12", "12"), bar("CP20", "20", "12", "12")}, []string{"Along Y and Z the coupons have one length only"}},
		{"two sizes in all", Qualification{Axes: Axes}, []Design{bar("CP40", "40", "12", "12"), bar("CP20", "20", "24", "6")}, nil},
		{"sizes alike", Qualification{Axes: []string{"X", "Y", "Z"}}, []Design{bar("CP40", "40", "12", "12"), bar("CP42", "42", "24", "6")}, []string{"Along X the coupons have one length only"}},
		{"first inserts", Qualification{Axes: Axes, Firsts: 2}, []Design{bar("CP40", "40", "12", "12")}, []string{"until the first inserts are measured, where theirs differ from it"}},
		{"no length in Z", Qualification{Axes: Axes}, []Design{bar("CP40", "40", "24"), bar("CP20", "20", "12")}, []string{"No length of CP40 A and CP20 A lies along Z of the build"}},
		{"nothing planned in Z", Qualification{Axes: []string{"X", "Y"}}, []Design{bar("CP40", "40", "24"), bar("CP20", "20", "12")}, []string{"Nothing is planned along Z"}},
	} {
		got := tt.plan.Lacks(tt.designs, nil, noon)
		if len(got) != len(tt.want) {
			t.Errorf("%s: it says %q; want %d sentences", tt.name, got, len(tt.want))
			continue
		}
		for i, said := range got {
			if whole(t, said); !strings.Contains(said, tt.want[i]) {
				t.Errorf("%s: it says %q; want %q in it", tt.name, said, tt.want[i])
			}
		}
	}
}

// TestOlderPlansReadAsTheyWere: a plan and a release from before they named more
// are written again to the byte.
func TestOlderPlansReadAsTheyWere(t *testing.T) {
	for kind, body := range map[string]string{
		"qualification-planned": `{"lot":"L2509-A","coupons":4,"design":"CP40","revision":"B","axes":["X","Z"],"note":"in two runs"}`,
	} {
		e, err := DecodeEvent(kind, []byte(body))
		if err != nil {
			t.Fatal(err)
		}
		if again, err := json.Marshal(e); err != nil || string(again) != body {
			t.Errorf("written again it is %s, %v; want %s", again, err, body)
		}
	}
	old := exampleRelease()
	old.Firsts = nil
	if body, err := json.Marshal(old); err != nil || strings.Contains(string(body), "first") {
		t.Errorf("a release for all inserts is written as %s, %v", body, err)
	}
}

// fourX are lengths of four coupons in X. Their line, sintered on green with
// weights 1/green², has s = 16.787 % from 16.741 % to 16.833 % (worked apart from
// the program by the normal equations; t of 0.975 with 2 degrees is 4.3027).
var fourX = lengths("X", 48.00, 39.94, 48.05, 39.98, 33.60, 27.96, 24.02, 19.985)

// lengths are green and sintered sizes along an axis, in turn, each of its own
// coupon of one run.
func lengths(axis string, sizes ...float64) []LengthPair {
	size := func(v float64) Reading { return mm(fmt.Sprintf("%.3f", v)) }
	var all []LengthPair
	for i := 0; i+1 < len(sizes); i += 2 {
		all = append(all, LengthPair{Piece: fmt.Sprintf("CP-%04d", len(all)+1), Coupon: true, Axis: axis, Green: size(sizes[i]), Sintered: size(sizes[i+1]), Nominal: size(sizes[i+1]), GreenU: 0.004, SinteredU: 0.002, Load: "F1-01", At: noon.Add(-time.Hour)})
	}
	return all
}

// proposes is a factor in X, beside what the lot's lengths say.
func proposes(s, method string, n int, low, high string, pairs []LengthPair) func(*Facts) {
	return func(f *Facts) {
		l := ProposedFactor{Axis: "X", S: MustReading(s, "%"), K: times("1.2019"), N: n, Method: method}
		if low != "" {
			l.Low, l.High = MustReading(low, "%"), MustReading(high, "%")
		}
		f.Event = FactorProposed{Proposal: "FA-002", Lot: "L2509-A", Lines: []ProposedFactor{l}, Basis: "coupons"}
		f.Fits = []LotFit{FitLot("L2509-A", pairs, nil, noon)}
	}
}

// TestShortOfWhatIsProposed: a lot does not have what nobody approved yet.
func TestShortOfWhatIsProposed(t *testing.T) {
	f := Factor{Lot: "L2509-A", Axis: "Z", K: times("1.2031"), Proposal: "FA-002"}
	if said := (Shift{Axis: "Z", Has: times("1.2180"), Now: f}).Short(); !strings.HasPrefix(said, "Z 1.2180, proposed is 1.2031") {
		t.Errorf("of what is proposed it says %q", said)
	}
	f.By = "601"
	if said := (Shift{Axis: "Z", Has: times("1.2180"), Now: f}).Short(); !strings.HasPrefix(said, "Z 1.2180, the lot has 1.2031") {
		t.Errorf("of what is in force it says %q", said)
	}
}
