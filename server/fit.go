package server

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"github.com/google/uuid"

	"sinterbook/store/shop"
	"sinterbook/views"
)

var actFit = act{
	name: views.ActFit, operation: shop.OpFit,
	event: fitted,
	past: func(e shop.Event) string {
		n := e.(shop.FitUpDone)
		return fmt.Sprintf("%s fitted in %s at %s", n.Insert, n.Mould, n.Place) + views.WithPhotos(len(n.Photos))
	},
	photos: true,
	probe: func(p views.Work) shop.Act {
		mould := p.Order.Mould
		if m := p.Form.Value("mould"); m != "" {
			mould = m
		}
		return shop.FitUpDone{Insert: p.Insert.Insert, Mould: mould, Place: "place", Shim: shop.MustReading("0", "um")}
	},
}

// fitted reads what the toolmaker found and did.
func fitted(f views.Form, insert string) (shop.Event, error) {
	wrong := shop.Fields{}
	length := func(field, unit string) shop.Reading {
		return taken(wrong, &f, field, unit, map[string]string{"unit": "The unit of pocket and gaps", "shim_unit": "The unit of shims and stock"}[unit], shop.Length)
	}
	e := shop.FitUpDone{
		Insert: insert, Mould: f.Value("mould"), Place: strings.TrimSpace(f.Value("place")), Shim: length("shim", "shim_unit"),
		PocketX: length("pocket_x", "unit"), PocketY: length("pocket_y", "unit"), GapX: length("gap_x", "unit"), GapY: length("gap_y", "unit"),
		Spotting: wrong.Read("spotting", f.Value("spotting"), "%", shop.Percentage), Hours: wrong.Read("hours", f.Value("hours"), "h", shop.Duration),
		Note: f.Value("note"),
	}
	for _, name := range shop.Faces {
		face := shop.Face{Face: name, Removed: length("removed."+name, "shim_unit"), Added: length("added."+name, "shim_unit"), Shim: length("shim."+name, "shim_unit")}
		if face.Worked() {
			e.Faces = append(e.Faces, face)
		}
	}
	e.Photos = documents(wrong, f, "insert", insert)
	if len(e.Photos) > 0 && strings.TrimSpace(f.Value("shows")) == "" {
		wrong.Say("shows", "What the photos show is missing.")
		for i := range e.Photos {
			e.Photos[i].Shows = follows
		}
	}
	return valid(wrong, e)
}

// fitAsTyped is a fit note that stands, as its form had it.
func fitAsTyped(p views.Work, seq int64) (words string, values map[string]string) {
	for _, n := range p.Fits {
		if n.Seq != seq {
			continue
		}
		values = map[string]string{"mould": n.Mould, "place": n.Place, "shim": n.Shim.Text, "shim_unit": n.Shim.Unit,
			"pocket_x": n.PocketX.Text, "pocket_y": n.PocketY.Text, "gap_x": n.GapX.Text, "gap_y": n.GapY.Text,
			"unit": firstUnit(n.PocketX, n.PocketY, n.GapX, n.GapY), "spotting": n.Spotting.Text, "hours": n.Hours.Text, "note": n.Note}
		for _, face := range n.Faces {
			values["removed."+face.Face], values["added."+face.Face], values["shim."+face.Face] = face.Removed.Text, face.Added.Text, face.Shim.Text
		}
		return views.FitWords(n), values
	}
	return "", nil
}

func firstUnit(readings ...shop.Reading) string {
	for _, r := range readings {
		if r.Taken() {
			return r.Unit
		}
	}
	return ""
}

// keepPhotos puts the photos of a fit that was refused on the insert, by an
// entry of their own: no browser sends a chosen file a second time. What the
// book does not take of them is chosen again with the rest.
func (s *Server) keepPhotos(r *http.Request, f *views.Form, insert string) error {
	kept, seen, left := 0, map[string]bool{}, []views.File(nil)
	for _, file := range f.Files {
		one := views.Form{Command: uuid.Must(uuid.NewV7()).String(), Values: url.Values{"shows": f.Values["shows"]}, Files: []views.File{file}}
		photo, err := oneDocument(one, "insert", insert)
		if err == nil && seen[photo.Document] {
			continue // chosen twice, which its field says
		}
		if err == nil {
			seen[photo.Document] = true
			_, err = s.record(r, &one, photo)
		}
		_, malformed := errors.AsType[*shop.Invalid](err)
		_, refused := errors.AsType[*shop.Refusal](err)
		if err != nil && !malformed && !refused {
			return err
		}
		if err != nil || one.Returned() {
			left = append(left, file)
			continue
		}
		kept++
	}
	f.Files = left
	if kept > 0 {
		f.Noted = views.PhotosKept(kept, insert)
	}
	return nil
}
