package shop

import "time"

// holdRows are the questions to the gates about holds, by gate.
var holdRows = map[string][]gateRow{
	NotHeld.Name: {
		{"no hold", asIs, nil},
		{"lifted before", held(-2*time.Hour, -time.Hour, "cracks"), nil},
		{"lifted at that moment", func(f *Facts) {
			held(-2*time.Hour, 0, "cracks")(f)
			f.Holds[0].LiftedAt = noon
		}, nil},
		{"set by a clock that was set back since", held(time.Second, 0, "cracks"), []string{"H-007"}},
		{"lifted by a clock that was set back since", held(-2*time.Hour, time.Hour, "cracks"), nil},
		{"entered later, held since then and still", later(held(time.Hour, 0, "cracks")), []string{"H-007"}},
		{"entered later, held since then and no more", later(held(time.Hour, 2*time.Hour, "cracks")), nil},
		{"entered later, lifted only after the act", later(held(-2*time.Hour, time.Hour, "cracks")), []string{"H-007"}},
		{"entered later, lifted before the act", later(held(-2*time.Hour, -time.Hour, "cracks")), nil},
		{"set at that moment", held(0, 0, "cracks"), []string{"L2509-A is held by 601", "2025-10-20 12:00", "H-007", "cracks."}},
		{"one lifted, one stands", func(f *Facts) {
			held(-3*time.Hour, -time.Hour, "cracks")(f)
			held(-2*time.Hour, 0, "small in Z.")(f)
		}, []string{"2025-10-20 10:00", "small in Z."}},
	},
}

func held(set, lifted time.Duration, reason string) func(*Facts) {
	return func(f *Facts) {
		h := Hold{Hold: "H-007", OnKind: "lot", OnCode: "L2509-A", SetBy: "601", SetAt: noon.Add(set), Reason: reason}
		if lifted != 0 {
			h.LiftedAt = noon.Add(lifted)
		}
		f.Holds = append(f.Holds, h)
	}
}
