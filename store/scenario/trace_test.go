package scenario

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"testing"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// TestTraces: who is affected by each story of the folder, and where they are
// now, as the folder says it.
func TestTraces(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("demo/expected.json")
	if err != nil {
		t.Fatal(err)
	}
	var want struct {
		Lot struct {
			Affected []string
			Where    map[string]string
			Mixed    map[string]map[string]float64
		} `json:"lot_z"`
		Thermocouple struct {
			Sensor string
			ByRule []string `json:"by_rule"`
			Good   string   `json:"last_good_sat"`
		}
		Gauge struct {
			Since struct{ Inserts []string } `json:"since_calibration"`
			Check struct{ Inserts []string } `json:"since_last_good_check"`
		}
		Release  struct{ Affected []string }
		DewPoint struct {
			Load    string
			Inserts []string
		} `json:"dew_point"`
	}
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	for name, open := range map[string]func(*testing.T) *store.Store{"sqlite": func(t *testing.T) *store.Store { return emptyBook(t) }, "postgres": onPostgres} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			st := open(t)
			load(t, st, Demo())
			d := whole{t, st}
			for _, tt := range []struct {
				text  string
				since bool
				want  []string
			}{
				{"L2509-A", false, want.Lot.Affected}, {want.Thermocouple.Sensor, true, want.Thermocouple.ByRule},
				{"M-12", false, want.Gauge.Since.Inserts}, {"M-12", true, want.Gauge.Check.Inserts},
				{"DR-14 A", false, want.Release.Affected}, {want.DewPoint.Load, false, want.DewPoint.Inserts},
			} {
				var got []string
				for _, a := range d.affected(tt.text, tt.since) {
					got = append(got, a.Code)
					if at := want.Lot.Where[a.Code]; at != "" && a.Place != at {
						t.Errorf("%s is at %q; want %q", a.Code, a.Place, at)
					}
					if share, ok := want.Lot.Mixed[a.Code][tt.text]; ok && math.Abs(a.Share-share) > 0.0005 {
						t.Errorf("%s has %v of %s; want %v", a.Code, a.Share, tt.text, share)
					}
				}
				if !slices.Equal(got, tt.want) {
					t.Errorf("%s, since its last good test %v, touched %v; want %v", tt.text, tt.since, got, tt.want)
				}
			}
			// Counted in the folder's own tables.
			for text, n := range map[string]int{"K1": 14, "F2 M1": 6, "P1 4.3.0": 4, "4.3.0": 4, "DN-501": 5, "CR40 B": 14, "DR-14 A/CR40": 1, "PL-01": 10, "ST-01": 0} {
				if got := len(d.affected(text, false)); got != n {
					t.Errorf("%s touched %d inserts; want %d", text, got, n)
				}
			}
			for _, text := range []string{"C-999", "F2 M9", "K9"} {
				if _, err := st.Traced(t.Context(), text); !errors.Is(err, shop.ErrNotFound) {
					t.Errorf("%s: %v", text, err)
				}
			}
		})
	}
}

// affected are the inserts that a thing touched, from its last good test on
// where that is asked.
func (d whole) affected(text string, since bool) []shop.Affected {
	thing, err := d.st.Traced(d.Context(), text)
	thing = got(d, thing, err)
	var w shop.Window
	if since {
		in, _, err := d.st.InDoubt(d.Context(), thing)
		w = got(d, in, err)
	}
	all, err := d.st.Affected(d.Context(), thing, w)
	return got(d, all, err)
}

// TestDrills: every insert of the folder can be traced whole, both ways.
func TestDrills(t *testing.T) {
	t.Parallel()
	st := loaded(t)
	d := whole{t, st}
	n, err := st.Drawable(t.Context())
	for i := range got(d, n, err) {
		insert, err := st.DrawInsert(t.Context(), i)
		drill, err2 := st.Drill(t.Context(), got(d, insert, err))
		if drill = got(d, drill, err2); len(drill.Missing) > 0 || drill.Downstream == 0 {
			t.Errorf("%s: %+v", insert, drill)
		}
	}
	for _, tt := range []struct{ bad, good string }{{"I-0037", "I-0033"}, {"I-0029", "I-0026"}} {
		if good, err := st.GoodBefore(t.Context(), tt.bad); good != tt.good {
			t.Errorf("the last good one before %s is %s, %v; want %s", tt.bad, good, err, tt.good)
		}
	}
	diff, err := st.Compare(t.Context(), "I-0033", "I-0037")
	var differ []string
	for _, x := range got(d, diff, err) {
		if !x.Alike {
			differ = append(differ, x.Kind)
		}
	}
	if want := []string{"release", "program", "lot", "container", "controller", "carrier", "load", "furnace", "position", "setter", "sensor", "instruction", "person", "nonconformance"}; !slices.Equal(differ, want) {
		t.Errorf("I-0033 and I-0037 differ in %q; want %q", differ, want)
	}
}

