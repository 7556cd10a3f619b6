package scenario

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// whole is the book of the whole demo, as tests ask it.
type whole struct {
	testing.TB
	st *store.Store
}

func got[T any](d whole, v T, err error) T {
	d.Helper()
	if err != nil {
		d.Fatal(err)
	}
	return v
}

// now is the moment at which the folder ends.
func (d whole) now() time.Time {
	at, err := Now(Demo())
	return got(d, at, err)
}

func (d whole) insert(number string) shop.Insert {
	i, err := d.st.Insert(d.Context(), number)
	return got(d, i, err)
}

// serials are the inserts that have a thing in common, sorted.
func (d whole) serials(kind, number string) []string {
	all, err := d.st.Inserts(d.Context(), kind, number)
	serials := []string{}
	for _, i := range got(d, all, err) {
		serials = append(serials, i.Insert)
	}
	slices.Sort(serials)
	return serials
}

func (d whole) statuses() any {
	all, err := d.st.Everywhere(d.Context())
	n := map[string]int{}
	for _, w := range got(d, all, err) {
		n[w.Status]++
	}
	return n
}

func (d whole) places(inserts []string) any {
	at := map[string]string{}
	for _, i := range inserts {
		w, err := d.st.Where(d.Context(), i)
		at[i] = got(d, w, err).Place
	}
	return at
}

func (d whole) orderOfNothing() any {
	all, err := d.st.Orders(d.Context())
	for _, o := range got(d, all, err) {
		if len(d.serials("order", o.Order)) == 0 {
			return o.Order
		}
	}
	return ""
}

// received adds up what came in, in tenths of a gram as it was weighed.
// balanced sums a figure of the containers by a name.
func (d whole) balanced(by func(store.Balance) string, figure func(store.Balance) float64) any {
	sums := map[string]float64{}
	for _, b := range d.balances() {
		sums[by(b)] = math.Round(10*(sums[by(b)]+figure(b))) / 10
	}
	return sums
}

func ofContainer(figure func(store.Balance) float64) func(whole) any {
	return func(d whole) any {
		return d.balanced(func(b store.Balance) string { return b.Container.Container }, figure)
	}
}

func ofLot(figure func(store.Balance) float64) func(whole) any {
	return func(d whole) any { return d.balanced(func(b store.Balance) string { return b.Lot }, figure) }
}

func (d whole) balances() []store.Balance {
	var all []store.Balance
	lots, err := d.st.Lots(d.Context())
	for _, l := range got(d, lots, err) {
		of, err := d.st.Balances(d.Context(), l.Lot)
		all = append(all, got(d, of, err)...)
	}
	return all
}

func (d whole) containerStates() any {
	states := map[string]string{}
	for _, b := range d.balances() {
		states[b.Container.Container] = b.State()
	}
	return states
}

// shares are the lots of an insert by height, to one decimal as the folder has
// them.
func (d whole) shares(insert string) any {
	p, err := d.st.Print(d.Context(), insert)
	r, err2 := d.st.Release(d.Context(), d.insert(insert).Release)
	shares := got(d, r, err2).LotShares(got(d, p, err).LayersDone)
	for lot, share := range shares {
		shares[lot] = math.Round(10*share) / 10
	}
	return shares
}

// sat is the last test of a sensor with a verdict.
func (d whole) sat(sensor, verdict string) shop.SensorTest {
	tests, err := d.st.SensorTests(d.Context(), "F2")
	for _, t := range got(d, tests, err) {
		if t.Sensor == sensor && t.Verdict == verdict {
			return t
		}
	}
	d.Fatalf("%s has no test with the verdict %s", sensor, verdict)
	return shop.SensorTest{}
}

func (d whole) factor(lot, axis string) shop.Factor {
	factors, err := d.st.Factors(d.Context(), lot)
	f, _ := shop.FactorAt(got(d, factors, err), lot, axis, d.now())
	return f
}

