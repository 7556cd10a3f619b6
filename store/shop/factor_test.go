package shop

import (
	"math"
	"testing"
	"time"
)

// The pairs of shrinkage and factor are those of the demo shop's lots, worked
// by hand as 1/(1 - s) to four decimals.
func TestFactorFollowsFromShrinkage(t *testing.T) {
	for _, tt := range []struct{ s, k string }{{"16.80", "1.2019"}, {"17.90", "1.2180"}, {"16.92", "1.2037"}, {"18.02", "1.2198"}, {"16.85", "1.2026"}, {"17.95", "1.2188"}, {"16.74", "1.2011"}, {"17.84", "1.2171"}, {"16.8", "1.2016"}} {
		e := an[FactorSet]()
		e.S, e.K = MustReading(tt.s, "%"), times(tt.k)
		if err := Check(e); err != nil {
			t.Errorf("s = %s, k = %s: %v", tt.s, tt.k, err)
		}
	}
}

func TestSharesByHeight(t *testing.T) {
	r := Release{Lot: "L2509-A", Further: []LayerLot{{Lot: "L2509-B", FromLayer: 184}}}
	for layers, want := range map[int]map[string]float64{305: {"L2509-A": 0.6, "L2509-B": 0.4}, 100: {"L2509-A": 1}, 0: {}} {
		got := r.LotShares(layers)
		if len(got) != len(want) {
			t.Errorf("%d layers: %v; want %v", layers, got, want)
		}
		for lot, share := range want {
			if math.Abs(got[lot]-share) > 1e-9 {
				t.Errorf("%d layers: %s has %v; want %v", layers, lot, got[lot], share)
			}
		}
	}
}

