package store

import (
	"context"
	"errors"
	"fmt"

	"sinterbook/store/shop"
)

const paperColumns = `SELECT e.id, f.form, e.kind, e.subject, e.at, e.entered_at, e.by_badge, e.typed_by FROM paper_entry e JOIN paper_form f ON f.id = e.form_id`

func scanPaperEntry(row scanner) (shop.PaperEntry, error) {
	var e shop.PaperEntry
	var at, entered stamp
	err := row.Scan(&e.Seq, &e.Form, &e.Kind, &e.Subject, &at, &entered, &e.By, &e.TypedBy)
	e.At, e.Entered = at.Time, entered.Time
	return e, err
}

func scanPaperForm(row scanner) (shop.PaperForm, error) {
	var f shop.PaperForm
	var checked stamp
	err := row.Scan(&f.Form, &checked, &f.CheckedBy)
	f.CheckedAt = checked.Time
	return f, err
}

// PaperForms lists the forms that were typed in: those that nobody checked
// first, then the newest first. limit bounds those that were checked.
func (s *Store) PaperForms(ctx context.Context, limit int) ([]shop.PaperForm, error) {
	const columns = "SELECT form, checked_at, checked_by FROM paper_form WHERE "
	forms, err := list(ctx, s.db, "paper forms", scanPaperForm, columns+"checked_at IS NULL ORDER BY id")
	if err != nil {
		return nil, err
	}
	checked, err := list(ctx, s.db, "paper forms", scanPaperForm, columns+"checked_at IS NOT NULL ORDER BY id DESC LIMIT $1", limit)
	if err != nil {
		return nil, err
	}
	forms = append(forms, checked...)
	for i := range forms {
		if forms[i].Entries, err = entriesOfForm(ctx, s.db, forms[i].Form); err != nil {
			return nil, err
		}
	}
	return forms, nil
}

// PaperForm is a form with its entries, or ErrNotFound.
func (s *Store) PaperForm(ctx context.Context, form string) (shop.PaperForm, error) {
	return paperForm(ctx, s.db, form)
}

func paperForm(ctx context.Context, q querier, form string) (shop.PaperForm, error) {
	f, err := one("paper form", form, scanPaperForm, q.QueryRowContext(ctx, "SELECT form, checked_at, checked_by FROM paper_form WHERE form = $1", form))
	if err != nil {
		return f, err
	}
	f.Entries, err = entriesOfForm(ctx, q, form)
	return f, err
}

