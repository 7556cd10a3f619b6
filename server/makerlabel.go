package server

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// A filling puts what a supplier's label says into the fields of a form. What
// does not agree it says in the fields; then nothing is taken.
type filling func(r *http.Request, f *views.Form, l shop.MakerLabel) (shop.Fields, error)

// labelled is what the buttons of a label's box do to its form: read what was
// scanned, take the reading that suggested itself, leave the label out.
func (s *Server) labelled(fill filling) func(r *http.Request, f *views.Form) error {
	return func(r *http.Request, f *views.Form) error {
		raw := rawScan(*f)
		day, err := s.today(r)
		if err != nil {
			return err
		}
		switch f.Value("more") {
		case "none":
			leaveOut(f, day)
			return nil
		case "likely":
			raw, _ = shop.AsScanned(f.Value("scanned"))
		}
		l, err := shop.ReadMakerLabel(raw, day)
		if fault, ok := errors.AsType[*shop.LabelFault](err); ok {
			if f.Value("more") != "likely" || fault.Likely == nil {
				unreadLabel(f, fault)
				return nil
			}
			l, err = *fault.Likely, nil
		}
		if err != nil {
			return err
		}
		said, err := fill(r, f, l)
		f.Wrong = said
		if len(said) == 0 && err == nil {
			if visible := shop.Visible(raw); !slices.Contains(f.Values["label"], visible) {
				f.Values.Add("label", visible)
			}
			f.Values.Del("scan")
			f.Values.Del("scanned")
		}
		keepTyped(f)
		return err
	}
}

// leaveOut takes the labels out of a form again with what they filled in; what
// was typed over that stays.
func leaveOut(f *views.Form, day shop.Date) {
	for _, visible := range f.Values["label"] {
		l := shop.KeptLabel(visible, day)
		if l == nil {
			continue
		}
		if f.Value("mass") == l.Amount.Text && f.Value("mass_unit") == l.Unit {
			f.Values.Del("mass")
			f.Values.Del("mass_unit")
		}
		for field, on := range map[string]shop.LabelField{"lot": l.Lot, "article": l.Article, "serial": l.Serial, "supplier": l.Supplier, "made_on": l.MadeOn, "expires_on": l.Expires} {
			if on.From != "" && f.Value(field) == on.Text {
				f.Values.Del(field)
			}
		}
	}
	f.Values.Del("label")
}

// unreadLabel says why a label was not read, with the text as it came.
func unreadLabel(f *views.Form, fault *shop.LabelFault) {
	shown := shop.Visible(fault.Raw)
	why := fault.Why
	if fault.Raw != "" {
		why += " It came as " + shown + "."
	}
	f.Wrong = map[string]string{"scan": why}
	f.Values.Del("scanned")
	if fault.Likely != nil {
		f.Values.Set("scanned", shown)
	}
	keepTyped(f)
}

// keepTyped leaves in the box what can be typed there; a scan with other
// characters would not survive.
func keepTyped(f *views.Form) {
	if scan := f.Value("scan"); shop.Visible(scan) != scan {
		f.Values.Del("scan")
	}
}

// unreadScan refuses to record a form in whose box a scan waits to be read.
func unreadScan(said shop.Fields, f *views.Form) {
	if f.Value("scan") != "" {
		said.Say("scan", "What stands in the box for the supplier's label was not read yet: press Read the label, or empty the box.")
	}
}

// labelBox is the box of a form, with what was read so far.
func (s *Server) labelBox(r *http.Request, f views.Form, does string) (views.LabelBox, error) {
	day, err := s.today(r)
	box := views.LabelBox{Form: f, Does: does, Read: shop.KeptLabels(labelsOf(f), day), Likely: shop.KeptLabel(f.Value("scanned"), day)}
	for _, l := range box.Read {
		box.Notes = append(box.Notes, l.DaysSay(day)...)
	}
	return box, err
}

// labelsOf are the labels that were read into a form, a line for each.
func labelsOf(f views.Form) string { return strings.Join(f.Values["label"], "\n") }