// predicted are the sintered sizes of inserts by their green ones.
func (d whole) predicted(axis string, inserts ...string) any {
	sizes := map[string]float64{}
	for _, i := range inserts {
		r, err := d.st.Release(d.Context(), d.insert(i).Release)
		lot := got(d, r, err).Lot
		factors, err := d.st.Factors(d.Context(), lot)
		got(d, factors, err)
		greens, err := d.st.GreenSizes(d.Context(), i)
		for _, g := range got(d, greens, err) {
			if g.Axis == axis {
				in, _ := shop.FactorAt(factors, lot, axis, d.now())
				sizes[i] = math.Round(1000*g.Size.Value()*(1-in.S.Value()/100)) / 1000
			}
		}
	}
	return sizes
}

// uncompensated are the releases of which the gate would stop a line now,
// leaving out those of receipt coupons, whose factors are provisional.
func (d whole) uncompensated() any {
	releases, err := d.st.Releases(d.Context())
	stopped := []string{}
	for _, r := range got(d, releases, err) {
		f := shop.Facts{At: d.now(), Release: r, Insert: shop.Insert{Insert: "any"}}
		for _, lot := range r.Lots() {
			factors, err := d.st.Factors(d.Context(), lot)
			f.Factors = append(f.Factors, got(d, factors, err)...)
		}
		number, _, _ := strings.Cut(r.Release, "/")
		if r.Design != "CP40" && shop.CompensationOfLot.Ask(f) != "" && !slices.Contains(stopped, number) {
			stopped = append(stopped, number)
		}
	}
	return stopped
}

// carbon is what was read of the run coupons of each load, in the order of the
// coupons.
func (d whole) carbon() any {
	read := map[string][]float64{}
	coupons, err := d.st.Coupons(d.Context(), "", "")
	for _, c := range got(d, coupons, err) {
		results, err := d.st.CouponResults(d.Context(), c.Coupon)
		for _, r := range got(d, results, err) {
			if c.For == shop.RunCoupon && r.Characteristic == "CP40.4" {
				read[c.Load] = append(read[c.Load], r.Value.Value())
			}
		}
	}
	return read
}

// furnaceInDate is the one furnace that may sinter now.
func (d whole) furnaceInDate() any {
	zone, err := time.LoadLocation("Europe/Vienna")
	got(d, zone, err)
	all, err := d.st.Furnaces(d.Context())
	for _, n := range got(d, all, err) {
		now, err := d.st.FurnaceNow(d.Context(), n.Furnace)
		if shop.FurnaceTestsInDate.Ask(shop.Facts{At: d.now(), Zone: zone, Furnace: got(d, now, err)}) == "" {
			return n.Furnace
		}
	}
	return ""
}

// through are those inserts that went through an operation.
func (d whole) through(operation string, inserts []string) []string {
	return slices.DeleteFunc(slices.Clone(inserts), func(i string) bool {
		step, ok := d.insert(i).StepOf(operation)
		return !ok || step.State != shop.Finished
	})
}

func (d whole) soft(inserts []string) any {
	hard := d.through(shop.OpSinter, inserts)
	return slices.DeleteFunc(slices.Clone(inserts), func(i string) bool { return slices.Contains(hard, i) })
}

// ofLot are the measured inserts with paste of a lot in them; wholly those of
// nothing else, others those without any.
func (d whole) ofLot(lot string) []string { return d.through(shop.OpInspect, d.serials("lot", lot)) }

func (d whole) wholly(lot string) []string {
	return slices.DeleteFunc(d.ofLot(lot), func(i string) bool {
		draws, err := d.st.Draws(d.Context(), i)
		return slices.ContainsFunc(got(d, draws, err), func(w store.Draw) bool { return !strings.HasPrefix(w.Container, lot+"/") })
	})
}

func (d whole) others(lot string) []string {
	of := d.ofLot(lot)
	return slices.DeleteFunc(d.through(shop.OpInspect, d.serials("", "")), func(i string) bool { return slices.Contains(of, i) })
}

// shims are the shims under the bases of inserts, in micrometres.
func (d whole) shims(inserts []string) map[string]float64 {
	under := map[string]float64{}
	for _, i := range inserts {
		fits, err := d.st.Fits(d.Context(), i)
		for _, f := range got(d, fits, err) {
			under[i] = math.Round(1000 * f.Shim.Value())
		}
	}
	return under
}

