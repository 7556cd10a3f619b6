package shop

import (
	"errors"
	"testing"
	"time"
)

// TestDecidable: the first person can only withdraw, the second approve or
// refuse, and nobody ends what is ended.
func TestDecidable(t *testing.T) {
	for _, tt := range []struct {
		by, how, state string
		ok             bool
	}{
		{"601", Approved, Waiting, true}, {"601", Refused, Waiting, true}, {"601", Withdrawn, Waiting, false},
		{"101", Approved, Waiting, false}, {"101", Refused, Waiting, false}, {"101", Withdrawn, Waiting, true},
		{"601", Approved, Approved, false}, {"601", Refused, Withdrawn, false}, {"101", Withdrawn, Refused, false},
	} {
		err := Proposal{Proposal: "FA-001", By: "101", State: tt.state, DecidedBy: "602"}.Decidable(tt.by, tt.how)
		if (err == nil) != tt.ok || err != nil && !errors.Is(err, ErrConflict) {
			t.Errorf("badge %s, %s, of one that %s: %v; want allowed %v", tt.by, tt.how, tt.state, err, tt.ok)
		}
		if err != nil {
			whole(t, err.Error())
		}
	}
}

// TestSupported: half of the interval to one digit, or to two where the first is
// a 1, worked by hand; of k it is k² times that of s.
func TestSupported(t *testing.T) {
	for _, tt := range []struct {
		s, low, high, k string
		wantS, wantK    int
	}{
		{"16.80", "", "", "1.2019", 2, 4},               // nobody said
		{"18.376", "18.308", "18.443", "1.22513", 2, 4}, // ± 0.068 % of s, ± 0.0010 of k
		{"18.376", "18.370", "18.382", "1.22513", 3, 5}, // ± 0.006 % of s, ± 0.00009 of k
		{"16.8", "16.79", "16.81", "1.2019", 1, 4},      // never more than typed
		{"16.80", "16.30", "17.30", "1.2019", 1, 3},     // ± 0.5 %, ± 0.007
		{"17", "12", "22", "1.2048", 0, 2},
	} {
		f := Factor{S: MustReading(tt.s, "%"), K: times(tt.k)}
		if tt.low != "" {
			f.Low, f.High = MustReading(tt.low, "%"), MustReading(tt.high, "%")
		}
		if s, k := f.Supported(); s != tt.wantS || k != tt.wantK {
			t.Errorf("s %s from %s to %s, k %s: %d and %d decimals; want %d and %d", tt.s, tt.low, tt.high, tt.k, s, k, tt.wantS, tt.wantK)
		}
	}
}

// TestShifts: a release by the lot's former factor, within the band and beyond;
// one that was mistyped; and one that was chosen close by.
func TestShifts(t *testing.T) {
	old := factorsOf("L2509-A", "1.2019", "1.2020", "1.2180")
	newer := func(axis, k string) []Factor {
		return append(append([]Factor{}, old...), Factor{Seq: 9, Lot: "L2509-A", Axis: axis, K: times(k), From: noon.Add(-time.Hour)})
	}
	release := func(x, y, z string) Release {
		return Release{Release: "DR-09 A", Lot: "L2509-A", KX: times(x), KY: times(y), KZ: times(z)}
	}
	for _, tt := range []struct {
		name    string
		r       Release
		factors []Factor
		want    []string // of each shift, its words
		beyond  bool
		stopped bool
	}{
		{"the lot's own", release("1.2019", "1.2020", "1.2180"), old, nil, false, false},
		{"changed within the band", release("1.2019", "1.2020", "1.2180"), newer("X", "1.2034"), []string{"The factor of lot L2509-A changed since: from 1.2019 to 1.2034 in X."}, false, false},
		{"changed beyond it", release("1.2019", "1.2020", "1.2180"), newer("Z", "1.2252"), []string{"The factor of lot L2509-A changed since: from 1.2180 to 1.2252 in Z."}, true, true},
		{"mistyped", release("1.2019", "1.2020", "1.2810"), old, []string{"It has 1.2810 in Z, and the factor of lot L2509-A is 1.2180. 1.2810 has two digits of 1.2180 swapped."}, true, true},
		{"chosen close by", release("1.2025", "1.2020", "1.2180"), old, []string{"It has 1.2025 in X, and the factor of lot L2509-A is 1.2019."}, false, true},
		{"not in force yet", release("1.2019", "1.2020", "1.2180"), append(old, Factor{Seq: 9, Lot: "L2509-A", Axis: "X", K: times("1.2100"), From: noon.Add(time.Hour)}), nil, false, false},
		{"of another lot", release("1.2019", "1.2020", "1.2180"), factorsOf("L2509-B", "1.2011", "1.2011", "1.2171"), nil, false, false},
		{"digits swapped within the band", release("1.2019", "1.2002", "1.2180"), old, []string{"It has 1.2002 in Y, and the factor of lot L2509-A is 1.2020. 1.2002 has two digits of 1.2020 swapped."}, false, true},
		{"another lot's within the band", release("1.2026", "1.2020", "1.2180"), old, []string{"It has 1.2026 in X, and the factor of lot L2509-A is 1.2019. 1.2026 is the factor of lot L2510-A in X. That of lot L2509-A in X is 1.2019."}, false, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			others := []Factor{{Seq: 9, Lot: "L2510-A", Axis: "X", K: times("1.2026"), From: noon.Add(-time.Hour)}}
			got := Shifts(tt.r, tt.factors, others, noon)
			if len(got) != len(tt.want) || Beyond(got) != tt.beyond || Stopped(got) != tt.stopped {
				t.Fatalf("shifts are %+v; want %d, beyond %v, stopped %v", got, len(tt.want), tt.beyond, tt.stopped)
			}
			for i, s := range got {
				if s.Words() != tt.want[i] {
					t.Errorf("it says %q; want %q", s.Words(), tt.want[i])
				}
			}
		})
	}
}
