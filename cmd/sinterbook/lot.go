package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"sinterbook/store"
	"sinterbook/store/shop"
)

func lotCommand() command {
	var p place
	var asJSON bool
	return command{
		name: "lot", takes: []string{"CODE"}, does: "say what is known of a paste lot",
		more: `Says of a lot how it stands, what its lengths say of its shrinkage along each axis
of the build, what to do about the factor in force, where its paste went, and which
inserts have how much of it in them by height. CODE is the lot's number or its scan
code. s is (green - sintered) / green, k = 1 / (1 - s). s, lo and hi of the JSON are those
of the pieces alone, as a line through them says with 95 % confidence; pieces of one
furnace run share its furnace, so that lo_runs and hi_runs have in them by how much runs
differ. The table shows these, the advice goes by them, and where nobody knows how runs
differ there are none. through_origin: the lengths are alike, and no constant error is
told from shrinkage. advice is keep, change, propose (none is in force) or measure
(nobody can tell yet). In the balance what came in is used, waste (purged too),
returned, left and unexplained together. All of it is as the last entry left it (as_of):
a lot that ran out since is still called released.`,
		flags: func(f *flag.FlagSet) { p.flags(f); jsonFlag(f, &asJSON) },
		run:   func(ctx context.Context, args []string, c console) error { return lotSaid(ctx, p, args[0], asJSON, c) },
	}
}

// A lotAnswer is what the command says of a lot. What is not known is null.
type lotAnswer struct {
	Code    string                `json:"code"`
	State   string                `json:"state"`
	AsOf    time.Time             `json:"as_of"` // of the last entry: all of it is as that left it
	Axes    map[string]axisAnswer `json:"axes"`
	Balance lotBalance            `json:"balance"`
	Inserts []lotShare            `json:"inserts"`
}

type axisAnswer struct {
	S       *float64 `json:"s"` // share of the green length, by the pieces alone
	Lo      *float64 `json:"lo"`
	Hi      *float64 `json:"hi"`
	K       *float64 `json:"k"`
	N       int      `json:"n"`
	InForce *float64 `json:"in_force_k"`
	Advice  string   `json:"advice"`

	ThroughOrigin bool     `json:"through_origin,omitempty"`
	LoRuns        *float64 `json:"lo_runs"` // with the scatter between runs
	HiRuns        *float64 `json:"hi_runs"`

	of shop.AxisFit
}

type lotBalance struct {
	In          float64 `json:"in_g"`
	Used        float64 `json:"used_g"`
	Waste       float64 `json:"waste_g"`    // purged and thrown away
	Returned    float64 `json:"returned_g"` // sent back to the maker
	Left        float64 `json:"left_g"`
	Unexplained float64 `json:"unexplained_g"`
}

type lotShare struct {
	Code  string  `json:"code"`
	Share float64 `json:"share"` // of its height
}

func lotSaid(ctx context.Context, p place, code string, asJSON bool, c console) (err error) {
	st, err := store.OpenToRead(ctx, store.Options{DB: p.book()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	thing, err := st.Find(ctx, code)
	if err == nil && thing.Kind != "lot" {
		err = &shop.Refusal{Kind: shop.ErrNotFound, Why: fmt.Sprintf("%s is %s %s, not a lot.", code, shop.Article(thing.Kind), thing.Kind)}
	}
	if err != nil {
		return notThere(err)
	}
	a, err := answerOfLot(ctx, st, thing.Number)
	if err != nil {
		return err
	}
	if asJSON {
		return json.NewEncoder(c.out).Encode(a)
	}
	return lotTable(c, a)
}

func answerOfLot(ctx context.Context, st *store.Store, number string) (a lotAnswer, err error) {
	said, err := st.LotSaid(ctx, number)
	if err != nil {
		return a, err
	}
	a = lotAnswer{Code: number, State: said.State, AsOf: said.AsOf, Axes: map[string]axisAnswer{}, Inserts: []lotShare{}}
	for _, f := range said.Fit.Axes {
		a.Axes[strings.ToLower(f.Axis)] = answerOfAxis(f)
	}
	sum := store.AccountOf(said.Balances)
	a.Balance = lotBalance{In: sum.In, Used: sum.Used, Waste: sum.Waste(), Returned: sum.Returned, Left: sum.Left, Unexplained: sum.Unexplained()}
	for _, i := range said.Inserts {
		a.Inserts = append(a.Inserts, lotShare{i.Insert, i.Share})
	}
	return a, nil
}

func answerOfAxis(f shop.AxisFit) axisAnswer {
	a := axisAnswer{N: f.Count(), Advice: f.Advice(), of: f}
	if f.Known() {
		a.S, a.K, a.ThroughOrigin = new(f.Plain.S()), new(f.Plain.K()), f.OneLength
	}
	if lo, hi, err := f.Plain.Interval(shop.FitConfidence); f.Bounded() && err == nil {
		a.Lo, a.Hi = &lo, &hi
	}
	if f.Sure() {
		a.LoRuns, a.HiRuns = &f.Lo, &f.Hi
	}
	if f.InForce.Seq != 0 {
		a.InForce = new(f.InForce.K.Value())
	}
	return a
}

func lotTable(c console, a lotAnswer) error {
	fmt.Fprintf(c.out, "%s, %s as the last entry left it\n\n", a.Code, a.State)
	w := tabwriter.NewWriter(c.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "AXIS\tS\t95 % FROM\tTO\tK\tLENGTHS\tK IN FORCE\tADVICE")
	for _, axis := range []string{"x", "y", "z"} {
		fmt.Fprintln(w, strings.Join(axisLine(a.Axes[axis].of), "\t"))
	}
	fmt.Fprintf(w, "\nIN, g\tUSED, g\tWASTE, g\tSENT BACK, g\tLEFT, g\tUNEXPLAINED, g\n%.1f\t%.1f\t%.1f\t%.1f\t%.1f\t%.1f\n", a.Balance.In, a.Balance.Used, a.Balance.Waste, a.Balance.Returned, a.Balance.Left, a.Balance.Unexplained)
	fmt.Fprintln(w, "\nINSERT\tSHARE BY HEIGHT")
	for _, i := range a.Inserts {
		fmt.Fprintf(w, "%s\t%.2f\n", i.Code, i.Share)
	}
	return w.Flush()
}

const notKnown = "not known"

// axisLine is what the table says of an axis: to the decimals that the interval
// supports, and the factor in force as it was typed.
func axisLine(f shop.AxisFit) []string {
	s, lo, hi, k, in := notKnown, notKnown, notKnown, notKnown, "none"
	if f.Known() {
		places, placesK := f.Places()
		s, k = fixed(f.S, places+2), fixed(f.Line.K(), placesK)
		if f.Sure() {
			lo, hi = fixed(f.Lo, places+2), fixed(f.Hi, places+2)
		} else if f.Bounded() {
			lo, hi = "within its", "runs only"
		}
	}
	if f.InForce.Seq != 0 {
		in = f.InForce.K.Text
	}
	return []string{f.Axis, s, lo, hi, k, strconv.Itoa(f.Count()), in, f.Advice()}
}

func fixed(v float64, places int) string { return strconv.FormatFloat(v, 'f', places, 64) }
