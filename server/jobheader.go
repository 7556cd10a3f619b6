package server

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strconv"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// jobForm answers GET /station/{insert}/job: the page on which a job header is
// chosen, with what was scanned and typed so far.
func (s *Server) jobForm(w http.ResponseWriter, r *http.Request) error {
	return s.showJob(w, r, http.StatusOK, views.Form{Values: r.URL.Query()})
}

func (s *Server) showJob(w http.ResponseWriter, r *http.Request, status int, f views.Form) error {
	i, err := s.store.Insert(r.Context(), pathWord(r, "insert"))
	if err != nil {
		return err
	}
	keep := carried(f.Values)
	f.Command = cmp.Or(keep.Get("command"), blank("", "").Command) // of the print, which is recorded later
	keep.Del("command")
	f.Action, f.Upload = views.JobOf(i.Insert, nil), true
	return show(w, r, status, views.JobPageOf(views.JobPage{New: views.New{Frame: s.frame(r, "/station"), Form: f}, Insert: i.Insert, Keep: keep}))
}

// takeJob answers POST /station/{insert}/job. The form of the print leads to the
// page of the job header, with what was typed. From there comes a file: what it
// says fills in the form of the print, and its text goes along as a scan does.
// Nothing is recorded.
func (s *Server) takeJob(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "")
	if err != nil {
		return err
	}
	if v := visitorOf(r).Person; v.Has(shop.Auditor) {
		return v.MayRecord(shop.PrintStarted{})
	}
	q := carried(f.Values)
	if !inParts(r) {
		if n := len(q.Encode()); n > addressLimit {
			return s.misread(w, r, fmt.Sprintf("What you typed is too long to go along to the job header, by about %d characters: shorten it. It still stands below.", n-addressLimit))
		}
		return seeOther(w, r, views.JobOf(pathWord(r, "insert"), q), "")
	}
	text, err := jobText(f)
	if err == nil {
		err = s.jobFields(r, q, text)
	}
	if err != nil {
		if err := returned(&f, err); err != nil {
			return err
		}
		return s.showJob(w, r, http.StatusUnprocessableEntity, f)
	}
	q.Add(scannedField, text)
	q.Set("act", views.ActPrintStart)
	return seeOther(w, r, benchAt(pathWord(r, "insert"), q), "Filled in from the job header. Nothing is recorded yet.")
}

// jobText is the file that was sent.
func jobText(f views.Form) (string, error) {
	switch {
	case len(f.Files) == 0:
		return "", shop.Wrong("job", "Choose the file of the job header.")
	case f.Files[0].Larger:
		return "", shop.Wrong("job", "The file is too large to be a job header: %d bytes are allowed.", shop.JobHeaderMost)
	}
	return string(f.Files[0].Bytes), nil
}

// jobFields puts what a job header says into the fields of the print. One whose
// lengths are in another unit than the drawing of the insert on the bench fills
// in nothing; where none lies there yet, the next one is compared.
func (s *Server) jobFields(r *http.Request, q url.Values, text string) error {
	h, err := shop.ReadJobHeader(text)
	if err != nil {
		return err
	}
	if insert := pathWord(r, "insert"); insert != "" {
		if err := s.sameUnit(r.Context(), insert, h); err != nil {
			return err
		}
	}
	for field, value := range map[string]string{"program_sha256": h.ProgramHash, "kx": h.KX.Text, "ky": h.KY.Text, "kz": h.KZ.Text, "layers": strconv.Itoa(h.Layers)} {
		q.Set(field, value)
	}
	return nil
}

// sameUnit compares a job header's unit with the drawing of an insert.
func (s *Server) sameUnit(ctx context.Context, insert string, h shop.JobHeader) error {
	i, err := s.store.Insert(ctx, insert)
	if err != nil {
		return err
	}
	d, err := s.store.Design(ctx, i.Design, i.Revision)
	if err != nil {
		return err
	}
	return h.DrawnIn(d)
}

// jobsFit compares the unit of the job header that a print was filled in from, one
// of the scans that go along, with the drawing of its insert.
func (s *Server) jobsFit(ctx context.Context, insert string, f url.Values) error {
	for _, raw := range f[scannedField] {
		text, _ := shop.Unwrapped(raw)
		if h, err := shop.ReadJobHeader(text); err == nil && h.ProgramHash == hexadecimal(f.Get("program_sha256")) {
			if err := s.sameUnit(ctx, insert, h); err != nil {
				return err
			}
		}
	}
	return nil
}