// TestSharing: two hops in one query find what walking them finds.
func TestSharing(t *testing.T) {
	t.Parallel()
	d := whole{t, loaded(t)}
	for _, thing := range []store.Thing{{Kind: "release", Number: "DR-14 A"}, {Kind: "insert", Number: "I-0026"}, {Kind: "load", Number: "F1-04"}, {Kind: "sensor", Number: "F2-TC2"}} {
		first := []string{thing.Number}
		if thing.Kind != "insert" {
			all, err := d.st.Affected(t.Context(), thing, shop.Window{})
			first = nil
			for _, a := range got(d, all, err) {
				first = append(first, a.Code)
			}
		}
		through := map[string][]string{}
		for _, insert := range first {
			tr, err := d.st.Trace(t.Context(), store.Thing{Kind: "insert", Number: insert}, shop.Window{})
			for _, v := range got(d, tr, err).Upstream {
				if !slices.Contains(store.SharedKinds, v.Kind) {
					continue
				}
				for _, other := range d.serials(v.Kind, v.Number) {
					if name := v.Kind + " " + v.Number; !slices.Contains(first, other) && !slices.Contains(through[other], name) {
						through[other] = append(through[other], name)
					}
				}
			}
		}
		shared, err := d.st.Sharing(t.Context(), thing, shop.Window{})
		if len(got(d, shared, err)) != len(through) || len(through) == 0 {
			t.Errorf("%s shares something with %d inserts; walking finds %d", thing.Number, len(shared), len(through))
		}
		for _, s := range shared {
			var names []string
			for _, v := range s.Through {
				names = append(names, v.Kind+" "+v.Number)
			}
			slices.Sort(through[s.Code])
			if !slices.Equal(names, through[s.Code]) {
				t.Errorf("%s and %s share %q; walking finds %q", thing.Number, s.Code, names, through[s.Code])
			}
		}
	}
}

// TestEveryWay walks from the lots of the folder along every way that a trace
// shows: no thing leads nowhere, and what is behind an insert leads back to it.
func TestEveryWay(t *testing.T) {
	t.Parallel()
	d := whole{t, loaded(t)}
	lots, err := d.st.Lots(t.Context())
	var queue []store.Thing
	for _, l := range got(d, lots, err) {
		queue = append(queue, store.Thing{Kind: "lot", Number: l.Lot})
	}
	seen, kinds := map[store.Thing]bool{}, map[string]bool{}
	for len(queue) > 0 {
		thing := queue[0]
		queue = queue[1:]
		if seen[thing] {
			continue
		}
		seen[thing], kinds[thing.Kind] = true, true
		tr, err := d.st.Trace(t.Context(), thing, shop.Window{})
		if err != nil {
			t.Errorf("%s %s: %v", thing.Kind, thing.Number, err)
		}
		for _, i := range tr.Inserts {
			queue = append(queue, store.Thing{Kind: "insert", Number: i.Code})
		}
		for _, v := range slices.Concat(tr.Upstream, tr.Into) {
			queue = append(queue, store.Thing{Kind: v.Kind, Number: v.Number})
			if thing.Kind == "insert" {
				back, err := d.st.Affected(t.Context(), store.Thing{Kind: v.Kind, Number: v.Number}, shop.Window{})
				if !slices.ContainsFunc(got(d, back, err), func(a shop.Affected) bool { return a.Code == thing.Number }) {
					t.Errorf("%s %s does not lead back to %s", v.Kind, v.Number, thing.Number)
				}
			}
		}
	}
	for _, kind := range store.Traceable() {
		if !kinds[kind] && kind != "program" {
			t.Errorf("nothing led to a %s", kind)
		}
	}
}
