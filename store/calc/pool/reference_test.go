package pool

import (
	"math"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/calc/reference"
)

// The checks of testdata/reference/variance_components were computed by lme4
// of R and by a separate dense REML in Python.
const topic = "variance_components"

// leftOut says which checks have nothing here that they could check, and why.
var leftOut = func() map[string]string {
	const (
		likelihood = "plain likelihood, which is biased, is not offered"
		profile    = "profile intervals belong to plain likelihood"
		sequential = "mean squares of two groupings depend on their order when unbalanced; REML is offered instead"
		welch      = "BetweenInterval is by the modified large sample, which holds its confidence where this one does not"
		nested     = "BetweenInterval is offered for one grouping"
	)
	out := map[string]string{}
	for why, ids := range map[string]string{
		likelihood: "dyestuff.ml.components dyestuff.ml.deviance pastes.ml.components",
		profile:    "dyestuff.ml.profile95.sd_batch dyestuff.ml.profile95.sd_resid dyestuff.ml.profile95.intercept",
		sequential: "pastes.ss pastes.ms pastes.df pastes.anova.components pastes.F pastes.p pastes.ci95.resid " +
			"penicillin.ms penicillin.df penicillin.anova.components " +
			"unbal.ss unbal.df unbal.ms unbal.ems_coef unbal.anova.components",
		welch: "dyestuff.satterthwaite.df dyestuff.ci95.group_satterthwaite dyestuff2.satterthwaite.df " +
			"alias.lot_or_run.satterthwaite.df alias.lot_or_run.ci95.group_satterthwaite",
		nested: "pastes.ci95.cask_mls pastes.ci95.batch_mls",
	} {
		for _, id := range strings.Fields(ids) {
			out["vc."+id] = why
		}
	}
	return out
}()

func TestVarianceComponents(t *testing.T) {
	ref := reference.Open(t, topic)
	checkOneWay(t, ref, "vc.dyestuff.", "dyestuff.csv", "batch", "yield")
	checkOneWay(t, ref, "vc.dyestuff2.", "dyestuff2.csv", "batch", "yield")
	checkOneWay(t, ref, "vc.alias.lot_or_run.", "aliased_lot_run.csv", "lot", "shrink_pct")
	checkOneWayREML(t, ref)
	for _, of := range []struct{ id, file, value, columns string }{
		{"vc.pastes.", "pastes.csv", "strength", "batch batch/cask"},
		{"vc.penicillin.", "penicillin.csv", "diameter", "plate sample"},
		{"vc.unbal.", "unbalanced_nested.csv", "shrink_pct", "lot container"},
		{"vc.crossed.", "crossed_lot_container_run.csv", "shrink_pct", "lot container run"},
	} {
		f := fitted(t, ref, of.file, of.value, strings.Fields(of.columns)...)
		ref.Equal(of.id+"reml.components", f.Components...)
		ref.Equal(of.id+"reml.intercept", f.Mean())
		ref.Equal(of.id+"reml.intercept_se", math.Sqrt(f.VarMean()))
		ref.Equal(of.id+"reml.criterion", f.Criterion)
	}
	ref.Equal("vc.unbal.reml.components_nlme", fitted(t, ref, "unbalanced_nested.csv", "shrink_pct", "lot", "container").Components...)
	checkEffects(t, ref)
	checkSeparable(t, ref)
	ref.Rest(leftOut)
}

// checkOneWay compares what is exact or by moments.
func checkOneWay(t *testing.T, ref *reference.Topic, id, file, group, value string) {
	c := oneWay(t, ref, file, group, value)
	ref.Equal(id+"ms", c.MSBetween, c.MSWithin)
	ref.Equal(id+"df", float64(c.DFBetween), float64(c.DFWithin))
	ref.Equal(id+"F", c.F)
	ref.Equal(id+"p", c.P)
	ref.Equal(id+"anova.components", c.MomentBetween, c.MSWithin)
	lo, hi, err := c.WithinInterval(0.95)
	check(t, err)
	ref.Equal(id+"ci95.resid", lo, hi)
	lo, hi, err = c.RatioInterval(0.95)
	check(t, err)
	ref.Equal(id+"ci95.ratio_exact", lo, hi)
	ref.Equal(id+"ci95.icc_exact", lo/(1+lo), hi/(1+hi))
	lo, hi, err = c.BetweenInterval(0.95)
	check(t, err)
	ref.Equal(id+"ci95.group_mls", lo, hi)
}

