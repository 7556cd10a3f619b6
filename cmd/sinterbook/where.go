package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"strings"
	"text/tabwriter"

	"sinterbook/store"
	"sinterbook/store/shop"
)

func whereCommand() command {
	var p place
	var asJSON bool
	return command{
		name: "where", takes: []string{"CODE"}, does: "say where an insert is",
		more: `Says where an insert is, since when, what comes next and what holds it. CODE is
its serial number or its scan code. Delivered and scrapped inserts are found too.`,
		flags: func(f *flag.FlagSet) { p.flags(f); jsonFlag(f, &asJSON) },
		run:   func(ctx context.Context, args []string, c console) error { return where(ctx, p, args[0], asJSON, c) },
	}
}

func floorCommand() command {
	var p place
	var asJSON bool
	return command{
		name: "floor", does: "say where every insert is",
		more: `Says of every insert that was ever begun where it is, since when, what comes next
and what holds it, by serial number.`,
		flags: func(f *flag.FlagSet) { p.flags(f); jsonFlag(f, &asJSON) },
		run:   func(ctx context.Context, _ []string, c console) error { return floor(ctx, p, asJSON, c) },
	}
}

func jsonFlag(f *flag.FlagSet, asJSON *bool) {
	f.BoolVar(asJSON, "json", false, "write JSON for other programs")
}

func where(ctx context.Context, p place, code string, asJSON bool, c console) (err error) {
	st, err := store.OpenToRead(ctx, store.Options{DB: p.book()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	thing, err := st.Find(ctx, code)
	if err == nil && thing.Kind != "insert" {
		err = &shop.Refusal{Kind: shop.ErrNotFound, Why: fmt.Sprintf("%s is %s %s, not an insert.", code, shop.Article(thing.Kind), thing.Kind)}
	}
	if err != nil {
		return notThere(err)
	}
	w, err := st.Where(ctx, thing.Number)
	if err != nil {
		return err
	}
	if asJSON {
		return json.NewEncoder(c.out).Encode(w)
	}
	return whereTable(c, []shop.Whereabout{w})
}

// notThere makes a no about what was asked for into the answer of the command.
func notThere(err error) error {
	if errors.Is(err, shop.ErrNotFound) || errors.Is(err, shop.ErrInvalid) {
		return &store.Finding{Why: err.Error()}
	}
	return err
}

func floor(ctx context.Context, p place, asJSON bool, c console) (err error) {
	st, err := store.OpenToRead(ctx, store.Options{DB: p.book()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	all, err := st.Everywhere(ctx)
	if err != nil {
		return err
	}
	if asJSON {
		if all == nil {
			all = []shop.Whereabout{}
		}
		return json.NewEncoder(c.out).Encode(all)
	}
	return whereTable(c, all)
}

func whereTable(c console, all []shop.Whereabout) error {
	w := tabwriter.NewWriter(c.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "INSERT\tPART\tSTATUS\tPLACE\tSINCE\tNEXT\tHELD BY\tMOULD\tCUSTOMER")
	for _, at := range all {
		since, _, _ := strings.Cut(at.Since, "T")
		fmt.Fprintln(w, strings.Join([]string{at.Code, at.Part, at.Status, at.Place, since, at.Operation, strings.Join(at.HeldBy, " "), at.Mould, at.Customer}, "\t"))
	}
	return w.Flush()
}