// today is the shop's calendar day.
func (s *Server) today(r *http.Request) (shop.Date, error) {
	zone, err := s.zone(r.Context())
	if err != nil {
		return "", err
	}
	return shop.DayOf(s.now(), zone), nil
}

// fillIn fills in an empty field; what was typed stays. It reports whether the
// field says what the label says.
func fillIn(f *views.Form, field string, l shop.LabelField) bool {
	if l.From != "" && f.Value(field) == "" {
		f.Values.Set(field, l.Text)
	}
	return l.From == "" || f.Value(field) == l.Text
}

// agrees refuses a label that is of another thing than the form.
func agrees(f *views.Form, said shop.Fields, field string, l shop.LabelField) {
	if typed := f.Value(field); l.From != "" && typed != "" && typed != l.Text {
		said.Say("scan", "The label is of %s %s, and the form of %s: nothing was taken from it.", l.What, l.Text, typed)
	}
}

// fillLot fills in the form of a lot.
func fillLot(_ *http.Request, f *views.Form, l shop.MakerLabel) (shop.Fields, error) {
	said := shop.Fields{}
	agrees(f, said, "lot", l.Lot)
	agrees(f, said, "article", l.Article)
	for field, on := range map[string]shop.LabelField{"made_on": l.MadeOn, "expires_on": l.Expires} {
		if typed := f.Value(field); on.From != "" && typed != "" && typed != on.Text {
			said.Say(field, "The label says %s, and here stands %s: nothing was taken from it. Empty the field to take the label's day.", on.Text, typed)
		}
	}
	if len(said) > 0 {
		return said, nil
	}
	for field, on := range map[string]shop.LabelField{"lot": l.Lot, "article": l.Article, "supplier": l.Supplier, "made_on": l.MadeOn, "expires_on": l.Expires} {
		fillIn(f, field, on)
	}
	return said, nil
}

// fillContainer fills in the form of a container. Its lot is in the book
// already: a label of one that is not is refused.
func (s *Server) fillContainer(r *http.Request, f *views.Form, l shop.MakerLabel) (shop.Fields, error) {
	said := shop.Fields{}
	agrees(f, said, "lot", l.Lot)
	agrees(f, said, "article", l.Article)
	agrees(f, said, "serial", l.Serial)
	if _, err := s.store.Lot(r.Context(), l.Lot.Text); l.Lot.From != "" && err != nil {
		if !errors.Is(err, shop.ErrNotFound) {
			return said, err
		}
		said.Say("scan", "The label is of lot %s, which is not in this book: receive the lot first.", l.Lot.Text)
	}
	if len(said) > 0 {
		return said, nil
	}
	for field, on := range map[string]shop.LabelField{"lot": l.Lot, "article": l.Article, "serial": l.Serial} {
		fillIn(f, field, on)
	}
	if slices.Contains(shop.UnitsOf(shop.Mass), l.Unit) && f.Value("mass") == "" {
		f.Values.Set("mass", l.Amount.Text)
		f.Values.Set("mass_unit", l.Unit)
	}
	if f.Value("container") == "" && f.Value("lot") != "" {
		return said, s.proposeNumber(r, f, f.Value("lot"))
	}
	return said, nil
}

// labelAgainstLot says what a container's label says otherwise than the book
// does of its lot.
func labelAgainstLot(l shop.MakerLabel, lot shop.Lot) []string {
	var notes []string
	for _, n := range []struct {
		on   shop.LabelField
		book string
	}{{l.Expires, string(lot.ExpiresOn)}, {l.MadeOn, string(lot.MadeOn)}, {l.Article, lot.Article}} {
		if n.on.From != "" && n.book != "" && n.on.Text != n.book {
			notes = append(notes, "The label says "+n.on.What+" "+n.on.Text+"; the book says "+n.book+" of lot "+lot.Lot+". Find out which is right before the paste is used.")
		}
	}
	return notes
}
