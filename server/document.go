package server

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// documentRoutes are where photos and papers are sent, which may be larger than
// any other form, and where they are seen.
func (s *Server) documentRoutes(r chi.Router) {
	r.Get("/documents/{document}", s.page(s.document))
	offer(s, r, s.newDocument())
	offer(s, r, s.newFiling())
	offer(s, r, s.newCertificate())
	s.actRoutes(r, true)
}

// documentPolicy lets a file that somebody sent do nothing at all, whatever a
// browser takes it for. The style is that with which a browser centres a picture.
const documentPolicy = "default-src 'none'; style-src 'unsafe-inline'; sandbox; frame-ancestors 'none'"

// document answers GET /documents/{document}: the bytes as they came. A photo
// opens in the browser. A paper is saved: browsers show no PDF under a policy
// that keeps it from running anything.
func (s *Server) document(w http.ResponseWriter, r *http.Request) error {
	entry, err := strconv.ParseInt(r.FormValue("entry"), 10, 64)
	if err != nil && r.FormValue("entry") != "" {
		return shop.Wrong("entry", "%q is not the number of an entry.", r.FormValue("entry"))
	}
	d, err := s.store.Document(r.Context(), pathWord(r, "document"), entry)
	if err != nil {
		return err
	}
	file, err := s.store.DocumentBytes(r.Context(), d.Document)
	if err != nil {
		return err
	}
	how := "attachment"
	if d.Picture() {
		how = "inline"
	}
	h := w.Header()
	h.Set("Content-Type", d.MediaType)
	h.Set("Content-Security-Policy", documentPolicy)
	h.Set("Content-Disposition", mime.FormatMediaType(how, map[string]string{"filename": d.Name}))
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	h.Set("ETag", `"`+d.Document+`"`)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(file))
	return nil
}

// newDocument is the form that puts a photo or a paper on a thing.
func (s *Server) newDocument() making[shop.DocumentAdded] {
	return making[shop.DocumentAdded]{
		path: "/new/document",
		start: func(r *http.Request, f *views.Form) error {
			kind, number := r.FormValue("on_kind"), r.FormValue("on_code")
			if !slices.Contains(shop.DocumentKinds, kind) || number == "" {
				return shop.Wrong("on_kind", "It is not said what the photo or paper is to be on. Open the page of the thing, or its history, and add it there.")
			}
			f.Values.Set("on_kind", kind)
			f.Values.Set("on_code", number)
			return nil
		},
		read: func(_ *http.Request, f *views.Form) (shop.DocumentAdded, error) {
			return oneDocument(*f, f.Value("on_kind"), f.Value("on_code"))
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			f.Upload = true
			return views.NewDocumentPage(views.New{Frame: s.frame(r, ""), Form: f}), nil
		},
		made: func(e shop.DocumentAdded) (to, notice string) {
			return views.PageOf(e.OnKind, e.OnCode), fmt.Sprintf("The %s %s is on %s %s.", shop.DocumentWord(e.MediaType), e.Name, e.OnKind, e.OnCode)
		},
	}
}

var actPhoto = act{
	name: views.ActPhoto, photos: true,
	event: func(f views.Form, insert string) (shop.Event, error) { return oneDocument(f, "insert", insert) },
	past: func(e shop.Event) string {
		d := e.(shop.DocumentAdded)
		return fmt.Sprintf("The %s %s was put on %s", shop.DocumentWord(d.MediaType), d.Name, d.OnCode)
	},
}

// oneDocument reads the one file of a form.
func oneDocument(f views.Form, kind, number string) (shop.DocumentAdded, error) {
	wrong := shop.Fields{}
	all := documents(wrong, f, kind, number)
	if len(all) > 1 {
		wrong.Say("photo", "These are %d files: send one at a time, each with what it shows.", len(all))
	}
	if len(all) == 0 {
		wrong.Say("photo", "The photo or paper is missing: choose a file.")
		all = []shop.DocumentAdded{noDocument(kind, number, f.Value("shows"))}
	}
	if err := wrong.Take(shop.Check(all[0])); err != nil {
		return all[0], err
	}
	return all[0], wrong.Err()
}

// noDocument stands for a file that did not come or is not taken, so that
// nothing else is said about it. It is never recorded.
func noDocument(kind, number, shows string) shop.DocumentAdded {
	return shop.DocumentAdded{Document: shop.DocumentNamed(nil), MediaType: shop.DocumentTypes()[0], Size: 1, Name: "file", OnKind: kind, OnCode: number, Shows: shows}
}

