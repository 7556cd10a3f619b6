package server

import (
	"cmp"
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newFactor is the form that puts a factor of a lot into force.
func (s *Server) newFactor() making[shop.FactorSet] {
	return making[shop.FactorSet]{
		path: "/new/factor", meaning: "I put this factor into force.",
		start: startsWith("lot"),
		read: func(_ *http.Request, f *views.Form) (shop.FactorSet, error) {
			said := shop.Fields{}
			e := shop.FactorSet{Lot: f.Value("lot"), Axis: f.Value("axis"), S: said.Read("s", f.Value("s"), "%", shop.Percentage), K: said.Read("k", f.Value("k"), "1", shop.Ratio), Basis: strings.TrimSpace(f.Value("basis"))}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			lots, err := s.store.Lots(r.Context())
			return views.NewFactorPage(views.New{Frame: s.frame(r, "/lots"), Form: f}, lots), err
		},
		made: func(e shop.FactorSet) (to, notice string) {
			return views.PageOf("lot", e.Lot), "The factor of " + e.Lot + " in " + e.Axis + " is " + e.K.Text + " from now on."
		},
	}
}

// newCertificate is the form for the maker's certificate of a lot.
func (s *Server) newCertificate() making[shop.CertificateEntered] {
	return making[shop.CertificateEntered]{
		path:  "/new/certificate",
		start: startsWith("lot"),
		more:  moreLines,
		read: func(_ *http.Request, f *views.Form) (shop.CertificateEntered, error) {
			e := shop.CertificateEntered{Lot: f.Value("lot")}
			said := shop.Fields{}
			for n := range closeUp(f, "lines", "value", "unit", "lower", "upper") {
				e.Lines = append(e.Lines, certificateLine(said, f, n+1))
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			lots, err := s.store.Lots(r.Context())
			return views.NewCertificatePage(views.New{Frame: s.frame(r, "/lots"), Form: f}, lots), err
		},
		made: func(e shop.CertificateEntered) (to, notice string) {
			return views.PageOf("lot", e.Lot), "The certificate of " + e.Lot + " was entered."
		},
	}
}

// certificateLine reads a line of a certificate. What is missing in it is said
// there, and not once more about the table.
func certificateLine(said shop.Fields, f *views.Form, n int) shop.CertificateLine {
	at := func(column string) string { return views.Cell("lines", n, column) }
	for column, what := range map[string]string{"": "The property", "value": "The value", "unit": "The unit"} {
		said.Need(at(column), f.Value(at(column)), what)
	}
	return shop.CertificateLine{Property: cmp.Or(f.Value(at("")), follows), Value: cmp.Or(strings.TrimSpace(f.Value(at("value"))), "0"), Unit: cmp.Or(f.Value(at("unit")), follows),
		Lower: strings.TrimSpace(f.Value(at("lower"))), Upper: strings.TrimSpace(f.Value(at("upper")))}
}