func checkOneWayREML(t *testing.T, ref *reference.Topic) {
	c := oneWay(t, ref, "dyestuff.csv", "batch", "yield")
	ref.Equal("vc.dyestuff.reml.components", c.Between, c.Within)
	ref.Equal("vc.dyestuff.reml.intercept", c.Mean)
	ref.Equal("vc.dyestuff.reml.intercept_se", math.Sqrt(c.VarMean))
	ref.Equal("vc.dyestuff.reml.criterion", c.Criterion)
	c = oneWay(t, ref, "dyestuff2.csv", "batch", "yield")
	ref.Equal("vc.dyestuff2.reml.components", c.Between, c.Within)
	if c.Between != 0 || c.MomentBetween >= 0 {
		t.Errorf("dyestuff2: between %v by REML and %v by moments; want exactly 0 and below 0", c.Between, c.MomentBetween)
	}
}

func checkEffects(t *testing.T, ref *reference.Topic) {
	effects := fitted(t, ref, "pastes.csv", "strength", "batch", "batch/cask").Effects[0]
	var got []float64
	for _, batch := range strings.Split("ABCDEFGHIJ", "") {
		got = append(got, effects[batch])
	}
	ref.Equal("vc.pastes.reml.blup_batch", got...)
}

// checkSeparable: where lot and run are one grouping, no split is given; four
// parts that bridge them make one possible.
func checkSeparable(t *testing.T, ref *reference.Topic) {
	for id, of := range map[string]struct {
		file    string
		columns []string
	}{
		"vc.crossed.": {"crossed_lot_container_run.csv", []string{"lot", "container", "run"}},
		"vc.unbal.":   {"unbalanced_nested.csv", []string{"lot", "container"}},
		"vc.alias.":   {"aliased_lot_run.csv", []string{"lot", "run"}},
		"vc.bridged.": {"bridged_lot_run.csv", []string{"lot", "run"}},
	} {
		y, groupings := columns(t, ref, of.file, "shrink_pct", of.columns...)
		rank, _, err := Rank(len(y), groupings...)
		check(t, err)
		ref.Equal(id+"identifiable_rank", float64(rank))
	}
	y, groupings := columns(t, ref, "aliased_lot_run.csv", "shrink_pct", "lot", "run")
	if f, err := REML(y, nil, groupings...); err != ErrNotSeparable {
		t.Errorf("aliased lots and runs: %+v, %v; want ErrNotSeparable", f, err)
	}
	f := fitted(t, ref, "bridged_lot_run.csv", "shrink_pct", "lot", "run")
	ref.Equal("vc.bridged.reml.components", f.Components...)
	ref.Equal("vc.bridged.reml.criterion", f.Criterion)
	if f.SE[0] < f.Components[0]/2 {
		t.Errorf("bridged: lot component %v with standard error %v; it is nearly worthless", f.Components[0], f.SE[0])
	}
}

func oneWay(t *testing.T, ref *reference.Topic, file, group, value string) Components {
	t.Helper()
	var order []string
	of := map[string][]float64{}
	for _, row := range ref.Rows(file) {
		if !slices.Contains(order, row[group]) {
			order = append(order, row[group])
		}
		of[row[group]] = append(of[row[group]], reference.Number(t, row[value]))
	}
	var groups [][]float64
	for _, name := range order {
		groups = append(groups, of[name])
	}
	c, err := OneWay(groups)
	check(t, err)
	return c
}

// columns reads values and their groupings; batch/cask is a cask of a batch.
func columns(t *testing.T, ref *reference.Topic, file, value string, names ...string) (y []float64, of []Grouping) {
	t.Helper()
	for _, name := range names {
		of = append(of, Grouping{Name: name})
	}
	for _, row := range ref.Rows(file) {
		y = append(y, reference.Number(t, row[value]))
		for i, name := range names {
			full := ""
			for part := range strings.SplitSeq(name, "/") {
				full += row[part]
			}
			of[i].Of = append(of[i].Of, full)
		}
	}
	return y, of
}

func fitted(t *testing.T, ref *reference.Topic, file, value string, names ...string) Fitted {
	t.Helper()
	y, groupings := columns(t, ref, file, value, names...)
	f, err := REML(y, nil, groupings...)
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return f
}

func check(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
