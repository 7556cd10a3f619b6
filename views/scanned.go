package views

import (
	"slices"
	"strconv"
	"strings"

	"sinterbook/store/shop"
)

// Scanned says of an entry what was read off a label, and the text where a
// scanner added something to it.
func (r HistoryRow) Scanned() string {
	var said []string
	for _, s := range r.Scans {
		kind, number := shop.SubjectParts(s.Is)
		words := kind + " " + shortened(number)
		if text, _ := shop.Unwrapped(s.Raw); text != s.Raw || kind == "job" {
			words += ", as " + strconv.Quote(s.Raw)
		}
		said = append(said, words)
	}
	return "Scanned: " + strings.Join(said, ", ") + "."
}

// Known is a thing that was scanned for what is on the bench.
type Known struct {
	Field string // that it fills in
	Name  string
	Value string
	More  string // said behind it
	Amiss bool   // it does not belong to the insert
}

func (k Known) mark() string {
	if k.Amiss {
		return "stopped"
	}
	return "done"
}

// Belong are the things that were scanned, with which of them do not belong to
// the insert: nothing is ticked off that a gate will refuse.
func (p Work) Belong() []Known {
	should := map[string]string{"mould": p.Order.Mould}
	if p.Operation == shop.OpPrint && p.Release.Release != "" {
		should["machine"], should["program_sha256"] = p.Release.Machine, p.Release.ProgramHash
	}
	known := slices.Clone(p.Known)
	for i, k := range known {
		want, said := should[k.Field]
		known[i].Amiss = said && want != "" && k.Value != want || k.Field == "container" && p.containerAmiss()
	}
	return known
}

// containerAmiss reports whether a gate stopped at the container that was
// scanned.
func (p Work) containerAmiss() bool {
	return p.Tried && !p.Asks && slices.ContainsFunc(p.Objections, func(o shop.Objection) bool {
		return slices.Contains([]string{shop.LotOfRelease.Name, shop.LotReleasedInDate.Name, shop.ContainerOpenLife.Name, shop.ContainerEnoughLeft.Name}, o.Gate)
	})
}
