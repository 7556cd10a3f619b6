// Package scenario reads a folder of CSV files, the history of a shop, and
// records it in a book: one event after the other through store.Record, under
// the gates and policies of their days. demo/README.md describes the files.
package scenario

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"time"

	"sinterbook/store"
	"sinterbook/store/shop"
)

//go:embed demo/*.csv
var demo embed.FS

// Demo is the folder of the demo shop that the program carries.
func Demo() fs.FS {
	sub, err := fs.Sub(demo, "demo")
	if err != nil {
		panic(err) // the folder is named above
	}
	return sub
}

// Options say what is loaded and how.
type Options struct {
	// Inserts are the serial numbers to be loaded, with everything that
	// happened to them; nil means all. Parts, orders, paste and equipment are
	// always loaded whole.
	Inserts []string

	// Verifier is the key that checks the book's checkpoints.
	Verifier string

	// Progress is told after each entry how many of how many were recorded;
	// nil means nobody is.
	Progress func(done, total int)
}

// A Report says what became of a folder.
type Report struct {
	Recorded int       // entries that are new in the book
	Stood    int       // entries that stood there already
	Inserts  []string  // serial numbers that were loaded
	Passed   []string  // a sentence for each thing that was left out
	Now      time.Time // the moment at which the folder's history ends
}

// Now is the moment at which the history in a folder ends.
func Now(fsys fs.FS) (time.Time, error) {
	f := &folder{fsys: fsys, zone: time.UTC}
	f.scenario = f.read("scenario.csv", kind{columns("name"), columns("value")})
	f.facts()
	return f.now, errors.Join(f.faults...)
}

// Load records a folder in a book that is empty or has part of it already.
//
// A folder that is wrong in itself is refused as a whole, with each Fault in
// it, and nothing is recorded. What only the book can refuse is refused when
// its turn comes: Load is not one transaction, so everything before it stands.
// Loading the same inserts of the same folder again records nothing twice, and
// goes on where it was interrupted; but an entry that a gate refused stays
// refused, since the attempt is in the log: a mended folder wants a new book.
func Load(ctx context.Context, st *store.Store, fsys fs.FS, o Options) (Report, error) {
	p, err := planFolder(fsys, o)
	if err != nil {
		return Report{}, errors.Join(err, &shop.Refusal{Kind: shop.ErrInvalid, Why: "Nothing was recorded."})
	}
	r := Report{Inserts: p.serials(), Passed: p.passed, Now: p.now}
	stood := map[*planned]bool{}
	for i, e := range p.entries {
		if stood[e.again] {
			r.Stood++ // its moment is past: the scan before it stands
			continue
		}
		receipt, err := st.Record(ctx, e.Entry)
		if err != nil {
			return r, p.refused(e, err, r.Recorded+r.Stood)
		}
		if receipt.Repeat {
			r.Stood++
			stood[e] = true
		} else {
			r.Recorded++
		}
		if o.Progress != nil {
			o.Progress(i+1, len(p.entries))
		}
	}
	return r, nil
}

// planFolder turns a folder into the entries that it says were made.
func planFolder(fsys fs.FS, o Options) (*plan, error) {
	p := &plan{folder: readFolder(fsys), chosen: map[string]bool{}}
	if err := p.wrongAll(); err != nil {
		return nil, err
	}
	if err := p.choose(o.Inserts); err != nil {
		return nil, err
	}
	p.items()
	p.setUp(o.Verifier)
	p.parts()
	p.equipment()
	p.gaugeCare()
	p.paste()
	p.wasted()
	p.coupon()
	p.release()
	for _, r := range p.inserts.rows {
		if p.chosen[r.get("insert")] {
			p.insert(r)
		}
	}
	p.scannedAgain()
	p.sintering()
	p.nonconform()
	p.fits()
	p.holding()
	p.down()
	if err := p.passOver(); err != nil {
		return nil, err
	}
	p.check()
	p.sort()
	return p, p.wrongAll()
}

// passOver says which files are left for later.
func (p *plan) passOver() error {
	left, err := p.unread()
	if err == nil && len(left) > 0 {
		p.passed = append(p.passed, "Not read yet: "+shop.Listed(left)+".")
	}
	return err
}

// serials lists the inserts that are loaded.
func (p *plan) serials() []string {
	var all []string
	for _, r := range p.inserts.rows {
		if insert := r.get("insert"); p.chosen[insert] {
			all = append(all, insert)
		}
	}
	slices.Sort(all)
	return all
}

// refused is the book's no, with the place in the folder it is about.
func (p *plan) refused(e *planned, err error, before int) error {
	if no, ok := errors.AsType[*shop.Refusal](err); ok {
		return p.answer(e, no.Why, err, before)
	}
	if no, ok := errors.AsType[*shop.Invalid](err); ok {
		return p.answer(e, no.Error(), err, before)
	}
	return fmt.Errorf("recording %s line %d: %w", e.row.t.name, e.row.line, err)
}

func (p *plan) answer(e *planned, why string, err error, before int) error {
	return &Fault{File: e.row.t.name, Line: e.row.line, Column: e.column, Err: err,
		Why: fmt.Sprintf("the book refused %s at %s: %s The %d entries before it stand.", e.Event.Kind(), p.clock(e.At), why, before)}
}