// loss is the mean drying loss of inserts, to a hundredth of a percent.
func (d whole) loss(inserts []string) any {
	sum := 0.0
	for _, i := range inserts {
		dried, err := d.st.Dryings(d.Context(), i)
		sum += got(d, dried, err)[0].Loss.Value()
	}
	return math.Round(100*sum/float64(len(inserts))) / 100
}

// runs are the loads that a furnace began after a time.
func (d whole) runs(furnace, after string) []string {
	loads, err := d.st.Loads(d.Context())
	var runs []string
	for _, l := range got(d, loads, err) {
		if l.Furnace == furnace && l.Closed.After(vienna(d, after)) {
			runs = append(runs, l.Load)
		}
	}
	slices.Sort(runs)
	return runs
}

// lying are the inserts that lay in loads, at positions that begin with a
// letter.
func (d whole) lying(at string, loads ...string) []string {
	var in []string
	for _, load := range loads {
		l, err := d.st.Load(d.Context(), load)
		for _, it := range got(d, l, err).Items {
			if strings.HasPrefix(it.Position, at) {
				in = append(in, it.Insert)
			}
		}
	}
	slices.Sort(in)
	return in
}

func (d whole) calibrated() []shop.Calibration {
	all, err := d.st.Calibrations(d.Context(), "M-12")
	return got(d, all, err)
}

// checked is the last check that is good by the gauge's permissible error, and
// how many passed by nothing but the limit that was typed.
func (d whole) checked() (good time.Time, lax int) {
	g, err := d.st.Gauge(d.Context(), "M-12")
	got(d, g, err)
	all, err := d.st.GaugeChecks(d.Context(), "M-12", 1000)
	for _, k := range got(d, all, err) {
		switch off := math.Abs(k.Read.Value() - k.Block.Value()); {
		case off > g.Error.Value()+1e-9 && k.Verdict == "pass":
			lax++
		case off <= g.Error.Value()+1e-9 && k.At.After(good):
			good = k.At
		}
	}
	return good, lax
}

func (d whole) clock(at time.Time) string {
	zone, err := d.st.Zone(d.Context())
	return at.In(got(d, zone, err)).Format(time.RFC3339)
}

// A read is a reading beside what it is judged by.
type read struct {
	shop.Result
	shop.Characteristic
}

func (r read) off() int { return int(math.Round(1000 * (r.Value.Value() - r.Nominal.Value()))) }

// read lists the readings of every insert that stand.
func (d whole) read() (all []read) {
	for _, i := range d.serials("", "") {
		in := d.insert(i)
		design, err := d.st.Design(d.Context(), in.Design, in.Revision)
		got(d, design, err)
		results, err := d.st.Results(d.Context(), i)
		for _, r := range got(d, results, err) {
			at := slices.IndexFunc(design.Characteristics, func(c shop.Characteristic) bool { return c.Number == r.Characteristic })
			all = append(all, read{r, design.Characteristics[at]})
		}
	}
	return all
}

// readSince says what M-12 read after a time, and which verdicts turn when it is
// corrected by what it was found to read too much.
func (d whole) readSince(since time.Time) any {
	n, on, flips := 0, []string{}, []map[string]any{}
	found := d.calibrated()[0].Points[0].AsFound.Value()
	for _, r := range d.read() {
		if r.Gauge != "M-12" || !r.At.After(since) {
			continue
		}
		n++
		if !slices.Contains(on, r.Insert) {
			on = append(on, r.Insert)
		}
		corrected := r.Value.Value() - found
		if r.Result.Verdict == "pass" && (corrected < r.Lower.Value()-1e-9 || corrected > r.Upper.Value()+1e-9) {
			flips = append(flips, map[string]any{"insert": r.Insert, "characteristic": r.Number, "axis": r.Axis, "read_um": r.off(),
				"corrected_um": int(math.Round(1000 * (corrected - r.Nominal.Value()))), "limit_um": int(math.Round(1000 * (r.Upper.Value() - r.Nominal.Value())))})
		}
	}
	return map[string]any{"results": n, "inserts": on, "insert_count": len(on), "flips": flips}
}

