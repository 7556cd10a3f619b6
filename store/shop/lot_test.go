package shop

import "time"

// lotRows are the questions to the gates about lots, by gate.
var lotRows = map[string][]gateRow{
	LotReleasedInDate.Name: {
		{"released and in date", asIs, nil},
		{"the last day of use", func(f *Facts) { f.Lot.ExpiresOn = "2025-10-20" }, nil},
		{"the day after", func(f *Facts) { f.Lot.ExpiresOn = "2025-10-19" }, []string{"L2509-A expired", "2025-10-19"}},
		{"past midnight in the shop, not yet in UTC", func(f *Facts) {
			f.Lot.ExpiresOn, f.At = "2025-10-20", time.Date(2025, 10, 20, 22, 0, 0, 0, time.UTC)
		}, []string{"expired"}},
		{"not released", func(f *Facts) { f.Lot.ReleasedAt = time.Time{} }, []string{"L2509-A", "not released"}},
		{"entered later, released after the act", later(func(f *Facts) { f.Lot.ReleasedAt = noon.Add(time.Second) }), []string{"not released"}},
		{"the lot that takes over is not released", func(f *Facts) { f.FurtherLots = []Lot{{Lot: "L2509-B", ExpiresOn: "2026-01-10"}} }, []string{"L2509-B is not released"}},
		{"released by a clock that was set back since", func(f *Facts) { f.Lot.ReleasedAt = noon.Add(time.Second) }, nil},
	},
	LotOfRelease.Name: {
		{"the same", asIs, nil},
		{"the lot of those layers", mixed("L2509-B", 184, 304), nil},
		{"the first lot, up to its last layer", mixed("L2509-A", 1, 183), nil},
		{"the second lot, for the first layers", mixed("L2509-B", 1, 183), []string{"lot L2509-B", "layer 1 of lot L2509-A"}},
		{"across the layer at which the other takes over", mixed("L2509-A", 150, 200), []string{"layer 200 of lot L2509-B", "by itself"}},
		{"another lot", func(f *Facts) { f.Container.Lot, f.Container.Container = "L2509-B", "L2509-B/01" }, []string{"L2509-B/01", "lot L2509-B", "DR-09 A", "lot L2509-A"}},
	},
}

// mixed draws for layers of a release whose second lot takes over at 184.
func mixed(lot string, from, to int) func(*Facts) {
	return func(f *Facts) {
		f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}}
		f.Container.Lot, f.Container.Container = lot, lot+"/01"
		f.Event, f.Phase = PasteDrawn{Container: lot + "/01", Insert: "I-0029", FromLayer: from, ToLayer: to, Drawn: MustReading("1", "g")}, During
	}
}
