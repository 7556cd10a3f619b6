package scenario

import (
	"strconv"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// A release of the folder has a line for each part and lot; the book's has
// one part, one lot and one machine, so each line is a release of its own.
func releaseName(release, design string) string { return release + "/" + design }

// nameOf is the name of a line's release. One that is written for several lots
// of one part, as that of receipt coupons, has the lot in its name too.
func (p *plan) nameOf(line row) string {
	name := releaseName(line.get("release"), line.get("design"))
	for _, other := range p.releases.of("release", line.get("release")) {
		if other.line != line.line && other.get("design") == line.get("design") {
			return name + "/" + line.get("lot")
		}
	}
	return name
}

// lineFor is the line of a release that covers a part of a lot.
func (p *plan) lineFor(release, design, lot string) (row, bool) {
	for _, r := range p.releases.of("release", release) {
		if r.get("design") == design && r.get("lot") == lot {
			return r, true
		}
	}
	return row{}, false
}

// lotsOf reads the lots of a release: one, or several by layers, written as
// "L1 layers 1-183; L2 layers 184-305".
func (p *plan) lotsOf(r row) (first string, further []shop.LayerLot) {
	for i, part := range strings.Split(r.need("lot"), "; ") {
		lot, layers, byLayer := strings.Cut(part, " layers ")
		if _, ok := p.lots.find(lot); !ok && lot != "" {
			r.wrong("lot", "there is no lot %s.", lot)
		}
		if i == 0 {
			first = lot
			continue
		}
		from, _, _ := strings.Cut(layers, "-")
		layer, err := strconv.Atoi(from)
		if err != nil || !byLayer {
			r.wrong("lot", "%q does not say from which layer it is printed: write it like L2509-B layers 184-305.", part)
		}
		further = append(further, shop.LayerLot{Lot: lot, FromLayer: layer})
	}
	return first, further
}

// lineOf is the line of a release that covers an insert.
func (p *plan) lineOf(release, design string) (row, bool) {
	for _, r := range p.releases.of("release", release) {
		if r.get("design") == design {
			return r, true
		}
	}
	return row{}, false
}

// release plans the releases.
func (p *plan) release() {
	for _, r := range p.releases.rows {
		p.releaseLine(r)
	}
}

func (p *plan) releaseLine(r row) {
	lot, further := p.lotsOf(r)
	r.refer("machine", r.need("machine"), "machine", p.machines)
	if _, ok := p.designs.find(r.get("design"), r.need("design_revision")); !ok {
		r.wrong("design_revision", "there is no revision %s of design %s.", r.get("design_revision"), r.get("design"))
	}
	name, author := p.nameOf(r), r.badge("author")
	came := p.cameIn(append([]shop.LayerLot{{Lot: lot}}, further...))
	at, second := later(r.time("released_at"), came), r.timeIf("second_signed_at")
	if !second.IsZero() {
		second = later(second, came)
	}
	p.add(r, "released_at", later(draftedAt(r), came), author, shop.ReleaseDrafted{
		Release: name, Design: r.get("design"), Revision: r.get("design_revision"), Lot: lot, Further: further, Machine: r.get("machine"),
		Recipe: r.need("recipe"), Orientation: r.need("orientation"), KX: r.number("kx", "1"), KY: r.number("ky", "1"), KZ: r.number("kz", "1"),
		Evidence: r.need("evidence"), Program: r.need("program"), ProgramHash: r.need("program_sha256"), Supersedes: p.superseded(r),
	})
	p.add(r, "released_at", at, author, shop.ReleaseSigned{Release: name}).Meaning = "Released for printing"
	if !second.IsZero() {
		p.add(r, "second_signed_at", second, r.badge("second_signature"), shop.ReleaseSigned{Release: name}).Meaning = "Checked for printing"
	}
	if ended := r.until("superseded_at", "released_at"); !ended.IsZero() && !p.hasSuccessor(r, ended) {
		p.add(r, "superseded_at", ended, author, shop.ReleaseWithdrawn{Release: name}).Reason = "another release is used from now on"
	}
}

// cameIn is when the last of some lots was received: a line for a lot that was
// still to come counts from then on.
func (p *plan) cameIn(lots []shop.LayerLot) time.Time {
	var last time.Time
	for _, l := range lots {
		if r, ok := p.lots.find(l.Lot); ok {
			last = later(last, r.time("received_at"))
		}
	}
	return last
}

// draftedAt is when a release was written. The folder does not say it; it was
// there to be signed when the first of the two signed it.
func draftedAt(r row) time.Time {
	return earliest(r.timeIf("second_signed_at"), r.time("released_at"))
}

// superseded names the release that a line takes the place of: the one of the
// same part, lot and machine that ends when this one is written. A line that
// nobody signed a second time takes no place: the old one was withdrawn.
func (p *plan) superseded(r row) string {
	if r.get("second_signed_at") == "" {
		return ""
	}
	for _, old := range p.releases.rows {
		if sameLine(old, r) && old.line != r.line && old.get("superseded_at") != "" && old.time("superseded_at").Equal(draftedAt(r)) {
			return p.nameOf(old)
		}
	}
	return ""
}

// hasSuccessor reports whether another line takes the place of one that ended.
func (p *plan) hasSuccessor(old row, ended time.Time) bool {
	for _, r := range p.releases.rows {
		if sameLine(old, r) && old.line != r.line && ended.Equal(draftedAt(r)) && r.get("second_signed_at") != "" {
			return true
		}
	}
	return false
}

func sameLine(a, b row) bool {
	return a.get("design") == b.get("design") && a.get("lot") == b.get("lot") && a.get("machine") == b.get("machine")
}