// factorRows are the questions to the gates about factors, by gate.
var factorRows = map[string][]gateRow{
	CompensationOfLot.Name: {
		{"the lot's own", asIs, nil},
		{"0.0020 off, once its own", func(f *Facts) {
			f.Release.KX, f.Others = times("1.2039"), []Factor{{Seq: 1, Lot: "L2509-A", Axis: "X", K: times("1.2039"), From: noon.AddDate(0, -1, 0)}}
		}, nil},
		{"0.0020 off, never its own", func(f *Facts) { f.Release.KX = times("1.2039") }, []string{"DR-09 A has 1.2039 in X", "in force is 1.2019", "1.2039 was never a factor of that lot in X"}},
		{"0.0021 off", func(f *Facts) { f.Release.KX = times("1.2040") }, []string{"DR-09 A has 1.2040 in X", "L2509-A in force is 1.2019", "0.0021"}},
		{"digits swapped", func(f *Facts) { f.Release.KX = times("1.2109") }, []string{"1.2109 in X", "1.2109 has two digits of 1.2019 swapped"}},
		{"Z for X", func(f *Facts) { f.Release.KX = times("1.2180") }, []string{"is the factor of lot L2509-A in Z"}},
		{"another lot's", func(f *Facts) {
			f.Release.KZ, f.Others = times("1.2250"), []Factor{{Seq: 9, Lot: "L2510-A", Axis: "Z", K: times("1.2250"), From: noon.Add(-time.Hour)}}
		}, []string{"is the factor of lot L2510-A in Z"}},
		{"another lot's within the band", func(f *Facts) {
			f.Release.KX = times("1.2025")
			f.Others = []Factor{{Seq: 9, Lot: "L2510-A", Axis: "X", K: times("1.2025"), S: MustReading("16.84", "%"), From: noon.Add(-time.Hour)}}
		}, []string{"DR-09 A has 1.2025 in X", "1.2025 is the factor of lot L2510-A in X"}},
		{"every axis is named", func(f *Facts) { f.Release.KX, f.Release.KZ = times("1.2109"), times("1.2810") }, []string{"1.2109 in X", "1.2810 in Z"}},
		{"what the machine was given", prints(func(e *PrintStarted) { e.KX = times("1.2109") }), []string{"Machine P1 was given 1.2109 in X", "1.2019"}},
		{"no factor in Z", func(f *Facts) { f.Factors = f.Factors[:2] }, []string{"No factor of lot L2509-A in Z"}},
		{"a second lot that has none", func(f *Facts) { f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}} }, []string{"No factor of lot L2509-B"}},
		{"a second lot close by", func(f *Facts) {
			f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}}
			f.Factors = append(f.Factors, factorsOf("L2509-B", "1.2011", "1.2011", "1.2171")...)
		}, nil},
		{"a newer factor", func(f *Facts) {
			f.Factors = append(f.Factors, Factor{Seq: 9, Lot: "L2509-A", Axis: "Y", K: times("1.2060"), From: noon.Add(-time.Hour)})
		}, []string{"in Y", "1.2060"}},
		{"entered later, the factor came since", later(func(f *Facts) {
			f.Factors = append(f.Factors, Factor{Seq: 9, Lot: "L2509-A", Axis: "Y", K: times("1.2060"), From: noon.Add(time.Hour)})
		}), nil},
		{"coupons alone in a load", func(f *Facts) { f.Insert, f.Factors = Insert{}, nil }, nil},
		{"digits swapped within the band", func(f *Facts) { f.Release.KY = times("1.2002") }, []string{"DR-09 A has 1.2002 in Y", "1.2002 has two digits of 1.2020 swapped"}},
		{"digits as if swapped, and once its own", func(f *Facts) {
			f.Release.KY = times("1.2002")
			f.Factors = append([]Factor{{Seq: 8, Lot: "L2509-A", Axis: "Y", K: times("1.2002"), From: noon.Add(-48 * time.Hour)}}, f.Factors...)
		}, nil},
		{"another axis within the band", func(f *Facts) { f.Release.KX = times("1.2020") }, []string{"1.2020 is the factor of lot L2509-A in Y"}},
		{"before the furnace, printed with the lot's own", sinters("1.2019", "1.2020", "1.2180"), nil},
		{"before the furnace, printed by another factor than the release's", func(f *Facts) {
			sinters("1.2019", "1.2020", "1.2180")(f)
			f.Release.KX = times("1.2109")
		}, nil},
		{"before the furnace, the release right and the print not", sinters("1.2109", "1.2020", "1.2180"), []string{"I-0029 was printed with 1.2109 in X", "L2509-A in force is 1.2019", "0.0090", "two digits of 1.2019 swapped"}},
		{"before the furnace, another axis's within the band", sinters("1.2020", "1.2002", "1.2180"), nil},
		{"before the furnace, no factor any more", func(f *Facts) {
			sinters("1.2019", "1.2020", "1.2180")(f)
			f.Factors = f.Factors[:2]
		}, []string{"No factor of lot L2509-A in Z is in force."}},
		{"before the furnace, nothing printed on record", func(f *Facts) {
			sinters("1.2019", "1.2020", "1.2180")(f)
			f.Given, f.Factors = Release{}, nil
		}, nil},
		{"before the furnace, the lot that took over is off", tookOver(184, 304), []string{"Layers 184 to 304 of I-0029 were printed with 1.2180 in Z; the factor of lot L2509-B in force is 1.2250."}},
		{"before the furnace, for one layer", tookOver(304, 304), []string{"Layer 304 of I-0029 was printed with 1.2180 in Z"}},
		{"before the furnace, the print ended before it took over", tookOver(184, 183), nil},
		{"before the furnace, it took over and gave way again", func(f *Facts) {
			tookOver(101, 304)(f)
			f.Release.Further = append(f.Release.Further, LayerLot{Lot: "L2509-A", FromLayer: 201}, LayerLot{Lot: "L2509-B", FromLayer: 301})
		}, []string{"Layers 101 to 200 and layers 301 to 304 of I-0029 were printed with 1.2180 in Z"}},
		{"the door is closed on what was printed too small", func(f *Facts) {
			sinters("1.2019", "1.2020", "1.2150")(f)
			f.Event = LoadClosed{Load: "F1-0001", Inserts: []string{"I-0029"}}
		}, []string{"I-0029 was printed with 1.2150 in Z", "1.2180"}},
	},
	ReleaseAsLot.Name: {
		{"the lot's own", drafts("1.2019", "1.2020", "1.2180"), nil},
		{"close by", drafts("1.2025", "1.2020", "1.2180"), []string{"DR-09 A has 1.2025 in X", "in force is 1.2019", "1.2025 was never a factor of that lot in X"}},
		{"one decimal less", drafts("1.202", "1.2020", "1.2180"), []string{"DR-09 A has 1.202 in X", "1.2019"}},
		{"too far off", drafts("1.2019", "1.2020", "1.2299"), []string{"DR-09 A has 1.2299 in Z", "1.2180"}},
		{"digits swapped within the band", drafts("1.2019", "1.2002", "1.2180"), []string{"1.2002 has two digits of 1.2020 swapped"}},
		{"another axis within the band", drafts("1.2020", "1.2020", "1.2180"), []string{"1.2020 is the factor of lot L2509-A in Y"}},
		{"another lot within the band", func(f *Facts) {
			drafts("1.2025", "1.2020", "1.2180")(f)
			f.Others = []Factor{{Seq: 9, Lot: "L2510-A", Axis: "X", K: times("1.2025"), S: MustReading("16.84", "%"), From: noon.Add(-time.Hour)}}
		}, []string{"1.2025 is the factor of lot L2510-A in X"}},
		{"another lot's, and once its own", func(f *Facts) {
			drafts("1.2025", "1.2020", "1.2180")(f)
			f.Others = []Factor{{Seq: 9, Lot: "L2510-A", Axis: "X", K: times("1.2025"), S: MustReading("16.84", "%"), From: noon.Add(-time.Hour)}}
			f.Factors = append([]Factor{{Seq: 8, Lot: "L2509-A", Axis: "X", K: times("1.2025"), From: noon.Add(-48 * time.Hour)}}, f.Factors...)
		}, nil},
		{"another axis", drafts("1.2180", "1.2020", "1.2180"), []string{"is the factor of lot L2509-A in Z"}},
		{"a lot on test", func(f *Facts) { drafts("1.2000", "1.2000", "1.2150")(f); f.Lot.ReleasedAt = time.Time{} }, nil},
		{"no factor to compare with", func(f *Facts) { drafts("1.2000", "1.2000", "1.2150")(f); f.Factors = nil }, nil},
	},
	AxesMeasured.Name: {
		{"in all", asIs, nil},
		{"in X only", func(f *Facts) { f.AxesOf = map[string][]string{"L2509-A": {"X"}} }, []string{"Lot L2509-A was measured in X only: Y and Z rest on no measurement."}},
		{"in two", func(f *Facts) { f.AxesOf = map[string][]string{"L2509-A": {"X", "Y"}} }, []string{"in X and Y only: Z rests on no measurement."}},
		{"in none", func(f *Facts) { f.AxesOf = nil }, []string{"Lot L2509-A was never measured: X, Y and Z rest on no measurement."}},
		{"signing for a lot on test", func(f *Facts) { signs(f); f.AxesOf = nil; f.Lot.ReleasedAt = time.Time{} }, nil},
		{"signing for a lot that is released", func(f *Facts) { signs(f); f.AxesOf = nil }, []string{"Lot L2509-A was never measured"}},
		{"printing of a lot on test", func(f *Facts) { f.AxesOf = nil; f.Lot.ReleasedAt = time.Time{} }, []string{"Lot L2509-A was never measured"}},
		{"a second lot", func(f *Facts) {
			f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}}
			f.FurtherLots = []Lot{{Lot: "L2509-B", ReleasedAt: noon.Add(-time.Hour)}}
		}, []string{"Lot L2509-B was never measured"}},
	},
	FactorByTwo.Name: {
		{"another act", asIs, nil},
		{"set by one", func(f *Facts) { f.Event = an[FactorSet]() }, []string{"L2509-A in X was put into force by one person"}},
	},
}

// drafts writes the release with some factors.
func drafts(x, y, z string) func(*Facts) {
	return func(f *Facts) {
		f.Release.KX, f.Release.KY, f.Release.KZ = times(x), times(y), times(z)
		f.Event = ReleaseDrafted{Release: "DR-09 A"}
	}
}

func signs(f *Facts) { f.Event = ReleaseSigned{Release: "DR-09 A"} }

// sinters lays a part in the furnace that was printed with some factors.
func sinters(x, y, z string) func(*Facts) {
	return func(f *Facts) {
		f.Event = LoadPlaced{Load: "F1-0001", Insert: "I-0029", Position: "T1"}
		f.Given = Release{Machine: "P1", KX: times(x), KY: times(y), KZ: times(z)}
	}
}

// tookOver is a part of so many layers in which a lot took over that shrinks more
// in Z.
func tookOver(from, layers int) func(*Facts) {
	return func(f *Facts) {
		sinters("1.2019", "1.2020", "1.2180")(f)
		f.Release.Further, f.Layers = []LayerLot{{Lot: "L2509-B", FromLayer: from}}, layers
		f.Factors = append(f.Factors, factorsOf("L2509-B", "1.2019", "1.2020", "1.2250")...)
	}
}
