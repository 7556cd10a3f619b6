package server

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"sinterbook/store"
	"sinterbook/store/shop"
)

// file is what is answered as a file, and the name that it has.
func (b *bookTest) file(badge, path string) (kind, name, text string) {
	b.Helper()
	w := httptest.NewRecorder()
	b.pages(badge).ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	if w.Code != http.StatusOK {
		b.Errorf("%s answers %d: %.300s", path, w.Code, w.Body)
	}
	return w.Header().Get("Content-Type"), w.Header().Get("Content-Disposition"), w.Body.String()
}

// checks fails the test unless a proof is good by the key of the book.
func (b *bookTest) checks(bundle, since string) store.Bundled {
	b.Helper()
	book, err := b.store.Book(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	r, err := store.CheckBundle(strings.NewReader(bundle), store.BundleKey{Verifier: book.Verifier, Since: since})
	if err != nil {
		b.Errorf("check says: %v", err)
	}
	return r
}

// Whoever is signed in takes the proof of a history home, an auditor too.
func TestProofIsDownloaded(t *testing.T) {
	b := inspected(t)
	b.get("900", "/history/insert/I-0029").says(http.StatusOK, "No checkpoint of this log was signed yet").silent("Download its proof")
	b.get("900", "/proof/insert/I-0029").says(http.StatusConflict, "No checkpoint of this book was signed yet")
	if err := b.store.Checkpoint(t.Context()); err != nil {
		t.Fatal(err)
	}
	size, old, err := b.store.LatestCheckpoint(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	b.put("402", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0029", Why: "looks bent"})
	b.get("900", "/proof/hold/H-001").says(http.StatusConflict, "The newest checkpoint covers no entry about hold H-001")
	for path, want := range map[string]struct{ name, subject string }{
		"/history/insert/I-0029":        {"proof-insert-I-0029.jsonl", "insert I-0029"},
		"/history/release/DR-02%20A":    {"proof-release-DR-02-A.jsonl", "release DR-02 A"},
		"/history/container/L2509-A/01": {"proof-container-L2509-A-01.jsonl", "container L2509-A/01"},
	} {
		p := b.get("900", path).says(http.StatusOK, "Download its proof", "What such a proof shows")
		link := linkTo(p, "/proof/")
		kind, name, text := b.file("900", link)
		if kind != "application/jsonl" || name != "attachment; filename="+want.name {
			t.Errorf("%s is %q, %q", link, kind, name)
		}
		if r := b.checks(text, old); r.Subject() != want.subject || !r.Sealed || r.Since != size {
			t.Errorf("%s is about %+v", link, r)
		}
		b.get("900", path+"?print=1").silent("Download its proof", "What such a proof shows")
	}
	b.get("900", "/proof/insert/I-9999").says(http.StatusNotFound, "There is no insert I-9999 in this book.")
}

// linkTo is the first address on a page that begins so.
func linkTo(p shownPage, begins string) string {
	p.Helper()
	for _, to := range p.links() {
		if strings.HasPrefix(to, begins) {
			return to
		}
	}
	p.Fatalf("no link begins with %s", begins)
	return ""
}

// A size at which no checkpoint was kept is proven when it is asked for.
func TestProofSince(t *testing.T) {
	b := inspected(t)
	if err := b.store.Checkpoint(t.Context()); err != nil {
		t.Fatal(err)
	}
	_, _, text := b.file("900", "/proof/insert/I-0029?since=7")
	if r := b.checks(text, ""); len(r.Earlier) != 1 || r.Earlier[0] != 7 {
		t.Errorf("there are proofs from %v; want from 7", r.Earlier)
	}
	for since, want := range map[string]string{"seven": "is not the number of entries of a checkpoint", "-7": "is not the number", "0": "is not the number", "99999": "there is no proof that leads to it from 99999"} {
		b.get("900", "/proof/insert/I-0029?since="+since).says(http.StatusUnprocessableEntity, want)
	}
}

// A delivery is signed with everything before it, before the answer is given.
func TestDeliveryIsSigned(t *testing.T) {
	b := fittedMould(t)
	b.keyed("601")
	form := b.get("601", "/moulds/M301").mustForm("/moulds/M301")
	b.post("601", form, url.Values{"note": {"DN-7"}, "pin": {"wrong"}})
	if all, err := b.store.Checkpoints(t.Context(), 0, 10); err != nil || len(all) != 0 {
		t.Errorf("what was refused is signed: %v (%v)", all, err)
	}
	if p := b.post("601", form, url.Values{"note": {"DN-7"}, "pin": {rightPIN}}); p.status != http.StatusSeeOther {
		t.Fatalf("delivering: %d %s", p.status, p.text())
	}
	_, _, text := b.file("900", "/proof/mould/M301")
	r := b.checks(text, "")
	if r.Size != b.size() || r.Last != b.size()-1 || !strings.Contains(text, `"mould-shipped"`) {
		t.Errorf("the proof of the mould is %+v; want the delivery in it, the last of %d entries", r, b.size())
	}
}