func entriesOfForm(ctx context.Context, q querier, form string) ([]shop.PaperEntry, error) {
	all, err := list(ctx, q, "entries of a form", scanPaperEntry, paperColumns+" WHERE f.form = $1 ORDER BY e.id", form)
	if err != nil {
		return nil, err
	}
	for i := range all {
		all[i].Missed, err = list(ctx, q, "missed stops", func(row scanner) (o shop.Objection, err error) { return o, row.Scan(&o.Gate, &o.Why, &o.Lift, &o.Mode) },
			"SELECT gate, why, lift, mode FROM missed_stop WHERE entry_id = $1 ORDER BY place", all[i].Seq)
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}

// Outages lists the times in which the service was not there, newest first.
func (s *Store) Outages(ctx context.Context, limit int) ([]shop.Outage, error) {
	return list(ctx, s.db, "outages", func(row scanner) (shop.Outage, error) {
		var o shop.Outage
		var from, until stamp
		err := row.Scan(&from, &until, &o.Note, &o.NotedBy)
		o.From, o.Until = from.Time, until.Time
		return o, err
	}, "SELECT from_at, until_at, note, noted_by FROM outage ORDER BY from_at DESC, id DESC LIMIT $1", limit)
}

const blankColumns = `SELECT b.form, b.operation, b.issued_at, b.issued_by, b.seen_at, b.seen_by, EXISTS (SELECT 1 FROM paper_form f WHERE f.form = b.form) FROM blank_form b`

func scanBlankForm(row scanner) (shop.BlankForm, error) {
	var b shop.BlankForm
	var issued, seen stamp
	err := row.Scan(&b.Form, &b.Operation, &issued, &b.IssuedBy, &seen, &b.SeenBy, &b.Typed)
	b.Issued, b.Seen = issued.Time, seen.Time
	return b, err
}

// BlankForms lists the forms that were handed out, by their numbers. Those from
// which something was typed in are left out unless all are asked for.
func (s *Store) BlankForms(ctx context.Context, all bool) ([]shop.BlankForm, error) {
	where := " WHERE NOT EXISTS (SELECT 1 FROM paper_form f WHERE f.form = b.form)"
	if all {
		where = ""
	}
	return list(ctx, s.db, "blank forms", scanBlankForm, blankColumns+where+" ORDER BY b.entry_id, b.place")
}

// BlankForm is a form as it was handed out, or ErrNotFound.
func (s *Store) BlankForm(ctx context.Context, form string) (shop.BlankForm, error) {
	return one("blank form", form, scanBlankForm, s.db.QueryRowContext(ctx, blankColumns+" WHERE b.form = $1", form))
}

// NextForm is the count of the first form that was neither handed out nor typed
// in, nor any behind it.
func (s *Store) NextForm(ctx context.Context) (int, error) {
	used, err := list(ctx, s.db, "numbers of forms", word, "SELECT form FROM blank_form UNION SELECT form FROM paper_form")
	last := 0
	for _, form := range used {
		if n, ok := shop.FormCount(form); ok {
			last = max(last, n)
		}
	}
	return last + 1, err
}

// checkIssued refuses numbers that were handed out or typed in already.
func checkIssued(ctx context.Context, q querier, ev shop.FormsIssued) error {
	for _, form := range ev.Forms() {
		used, err := list(ctx, q, "a form's number", word, "SELECT form FROM blank_form WHERE form = $1 UNION SELECT form FROM paper_form WHERE form = $1", form)
		if err != nil {
			return err
		}
		if len(used) > 0 {
			return shop.Conflict("Form %s was handed out already: no number is given out twice.", form)
		}
	}
	return nil
}

// checkCounted refuses to call blank what was not handed out, or was typed in.
func checkCounted(ctx context.Context, q querier, ev shop.FormsCounted) error {
	for _, form := range ev.Forms {
		b, err := one("blank form", form, scanBlankForm, q.QueryRowContext(ctx, blankColumns+" WHERE b.form = $1", form))
		if err != nil {
			return err
		}
		if b.Typed {
			return shop.Conflict("Form %s is not blank: something was typed in from it.", form)
		}
	}
	return nil
}

// checkPaper asks of what is typed in from a form that it happened before, and
// that the one who types is somebody who may; a form that was checked is
// closed.
func checkPaper(ctx context.Context, q querier, e shop.Entry) error {
	if e.Paper == nil {
		return nil
	}
	if !e.BackEntered() {
		return shop.Wrong("at", "A paper form is for what happened before: say when it happened.")
	}
	typist, err := personByBadge(ctx, q, e.Paper.TypedBy)
	if err != nil {
		return err
	}
	if typist.Has(shop.Auditor) {
		return &shop.Refusal{Kind: shop.ErrForbidden, Why: "An auditor reads and prints, and changes nothing."}
	}
	f, err := paperForm(ctx, q, e.Paper.Form)
	switch {
	case errors.Is(err, shop.ErrNotFound):
		return nil
	case err != nil:
		return err
	case !f.CheckedAt.IsZero():
		return shop.Conflict("Form %s was checked by %s: nothing more can be typed in from it.", f.Form, f.CheckedBy)
	}
	return nil
}

func checkForm(ctx context.Context, q querier, e shop.Entry, ev shop.FormChecked) error {
	f, err := paperForm(ctx, q, ev.Form)
	if err != nil {
		return err
	}
	return f.MayCheck(e.By)
}

// paper notes from which form an entry was typed in, and which stops were
// missed.
func (a applying) paper() error {
	if a.Paper == nil {
		return nil
	}
	if err := a.exec("INSERT INTO paper_form (id, form, checked_by) VALUES ($1, $2, '') ON CONFLICT (form) DO NOTHING", a.seq, a.Paper.Form); err != nil {
		return err
	}
	form, err := idOf(a.ctx, a.q, "paper form", "SELECT id FROM paper_form WHERE form = $1", a.Paper.Form)
	if err != nil {
		return err
	}
	if err := a.exec("INSERT INTO paper_entry (id, form_id, kind, subject, at, entered_at, by_badge, typed_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		a.seq, form, a.Event.Kind(), a.Event.Subjects()[0], a.at(), stamp{a.Entered}, a.By, a.Paper.TypedBy); err != nil {
		return err
	}
	for i, o := range a.Missed {
		if err := a.exec("INSERT INTO missed_stop (entry_id, place, gate, why, lift, mode) VALUES ($1, $2, $3, $4, $5, $6)", a.seq, i+1, o.Gate, o.Why, o.Lift, o.Mode); err != nil {
			return fmt.Errorf("noting a missed stop: %w", err)
		}
	}
	return nil
}

func (a applying) formsIssued(e shop.FormsIssued) error {
	for i, form := range e.Forms() {
		if err := a.exec("INSERT INTO blank_form (entry_id, place, form, operation, issued_at, issued_by, seen_by) VALUES ($1, $2, $3, $4, $5, $6, '')", a.seq, i+1, form, e.Op, a.at(), a.By); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) formsCounted(e shop.FormsCounted) error {
	for _, form := range e.Forms {
		if err := a.exec("UPDATE blank_form SET seen_at = $1, seen_by = $2 WHERE form = $3", a.at(), a.By, form); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) formChecked(e shop.FormChecked) error {
	return a.exec("UPDATE paper_form SET checked_at = $1, checked_by = $2 WHERE form = $3", a.at(), a.By, e.Form)
}

func (a applying) outageNoted(e shop.OutageNoted) error {
	return a.exec("INSERT INTO outage (id, from_at, until_at, note, noted_by) VALUES ($1, $2, $3, $4, $5)", a.seq, stamp{e.From}, stamp{e.Until}, e.Note, a.By)
}
