package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"text/tabwriter"
	"time"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// traceOptions are the flags of a trace.
type traceOptions struct {
	place
	since, until string
	layers       string
	kind         string
	asJSON       bool
}

func (o *traceOptions) flags(f *flag.FlagSet) {
	o.place.flags(f)
	jsonFlag(f, &o.asJSON)
	f.StringVar(&o.since, "since", "", "only what it touched from a `day` on (2025-10-20, or 2025-10-20T06:05 in the shop's time), or good: while it is in doubt, since the last check or test that it passed before one that it failed")
	f.StringVar(&o.until, "until", "", "only what it touched before a `day`")
	f.StringVar(&o.layers, "layers", "", "only what has its paste in these `layers`, as 100-120")
	f.StringVar(&o.kind, "kind", "", "`kind` of thing that CODE is, where several are called so")
}

func traceCommand() command {
	var o traceOptions
	return command{
		name: "trace", takes: []string{"CODE"}, does: "say what a thing touched, and where that is now",
		more: `Says what went into a thing, and which inserts it touched, with where each is now.
CODE is the number or scan code of an insert, lot, container, release, machine,
load, sensor, setter, gauge, cutter, oven, person (badge), mould or order; or a
customer, a place in a furnace (F2 M1), a controller version, an instruction, a
program, a certificate or a delivery note.`,
		flags: o.flags,
		run:   func(ctx context.Context, args []string, c console) error { return trace(ctx, o, args[0], c) },
	}
}

func trace(ctx context.Context, o traceOptions, code string, c console) (err error) {
	st, err := store.OpenToRead(ctx, store.Options{DB: o.book()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	thing := store.Thing{Kind: o.kind, Number: code}
	if o.kind == "" {
		if thing, err = st.Traced(ctx, code); err != nil {
			return notThere(err)
		}
	}
	w, err := o.window(ctx, st, thing)
	if err != nil {
		return notThere(err)
	}
	t, err := st.Trace(ctx, thing, w)
	if err != nil {
		return notThere(err)
	}
	if o.asJSON {
		return json.NewEncoder(c.out).Encode(t.Answer())
	}
	return traceTables(c, t)
}

// window reads the flags that narrow the trace.
func (o traceOptions) window(ctx context.Context, st *store.Store, thing store.Thing) (w shop.Window, err error) {
	zone, err := st.Zone(ctx)
	if err != nil {
		return w, err
	}
	switch o.since {
	case "":
	case "good":
		if w, _, err = st.InDoubt(ctx, thing); err != nil {
			return w, err
		}
	default:
		if w.From, err = moment("since", o.since, zone); err != nil {
			return w, err
		}
	}
	if o.until != "" {
		if w.Until, err = moment("until", o.until, zone); err != nil {
			return w, err
		}
	}
	if o.layers != "" {
		if n, err := fmt.Sscanf(o.layers, "%d-%d", &w.FromLayer, &w.ToLayer); n != 2 || err != nil || w.FromLayer < 1 || w.ToLayer < w.FromLayer {
			return w, misused("--layers takes the first and the last layer, as 100-120, not %q", o.layers)
		}
	}
	return w, nil
}

// moment reads a day, or a time of a day, in the shop's zone, or an instant
// with its offset.
func moment(flag, text string, zone *time.Location) (time.Time, error) {
	for _, form := range []string{time.DateOnly, "2006-01-02T15:04", "2006-01-02T15:04:05"} {
		if t, err := time.ParseInLocation(form, text, zone); err == nil {
			return t, nil
		}
	}
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t, nil
	}
	return time.Time{}, misused("--%s takes a day as 2025-10-20, or a time as 2025-10-20T06:05, not %q", flag, text)
}

func traceTables(c console, t shop.Trace) error {
	fmt.Fprintf(c.out, "%s %s\n", t.Kind, t.Number)
	w := tabwriter.NewWriter(c.out, 0, 0, 2, ' ', 0)
	if len(t.Upstream) > 0 {
		fmt.Fprintln(w, "\nUPSTREAM\tCODE")
		for _, v := range t.Upstream {
			fmt.Fprintf(w, "%s\t%s\n", v.Kind, v.Number)
		}
	}
	fmt.Fprintln(w, "\nDOWNSTREAM\tCODE\tWHERE\tSHARE")
	for _, v := range t.Answer().Downstream {
		share := ""
		if v.Share != 1 {
			share = fmt.Sprintf("%.2f", v.Share)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", v.Kind, v.Code, v.Where, share)
	}
	if n := shop.Count(t.Inserts); t.Kind != "insert" {
		fmt.Fprintf(w, "\nInserts made: %d = %d delivered + %d in stock + %d in work + %d scrapped\n", n.Made, n.Delivered, n.Stock, n.Work, n.Scrapped)
	}
	return w.Flush()
}
