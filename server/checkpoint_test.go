package server

import (
	"log/slog"
	"net/http"
	"net/url"
	"path/filepath"
	"strconv"
	"testing"

	"sinterbook/store"
	"sinterbook/store/shop"
)

func TestCheckpointsPage(t *testing.T) {
	b := staffed(t)
	b.get("900", "/checkpoints").says(http.StatusOK, "No checkpoint was signed yet.", "What a proof bundle proves", shop.BundleProves[0], "What it does not prove", shop.BundleLeaves[1])
	var sizes []string
	for n := range checkpointsAPage + 3 {
		b.put("601", shop.MouldReceived{Mould: "M-" + strconv.Itoa(n), Customer: "K1", Code: shop.NewScanCode()})
		if err := b.store.Checkpoint(t.Context()); err != nil {
			t.Fatal(err)
		}
		sizes = append([]string{strconv.FormatInt(b.size(), 10)}, sizes...)
	}
	first := b.get("900", "/checkpoints").says(http.StatusOK, "Keep it", "at 6, 14 and 22 o'clock")
	second := b.get("900", pagerLink(first, "next")).says(http.StatusOK).silent("Earlier ones")
	rows := append(first.rows("Root"), second.rows("Root")...)
	if len(rows) != len(sizes) {
		t.Fatalf("%d checkpoints are listed; want %d", len(rows), len(sizes))
	}
	for i, row := range rows {
		at, err := strconv.ParseInt(sizes[i], 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		root, err := b.store.Root(t.Context(), at)
		if err != nil {
			t.Fatal(err)
		}
		if row[0] != sizes[i]+" entries" || row[1] != root.String() {
			t.Errorf("line %d is %q; want %s and %v", i+1, row, sizes[i], root)
		}
	}
	kind, name, text := b.file("900", linkTo(first, "/checkpoints/"))
	_, note, err := b.store.LatestCheckpoint(t.Context())
	if err != nil || kind != "text/plain; charset=utf-8" || name != "attachment; filename=checkpoint-"+sizes[0]+".txt" || text != note {
		t.Errorf("the newest is %q, %q:\n%s\nwant\n%s(%v)", kind, name, text, note, err)
	}
	for _, path := range []string{"/checkpoints/1", "/checkpoints/one", "/checkpoints/-1"} {
		b.get("900", path).says(http.StatusNotFound, "There is no checkpoint of the size")
	}
}

// The quality manager signs the log on demand; nobody else is asked to, and
// nobody else can.
func TestCheckpointOnDemand(t *testing.T) {
	b := staffed(t)
	for _, badge := range []string{"900", "402", "700"} {
		if b.get(badge, "/checkpoints").form("/checkpoints") != nil {
			t.Errorf("badge %s is asked to sign the log", badge)
		}
	}
	form := b.get("601", "/checkpoints").mustForm("/checkpoints")
	b.post("900", form, nil).says(http.StatusForbidden, "An auditor reads and prints, and changes nothing.")
	b.post("402", form, nil).says(http.StatusForbidden, "it is for the quality manager")
	if all, err := b.store.Checkpoints(t.Context(), 0, 10); err != nil || len(all) != 0 {
		t.Errorf("it was signed: %v (%v)", all, err)
	}
	b.keyed("601")
	w := b.browser(b.serve())
	w.signIn("601")
	for _, want := range []string{"The log was signed at its ", "Nothing was recorded since the newest checkpoint"} {
		if p := w.post("/checkpoints", url.Values{}); p.to != "/checkpoints" {
			t.Fatalf("signing: %d to %q: %s", p.status, p.to, p.text())
		}
		w.get("/checkpoints").says(http.StatusOK, want, strconv.FormatInt(b.size(), 10))
	}
	if all, err := b.store.Checkpoints(t.Context(), 0, 10); err != nil || len(all) != 1 || all[0].Size != b.size() {
		t.Errorf("there are the checkpoints %v (%v)", all, err)
	}
}

// A service without the key says so and signs nothing, and what was recorded
// stands all the same.
func TestNoKeyNoCheckpointPage(t *testing.T) {
	b := &bookTest{TB: t}
	b.set(morning)
	var err error
	if b.store, err = store.Open(t.Context(), store.Options{DB: filepath.Join(t.TempDir(), "book.db"), Now: b.now}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.store.Close(); err != nil {
			t.Error(err)
		}
	})
	b.server = New(Config{Store: b.store, Log: slog.New(slog.NewTextHandler(t.Output(), nil))})
	b.put("", shop.BookOpened{Site: "Test Shop", Zone: "Europe/Vienna", Verifier: "sinterbook-test+1a2b3c4d+AaXy"})
	b.put("", shop.PersonAdded{Badge: "601", Roles: []shop.Role{shop.QualityManager}, From: "2025-01-01", Code: shop.NewScanCode()})
	p := b.get("601", "/checkpoints").says(http.StatusOK, "This service has no key to sign with")
	if p.form("/checkpoints") != nil {
		t.Error("it asks to sign the log")
	}
	b.keyed("601")
	w := b.browser(b.serve())
	w.signIn("601")
	w.post("/checkpoints", url.Values{}).says(http.StatusConflict, "This service has no key to sign with.")
	b.server.seal(t.Context())
	b.get("601", "/proof/person/601").says(http.StatusConflict, "No checkpoint of this book was signed yet")
}