// pairs are what CMM1 and M-12 read of the same size.
func (d whole) pairs() any {
	all, pairs := d.read(), []map[string]any{}
	for _, m := range all {
		for _, c := range all {
			if m.Gauge == "M-12" && c.Gauge == "CMM1" && m.Insert == c.Insert && m.Number == c.Number {
				pairs = append(pairs, map[string]any{"insert": m.Insert, "characteristic": m.Number, "m12_um": m.off(), "cmm1_um": c.off()})
			}
		}
	}
	return pairs
}

// lines are the releases of one number, one for each design.
func (d whole) lines(release string) []shop.Release {
	all, err := d.st.Releases(d.Context())
	of := slices.DeleteFunc(got(d, all, err), func(r shop.Release) bool { return !strings.HasPrefix(r.Release, release+"/") })
	slices.SortFunc(of, func(a, b shop.Release) int { return strings.Compare(a.Design, b.Design) })
	return of
}

func (d whole) designs(release string) any {
	var of []string
	for _, r := range d.lines(release) {
		of = append(of, r.Design)
	}
	return of
}

func (d whole) second(release string) any {
	for _, r := range d.lines(release) {
		if len(r.Signatures) > 1 {
			return r.Signatures[1].By
		}
	}
	return ""
}

// by are the inserts that are made by a release.
func (d whole) by(release string) []string {
	var made []string
	for _, r := range d.lines(release) {
		made = append(made, d.serials("release", r.Release)...)
	}
	slices.Sort(made)
	return made
}

func (d whole) hardness(inserts []string) any {
	hrc := map[string]float64{}
	for _, r := range d.read() {
		if slices.Contains(inserts, r.Insert) && r.Kind == shop.Hardness {
			hrc[r.Insert] = r.Value.Value()
		}
	}
	return hrc
}

// concession is the one under which a failed insert was fitted.
func (d whole) concession(insert string) any {
	all, err := d.st.ConcessionsOn(d.Context(), insert)
	if got(d, all, err); len(all) != 1 || !slices.Contains(all[0].Used, insert) {
		d.Errorf("%s was fitted under %+v; want one concession that it used", insert, all)
		return ""
	}
	return all[0].Concession
}

// nonconformances are the numbers raised about some inserts, each once.
func (d whole) nonconformances(which func(shop.Nonconformance) bool, inserts ...string) []string {
	numbers := []string{}
	for _, insert := range inserts {
		all, err := d.st.NonconformancesOn(d.Context(), insert)
		for _, n := range got(d, all, err) {
			if which(n) && !slices.Contains(numbers, n.Number) {
				numbers = append(numbers, n.Number)
			}
		}
	}
	return numbers
}

// deviations are the length errors in Z of the inserts that are wholly of a
// lot, or of all others, in percent of the nominal.
func (d whole) deviations(within bool, lot string) []float64 {
	lots, err := d.st.Lots(d.Context())
	var off []float64
	for _, l := range got(d, lots, err) {
		pairs, err := d.st.LengthPairs(d.Context(), l.Lot)
		for _, p := range got(d, pairs, err) {
			if !p.Coupon && p.Axis == "Z" && (l.Lot == lot) == within {
				off = append(off, 100*(p.Sintered.Value()/p.Nominal.Value()-1))
			}
		}
	}
	return off
}

func mean(of []float64) float64 { return math.Round(1000*stat.Mean(of, nil)) / 1000 }

func spread(of []float64) float64 { return math.Round(1000*stat.StdDev(of, nil)) / 1000 }

// offInZ is the length error in Z of an insert at its inspection, in percent.
func (d whole) offInZ(insert string) float64 {
	i := d.insert(insert)
	design, err := d.st.Design(d.Context(), i.Design, i.Revision)
	for _, c := range got(d, design, err).Characteristics {
		if c.Axis != "Z" {
			continue
		}
		results, err := d.st.Results(d.Context(), insert)
		for _, r := range got(d, results, err) {
			if r.Characteristic == c.Number && r.Purpose == "inspection" {
				return math.Round(1e5*(r.Value.Value()/c.Nominal.Value()-1)) / 1000
			}
		}
	}
	d.Fatalf("%s was not read in Z", insert)
	return 0
}
