package server

import (
	"context"
	"errors"
	"net/http"
	"strconv"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// checkpointsAPage is how many checkpoints a page has.
const checkpointsAPage = 50

// checkpoints answers GET /checkpoints.
func (s *Server) checkpoints(w http.ResponseWriter, r *http.Request) error {
	before, err := after(r)
	if err != nil {
		return err
	}
	b, err := s.store.Book(r.Context())
	if err != nil {
		return err
	}
	all, err := s.store.Checkpoints(r.Context(), before, checkpointsAPage)
	if err != nil {
		return err
	}
	p := views.Checkpoints{Frame: s.frame(r, "/book"), Entries: b.Size, Verifier: b.Verifier, Signs: s.store.Signs()}
	for _, c := range all {
		p.Kept = append(p.Kept, views.KeptCheckpoint{Size: c.Size, Root: c.Root})
	}
	if len(all) == checkpointsAPage {
		p.Older = "/checkpoints?after=" + strconv.FormatInt(all[len(all)-1].Size, 10)
	}
	if p.Signs && s.may(r, shop.KeyChanged{}, "") {
		f := blank("", "/checkpoints")
		p.Make = &f
	}
	return show(w, r, http.StatusOK, views.CheckpointsPage(p))
}

// checkpoint answers GET /checkpoints/{size}: the signed note as a file.
func (s *Server) checkpoint(w http.ResponseWriter, r *http.Request) error {
	size, err := strconv.ParseInt(pathWord(r, "size"), 10, 64)
	if err != nil {
		return shop.NotFound("checkpoint of the size", pathWord(r, "size"))
	}
	c, err := s.store.CheckpointAt(r.Context(), size)
	if err != nil {
		return err
	}
	return download(w, "text/plain; charset=utf-8", "checkpoint-"+strconv.FormatInt(size, 10)+".txt", []byte(c.Note))
}

// makeCheckpoint answers POST /checkpoints: whoever may change the key may
// sign by it.
func (s *Server) makeCheckpoint(w http.ResponseWriter, r *http.Request) error {
	if err := visitorOf(r).Person.MayRecord(shop.KeyChanged{}); err != nil {
		return err
	}
	if !s.store.Signs() {
		return shop.Conflict("This service has no key to sign with. Put the book's key file into its data folder and start it again.")
	}
	before, _, err := s.store.LatestCheckpoint(r.Context())
	if err != nil && !errors.Is(err, shop.ErrNotFound) {
		return err
	}
	if err := s.store.Checkpoint(r.Context()); err != nil {
		return err
	}
	size, _, err := s.store.LatestCheckpoint(r.Context())
	if err != nil {
		return err
	}
	notice := "The log was signed at its " + views.Whole(int(size)) + " entries."
	if size == before {
		notice = "Nothing was recorded since the newest checkpoint: it covers all " + views.Whole(int(size)) + " entries."
	}
	return seeOther(w, r, "/checkpoints", notice)
}

// seal signs the log after something left the house, so that its records can
// be proven from then on. What was recorded stands whether that succeeds or
// not.
func (s *Server) seal(ctx context.Context) {
	if !s.store.Signs() {
		return
	}
	if err := s.store.Checkpoint(context.WithoutCancel(ctx)); err != nil {
		s.log.Warn("no checkpoint was signed", "err", err)
	}
}
