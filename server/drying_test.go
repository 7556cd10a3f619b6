package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// A green size that was typed wrong is put right where it was recorded: the form
// has what stands, and both stay in the history.
func TestGreenSizeIsCorrected(t *testing.T) {
	t.Parallel()
	b := staffed(t)
	b.opened("I-0029", "CR40")
	b.dried("I-0029", "PL-01")
	greens, err := b.store.GreenSizes(t.Context(), "I-0029")
	if err != nil || len(greens) == 0 {
		t.Fatalf("%d green sizes, %v", len(greens), err)
	}
	wrong := greens[0]
	page := b.get("204", "/station/I-0029?act=green").says(http.StatusOK, "Green sizes, and what they will become", "Correct the green size in "+wrong.Axis)
	href := ""
	for _, a := range elements(page.doc, "a") {
		if wordsIn(a) == "Correct the green size in "+wrong.Axis {
			href = attrOf(a, "href")
		}
	}
	page = b.get("204", href).says(http.StatusOK, "Correct a record", "Reason for the correction", wrong.Size.String()+" green in "+wrong.Axis)
	form := page.mustForm("/station/I-0029/green")
	b.post("204", form, url.Values{"reason": {""}}).says(http.StatusUnprocessableEntity, "reason")
	right := wrong.Size.Text[:len(wrong.Size.Text)-1] + "1"
	if p := b.post("204", form, url.Values{"size": {right}, "reason": {"last figure misread"}}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	after, err := b.store.GreenSizes(t.Context(), "I-0029")
	if err != nil || len(after) != len(greens)+1 {
		t.Fatalf("%d green sizes, %v; want %d", len(after), err, len(greens)+1)
	}
	last := after[0]
	for _, g := range after {
		if g.Seq == wrong.Seq && g.CorrectedBy == 0 {
			t.Errorf("%+v still stands", g)
		}
		if g.Seq > last.Seq {
			last = g
		}
	}
	if last.Size.Text != right || last.Axis != wrong.Axis || last.Gauge != wrong.Gauge || last.Size.Unit != wrong.Size.Unit {
		t.Errorf("in its place stands %+v; want %s", last, right)
	}
	b.get("204", "/station/I-0029?act=green").says(http.StatusOK, "replaced")
	if p := b.get("204", href); p.status != http.StatusNotFound || !strings.Contains(p.text(), "entry to correct") {
		t.Errorf("corrected once more: %d %s", p.status, p.text())
	}
}