// documents reads the files of a form. What cannot be kept is said at the field
// and left out.
func documents(wrong shop.Fields, f views.Form, kind, number string) []shop.DocumentAdded {
	var all []shop.DocumentAdded
	for _, file := range f.Files {
		mediaType := sniffed(file.Bytes)
		name := shop.DocumentName(file.Name, mediaType)
		switch {
		case file.Larger:
			wrong.Say("photo", "The file %s is larger than %s. Take the photo with fewer pixels, or scan the paper coarser, and send it again.", name, views.Bytes(shop.DocumentLimit))
		case len(file.Bytes) == 0:
			wrong.Say("photo", "The file %s is empty. Choose it again.", name)
		case shop.DocumentWord(mediaType) == "":
			wrong.Say("photo", "The file %s is not of a kind that every browser shows: expected is a JPEG, PNG or WebP photo, or a PDF; by its bytes it is %s.%s", name, mediaType, heic(file.Bytes))
		default:
			all = append(all, shop.DocumentAdded{Document: shop.DocumentNamed(file.Bytes), MediaType: mediaType, Size: int64(len(file.Bytes)), Name: name,
				OnKind: kind, OnCode: number, Shows: f.Value("shows"), Bytes: file.Bytes})
		}
	}
	return all
}

// sniffed is what a file is by its first bytes; a name can say anything.
func sniffed(file []byte) string {
	mediaType, _, _ := mime.ParseMediaType(http.DetectContentType(file))
	return mediaType
}

// heic says what to do about the form in which some cameras save by themselves
// (ISO/IEC 23008-12: the brand stands at byte 8 of an ISO base media file).
func heic(file []byte) string {
	if len(file) < 12 || string(file[4:8]) != "ftyp" {
		return ""
	}
	switch string(file[8:12]) {
	case "heic", "heix", "mif1", "avif":
		return " Set the camera to save JPEG."
	}
	return ""
}

// inParts reports whether a form was sent in parts, as one with files is.
func inParts(r *http.Request) bool {
	mediaType, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	return mediaType == "multipart/form-data"
}

// parts reads a form that was sent in parts, one part after the other: a file
// that is too large is passed over, never gathered. It fills in r.PostForm, and
// returns the names of the fields in their order.
func parts(r *http.Request) (fields []string, files []views.File, err error) {
	form, err := r.MultipartReader()
	if err != nil {
		return nil, nil, err
	}
	r.PostForm = url.Values{}
	text := &io.LimitedReader{N: bodyLimit} // for all fields together
	for {
		p, err := form.NextPart()
		if errors.Is(err, io.EOF) && len(fields) == 0 {
			return nil, nil, io.ErrUnexpectedEOF
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, nil, err
		}
		fields = append(fields, p.FormName())
		if name, isFile := sentName(p); isFile {
			file, err := fileOf(p, name)
			if err != nil {
				return nil, nil, err
			}
			if name != "" || len(file.Bytes) > 0 || file.Larger { // a browser sends one without both where none was chosen
				files = append(files, file)
			}
			continue
		}
		text.R = p
		value, err := io.ReadAll(text)
		if err != nil {
			return nil, nil, err
		}
		if text.N <= 0 {
			return nil, nil, &http.MaxBytesError{Limit: bodyLimit}
		}
		r.PostForm.Add(p.FormName(), string(value))
	}
	r.Form = url.Values{}
	for _, all := range []url.Values{r.PostForm, r.URL.Query()} {
		for field, values := range all {
			r.Form[field] = append(r.Form[field], values...)
		}
	}
	return fields, files, nil
}

// sentName is the name of a part's file as it was sent: the library's own reader
// of it takes the folders of this computer off, not those of another.
func sentName(p *multipart.Part) (name string, isFile bool) {
	_, words, err := mime.ParseMediaType(p.Header.Get("Content-Disposition"))
	if err != nil {
		return "", false
	}
	name, isFile = words["filename"]
	return name, isFile
}

// fileOf reads a file, or passes over one that is too large.
func fileOf(p *multipart.Part, name string) (views.File, error) {
	file := views.File{Name: name}
	var err error
	if file.Bytes, err = io.ReadAll(io.LimitReader(p, shop.DocumentLimit+1)); err != nil {
		return file, err
	}
	if len(file.Bytes) > shop.DocumentLimit {
		file.Bytes, file.Larger = nil, true
		_, err = io.Copy(io.Discard, p)
	}
	return file, err
}
