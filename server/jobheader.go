package server

import (
	"net/http"
	"net/url"
	"strconv"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// jobForm answers GET /station/{insert}/job: the page on which a job header is
// chosen, with what was scanned so far.
func (s *Server) jobForm(w http.ResponseWriter, r *http.Request) error {
	f := blank("", "")
	for field, list := range carried(r.URL.Query()) {
		f.Values[field] = list
	}
	return s.showJob(w, r, http.StatusOK, f)
}

func (s *Server) showJob(w http.ResponseWriter, r *http.Request, status int, f views.Form) error {
	i, err := s.store.Insert(r.Context(), pathWord(r, "insert"))
	if err != nil {
		return err
	}
	f.Action, f.Upload = views.JobOf(i.Insert, nil), true
	return show(w, r, status, views.JobPageOf(views.JobPage{New: views.New{Frame: s.frame(r, "/station"), Form: f}, Insert: i.Insert, Keep: carried(f.Values)}))
}

// takeJob answers POST /station/{insert}/job. What the header says fills in the
// form of the print; its text goes along as a scan does. Nothing is recorded.
func (s *Server) takeJob(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "")
	if err != nil {
		return err
	}
	if v := visitorOf(r).Person; v.Has(shop.Auditor) {
		return v.MayRecord(shop.PrintStarted{})
	}
	text, err := jobText(f)
	q := carried(f.Values)
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
// lengths are in another unit than the insert's drawing fills in nothing.
func (s *Server) jobFields(r *http.Request, q url.Values, text string) error {
	h, err := shop.ReadJobHeader(text)
	if err != nil {
		return err
	}
	if err := s.sameUnit(r, h); err != nil {
		return err
	}
	for field, value := range map[string]string{"program_sha256": h.ProgramHash, "kx": h.KX.Text, "ky": h.KY.Text, "kz": h.KZ.Text, "layers": strconv.Itoa(h.Layers)} {
		q.Set(field, value)
	}
	return nil
}

// sameUnit compares a job header's unit with the drawing of the insert on the
// bench; where none lies on it yet, there is nothing to compare with.
func (s *Server) sameUnit(r *http.Request, h shop.JobHeader) error {
	insert := pathWord(r, "insert")
	if insert == "" {
		return nil
	}
	i, err := s.store.Insert(r.Context(), insert)
	if err != nil {
		return err
	}
	d, err := s.store.Design(r.Context(), i.Design, i.Revision)
	if err != nil {
		return err
	}
	return h.DrawnIn(d)
}
