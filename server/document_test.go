package server

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/textproto"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/net/html"

	"sinterbook/store/shop"
)

// picture is a photo of some size; the seed makes it another one.
func picture(t testing.TB, seed uint8, width, height int, encode func(io.Writer, image.Image) error) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			m.Set(x, y, color.RGBA{uint8(x) ^ uint8(y), uint8(x * 255 / width), seed, 255})
		}
	}
	var b bytes.Buffer
	if err := encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(t testing.TB, seed uint8) []byte { return picture(t, seed, 8, 6, png.Encode) }

func asJPEG(t testing.TB, seed uint8) []byte {
	return picture(t, seed, 640, 480, func(w io.Writer, m image.Image) error { return jpeg.Encode(w, m, nil) })
}

// webp is a picture of one point, as a browser made it.
var webp, _ = base64.StdEncoding.DecodeString("UklGRiIAAABXRUJQVlA4IBYAAAAwAQCdASoBAAEADsD+JaQAA3AAAAAA")

// A part is a file as a browser sends it: its name stands in the header, as it is.
type part struct {
	name string
	file []byte
}

// inPartsOf is a form with files, as the page before had it, with some fields
// filled in.
func inPartsOf(t testing.TB, form *html.Node, fields url.Values, files ...part) (body *bytes.Buffer, contentType string) {
	t.Helper()
	values := url.Values{}
	for _, n := range elements(form, "input", "textarea", "select") {
		if kind := attrOf(n, "type"); kind != "checkbox" && kind != "file" && attrOf(n, "name") != "" {
			values.Set(attrOf(n, "name"), valueOf(n))
		}
	}
	for name, v := range fields {
		values[name] = v
	}
	body = &bytes.Buffer{}
	w := multipart.NewWriter(body)
	for name := range values {
		if err := w.WriteField(name, values.Get(name)); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range files {
		head := textproto.MIMEHeader{"Content-Type": {"application/octet-stream"},
			"Content-Disposition": {`form-data; name="photo"; filename="` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(f.name) + `"`}}
		p, err := w.CreatePart(head)
		if err == nil {
			_, err = p.Write(f.file)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return body, w.FormDataContentType()
}

// attach sends a form with files.
func (b *bookTest) attach(badge string, form *html.Node, fields url.Values, files ...part) shownPage {
	b.Helper()
	if attrOf(form, "enctype") != "multipart/form-data" {
		b.Fatal("the form takes no files")
	}
	body, contentType := inPartsOf(b.TB, form, fields, files...)
	r := httptest.NewRequest(http.MethodPost, attrOf(form, "action"), body)
	r.Header.Set("Content-Type", contentType)
	return b.answer(badge, r)
}

// newDocument is the form that puts a document on an insert.
func (b *bookTest) newDocument(badge, insert string) *html.Node {
	b.Helper()
	return b.get(badge, "/new/document?on_kind=insert&on_code="+insert).says(http.StatusOK, "It will be on insert "+insert).mustForm("/new/document")
}

// asked is the raw answer to a GET.
func (b *bookTest) asked(badge, path string, header ...string) *http.Response {
	b.Helper()
	r := httptest.NewRequest(http.MethodGet, path, nil)
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	b.pages(badge).ServeHTTP(w, r)
	return w.Result()
}

// A photo goes in as it is and comes out as it was, to the last byte, under
// headers that let it do nothing; the traveler and the history show it.
func TestPhotoOfAnInsert(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	file := asJPEG(t, 1)
	p := b.attach("501", b.newDocument("501", "I-0001"), url.Values{"shows": {"flash at the\nshut-off"}}, part{"Foto 1 „µ“.jpg", file})
	if p.status != http.StatusSeeOther || p.to != "/inserts/I-0001" {
		t.Fatalf("status %d to %q: %s", p.status, p.to, p.text())
	}
	page := b.get("900", "/inserts/I-0001").says(http.StatusOK, "Photos and papers", "flash at the shut-off", "Foto 1 „µ“.jpg", "501 2025-10-20 08:00")
	images := elements(page.doc, "img")
	if len(images) != 1 || attrOf(images[0], "alt") != "Photo: flash at the\nshut-off" {
		t.Fatalf("%d pictures", len(images))
	}
	src := attrOf(images[0], "src")
	got := b.asked("900", src)
	back, err := io.ReadAll(got.Body)
	if err != nil || !bytes.Equal(back, file) || got.StatusCode != http.StatusOK {
		t.Errorf("status %d, %d bytes come back of %d, %v", got.StatusCode, len(back), len(file), err)
	}
	kind, words, err := mime.ParseMediaType(got.Header.Get("Content-Disposition"))
	if err != nil || kind != "inline" || words["filename"] != "Foto 1 „µ“.jpg" {
		t.Errorf("the disposition is %q, read as %s %q, %v", got.Header.Get("Content-Disposition"), kind, words, err)
	}
	document := shop.DocumentNamed(file)
	for name, want := range map[string]string{"Content-Type": "image/jpeg", "Cache-Control": "private, max-age=31536000, immutable", "ETag": `"` + document + `"`, "Content-Security-Policy": documentPolicy} {
		if is := got.Header.Get(name); is != want {
			t.Errorf("%s is %q; want %q", name, is, want)
		}
	}
	if again := b.asked("900", src, "If-None-Match", `"`+document+`"`); again.StatusCode != http.StatusNotModified {
		t.Errorf("asked again: %d", again.StatusCode)
	}
	history := b.get("900", "/history/insert/I-0001").says(http.StatusOK, "The photo “Foto 1 „µ“.jpg” was put on insert I-0001 (image/jpeg,", document, "It shows: flash at the shut-off.", "Open the photo").silent("Add a photo")
	if !slices.Contains(history.links(), src) {
		t.Errorf("the history leads to %q; want %s", history.links(), src)
	}
	b.get("501", "/history/insert/I-0001").says(http.StatusOK, "Add a photo or a paper")
	b.attach("501", b.newDocument("501", "I-0001"), url.Values{"shows": {"again"}}, part{"Foto 1 „µ“.jpg", file}).says(http.StatusConflict, "is on insert I-0001 already, as entry")
	b.get("900", "/new/document?on_kind=insert&on_code=I-0001").says(http.StatusForbidden, "An auditor reads")
	b.get("501", "/new/document").says(http.StatusUnprocessableEntity, "It is not said what the photo or paper is to be on")
	b.get("501", "/new/document?on_kind=person&on_code=402").says(http.StatusUnprocessableEntity, "It is not said")
}

// What a file is, is decided by its bytes. What is not taken gets a sentence,
// what was typed is still there, and nothing is stored.
func TestFilesThatAreNotTaken(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	heic := append([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), make([]byte, 100)...)
	before := b.entries()
	for _, tt := range []struct {
		name  string
		shows string
		files []part
		want  string
	}{
		{"none", "x", nil, "The photo or paper is missing: choose a file."},
		{"a browser's empty field", "x", []part{{"", nil}}, "The photo or paper is missing: choose a file."},
		{"empty", "x", []part{{"a.jpg", nil}}, "The file a.jpg is empty. Choose it again."},
		{"text called a photo", "x", []part{{"a.jpg", []byte("hello")}}, "by its bytes it is text/plain."},
		{"a page called a photo", "x", []part{{"a.png", []byte("<!doctype html><script>alert(1)</script>")}}, "by its bytes it is text/html."},
		{"a drawing with script in it", "x", []part{{"a.svg", []byte(`<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>`)}}, "by its bytes it is text/xml."},
		{"a picture that moves", "x", []part{{"a.jpg", []byte("GIF89a\x01\x00\x01\x00\x00\x00\x00;")}}, "by its bytes it is image/gif."},
		{"what a camera may save", "x", []part{{"a.heic", heic}}, "Set the camera to save JPEG."},
		{"too large", "x", []part{{"a.jpg", slices.Concat(asJPEG(t, 1), make([]byte, shop.DocumentLimit))}}, "The file a.jpg is larger than 12 MiB."},
		{"two", "x", []part{{"a.png", asPNG(t, 1)}, {"b.png", asPNG(t, 2)}}, "These are 2 files: send one at a time"},
		{"without words", " ", []part{{"a.png", asPNG(t, 1)}}, "What it shows is missing."},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := b.attach("501", b.newDocument("501", "I-0001"), url.Values{"shows": {tt.shows}}, tt.files...)
			p.says(http.StatusUnprocessableEntity, "Nothing was stored", tt.want).linked()
			if got := wordsIn(namedField(t, p.mustForm("/new/document"), "shows")); got != strings.TrimSpace(tt.shows) {
				t.Errorf("what it shows is now %q; want %q", got, tt.shows)
			}
			if len(tt.files) > 0 && tt.files[0].name != "" {
				p.says(http.StatusUnprocessableEntity, "Not stored yet: choose the")
			}
		})
	}
	if after := b.entries(); after != before {
		t.Errorf("the log grew from %d to %d", before, after)
	}
	for name, file := range map[string][]byte{"a.bin": webp, "b.png": asJPEG(t, 3), "c": []byte("%PDF-1.7\n%âãÏÓ\n")} {
		if p := b.attach("501", b.newDocument("501", "I-0001"), url.Values{"shows": {"good"}}, part{name, file}); p.status != http.StatusSeeOther {
			t.Errorf("%s: %d %s", name, p.status, p.text())
		}
	}
	page := b.get("501", "/inserts/I-0001").says(http.StatusOK, "Save the paper c")
	for _, link := range page.links() {
		if strings.HasPrefix(link, "/documents/") && strings.Contains(link, shop.DocumentNamed([]byte("%PDF-1.7\n%âãÏÓ\n"))) {
			got := b.asked("501", link)
			if kind := got.Header.Get("Content-Type"); kind != "application/pdf" || got.Header.Get("Content-Disposition") != "attachment; filename=c" {
				t.Errorf("the paper is %s, %q", kind, got.Header.Get("Content-Disposition"))
			}
		}
	}
}

// Case 24: names with folders in them name nothing but themselves.
func TestNamesWithFoldersInThem(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	folder := filesAround(t, b)
	file := asPNG(t, 7)
	long := strings.Repeat("a", 300) + ".csv"
	for _, tt := range []struct{ sent, listed string }{
		{"../../outside.txt", "outside.txt"}, {`..\..\Outside.txt`, "Outside.txt"}, {"/outside2.txt", "outside2.txt"}, {`C:\reports\outside3.txt`, "outside3.txt"},
		{"..", "photo.png"}, {".hidden", ".hidden"}, {"NUL.txt", "NUL.txt"}, {"report .", "report ."}, {long, strings.Repeat("a", 251) + ".csv"},
		{"sub/folder/r.csv", "r.csv"}, {"%2e%2e%2foutside.txt", "%2e%2e%2foutside.txt"}, {"lots.db", "lots.db"}, {"say \"x\".png", `say "x".png`}, {"gnp.\u202e.exe", "gnp..exe"},
	} {
		p := b.attach("501", b.newDocument("501", "I-0001"), url.Values{"shows": {"shown as " + tt.listed}}, part{tt.sent, file})
		if p.status != http.StatusSeeOther {
			t.Errorf("%q: %d %s", tt.sent, p.status, p.text())
		}
	}
	for _, sent := range []string{".", ""} { // made up, and made up already: one name never stands for two entries
		b.attach("501", b.newDocument("501", "I-0001"), url.Values{"shows": {"x"}}, part{sent, file}).says(http.StatusConflict, "photo.png is on insert I-0001 already")
	}
	if p := b.attach("501", b.newDocument("501", "I-0001"), url.Values{"shows": {"x"}}, part{"report.csv\x00.png", asPNG(t, 8)}); p.status < 400 {
		b.get("501", "/inserts/I-0001").says(http.StatusOK, "report.csv.png")
	}
	all, err := b.store.DocumentsOn(t.Context(), "insert", "I-0001")
	if err != nil || len(all) < 14 {
		t.Fatalf("%d documents, %v", len(all), err)
	}
	for _, d := range all {
		if d.Shows != "x" && d.Shows != "shown as "+d.Name {
			t.Errorf("%q is listed as %q", d.Shows, d.Name)
		}
		got := b.asked("501", fmt.Sprintf("/documents/%s?entry=%d", d.Document, d.Seq))
		back, err := io.ReadAll(got.Body)
		_, words, wrong := mime.ParseMediaType(got.Header.Get("Content-Disposition"))
		if err != nil || shop.DocumentNamed(back) != d.Document || wrong != nil || words["filename"] != d.Name {
			t.Errorf("%q comes back as %q with %d bytes, %v", d.Name, got.Header.Get("Content-Disposition"), len(back), err)
		}
	}
	for _, odd := range []string{"..%2fbook.db", "..%5cbook.db", "%2e%2e/book.db", "%252e%252e%252fbook.db", all[0].Document + "?entry=999999", all[0].Document + "%00"} {
		if got := b.asked("501", "/documents/"+odd); got.StatusCode != http.StatusNotFound && got.StatusCode != http.StatusBadRequest {
			t.Errorf("/documents/%s answers %d", odd, got.StatusCode)
		}
	}
	b.get("501", "/documents/"+all[0].Document+"?entry=x").says(http.StatusUnprocessableEntity, "is not the number of an entry")
	if after := filesAround(t, b); !slices.Equal(after, folder) {
		t.Errorf("the files are %q; before %q", after, folder)
	}
}

// filesAround lists the files beside the book and one folder further up.
func filesAround(t testing.TB, b *bookTest) []string {
	t.Helper()
	var all []string
	err := filepath.WalkDir(filepath.Dir(t.TempDir()), func(path string, _ os.DirEntry, err error) error {
		if !strings.Contains(filepath.Base(path), "book.db-") { // what SQLite keeps comes and goes
			all = append(all, path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return slices.DeleteFunc(all, func(path string) bool { return filepath.Base(path) == "002" || filepath.Base(path) == "003" })
}

// endless gives zeros without having them, and counts what is taken.
type endless struct{ left, read int64 }

func (e *endless) Read(p []byte) (int, error) {
	n := int(min(int64(len(p)), e.left))
	clear(p[:n])
	e.left, e.read = e.left-int64(n), e.read+int64(n)
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

// A gigabyte is refused before it is read where it says its length, and after
// the limit where it does not; no memory is filled with it.
func TestGigabyteIsRefused(t *testing.T) {
	b := staffed(t)
	b.keyed("501")
	b.opened("I-0001", "CR40")
	at := b.serve()
	w, manager := b.browser(at), b.browser(at)
	w.signIn("501")
	b.keyed("601")
	manager.signIn("601")
	head := "--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n"
	for _, tt := range []struct {
		name, path string
		length     int64 // -1: sent in chunks
		most       int64 // that the server may take
	}{
		{"announced", "/new/document", 1 << 30, 1 << 20}, {"announced at the fit", "/station/I-0001/fit", 1 << 30, 1 << 20},
		{"in chunks", "/new/document", -1, 2*uploadLimit + 8<<20}, {"in chunks at the fit", "/station/I-0001/fit", -1, 2*uploadLimit + 8<<20},
		{"announced at a certificate", "/new/filing", 1 << 30, 1 << 20}, {"in chunks at a certificate", "/new/filing", -1, 2*uploadLimit + 8<<20},
		{"a form that takes no photo", "/holds", 2 << 20, 1 << 20}, {"an act that takes no photo", "/station/I-0001/weigh", -1, 16 << 20},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			flood := &endless{left: 1 << 30}
			r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, at.URL+tt.path, io.MultiReader(strings.NewReader(head), flood))
			if err != nil {
				t.Fatal(err)
			}
			r.ContentLength = tt.length
			r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
			r.Header.Set("Expect", "100-continue") // a client that asks first is told at once
			client := *w.client
			if tt.path == "/new/filing" { // it is no toolmaker's work
				client = *manager.client
			}
			client.Transport = &http.Transport{ExpectContinueTimeout: 10 * time.Second}
			began := time.Now()
			got, err := client.Do(r)
			// Whoever goes on sending is cut off: the sentence may be lost on the way.
			cutOff := tt.length < 0 && (errors.Is(err, syscall.ECONNRESET) || errors.Is(err, syscall.EPIPE))
			if err != nil && !cutOff {
				t.Fatal(err)
			}
			var said []byte
			if err == nil {
				defer got.Body.Close()
				said, err = io.ReadAll(got.Body)
			}
			if cutOff {
				t.Log("the connection was cut off before the answer")
			} else if err != nil || got.StatusCode != http.StatusRequestEntityTooLarge || !strings.Contains(string(said), "That is too large: a form may have") {
				t.Errorf("status %d, %.200s, %v", got.StatusCode, said, err)
			}
			if flood.read > tt.most {
				t.Errorf("%d bytes were taken; want at most %d", flood.read, tt.most)
			}
			runtime.ReadMemStats(&after)
			if grew := int64(after.TotalAlloc - before.TotalAlloc); grew > 100<<20 {
				t.Errorf("%d MiB were allocated for it, in %v", grew>>20, time.Since(began))
			}
		})
	}
	all, err := b.store.DocumentsOn(t.Context(), "insert", "I-0001")
	if err != nil || len(all) != 0 {
		t.Errorf("%d documents are stored, %v", len(all), err)
	}
}

// A form that is cut off in the middle stores nothing.
func TestUploadCutOff(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	body, contentType := inPartsOf(t, b.newDocument("501", "I-0001"), url.Values{"shows": {"x"}}, part{"a.jpg", asJPEG(t, 1)})
	for _, length := range []int{body.Len() / 2, body.Len() - 30, 10} {
		r := httptest.NewRequest(http.MethodPost, "/new/document", bytes.NewReader(body.Bytes()[:length]))
		r.Header.Set("Content-Type", contentType)
		b.answer("501", r).says(http.StatusUnprocessableEntity, "The form could not be read")
	}
	if all, err := b.store.DocumentsOn(t.Context(), "insert", "I-0001"); len(all) != 0 || err != nil {
		t.Errorf("%d documents, %v", len(all), err)
	}
}

// Too much text is refused where photos may come, as anywhere.
func TestTextOfAFormWithPhotosIsBounded(t *testing.T) {
	b := staffed(t)
	b.opened("I-0001", "CR40")
	p := b.attach("501", b.newDocument("501", "I-0001"), url.Values{"shows": {strings.Repeat("long ", bodyLimit/5)}}, part{"a.png", asPNG(t, 1)})
	p.says(http.StatusRequestEntityTooLarge, "That is too large: a form may have 1.0 MiB")
}

// fittable has the insert I-0029 ready to be fitted into M301.
func fittable(t testing.TB) *bookTest {
	t.Helper()
	b := staffed(t)
	b.opened("I-0029", "CR40")
	b.dried("I-0029", "PL-09")
	b.sintered("F2-05", "I-0029")
	b.because("311", "ordered so", shop.StepLeftOut{Insert: "I-0029", Op: shop.OpTemper})
	b.measured("I-0029")
	b.put("402", shop.InspectionFinished{Insert: "I-0029"})
	return b
}

// The photo of a fit goes with its numbers; what is wrong with either leaves
// both unrecorded and the numbers in the form.
func TestFitWithItsPhotos(t *testing.T) {
	b := fittable(t)
	typed := url.Values{"mould": {"M301"}, "place": {"C2"}, "shim": {"0"}, "shim_unit": {"mm"}, "removed.+X": {"0.02"}, "added.+X": {"0,350"}, "shim.-Y": {"0.1"}, "gap_x": {"0.034"}, "unit": {"mm"}}
	form := b.get("501", "/station/I-0029").says(http.StatusOK, "What was done, face by face").mustForm("/station/I-0029/fit")
	before := b.entries()
	p := b.attach("501", form, typed, part{"a.jpg", []byte("hello")}).says(http.StatusUnprocessableEntity, "by its bytes it is text/plain", "Not stored yet: choose the file again.").linked()
	form = p.mustForm("/station/I-0029/fit")
	for name, want := range typed {
		if got := valueOf(namedField(t, form, name)); got != want[0] {
			t.Errorf("%s is now %q; want %q", name, got, want[0])
		}
	}
	wrong := url.Values{"added.+X": {"-0.3"}, "shim.-Y": {"abc"}, "shows": {""}}
	b.attach("501", form, wrong, part{"a.jpg", asJPEG(t, 1)}).says(http.StatusUnprocessableEntity, "abc", "What the photos show is missing.").linked()
	if after := b.entries(); after != before {
		t.Errorf("the log grew from %d to %d", before, after)
	}
	// A good photo of a fit that is not understood is kept, and said to be.
	p = b.attach("501", form, url.Values{"added.+X": {"-0.3"}}, part{"a.jpg", asJPEG(t, 1)}).
		says(http.StatusUnprocessableEntity, "The stock added at +X is -0.3 mm: it cannot be less than zero.", "The photo is kept: it is on I-0029 already", "Nothing else was stored").silent("choose the file again").linked()
	b.attach("501", form, nil, part{"c.jpg", asJPEG(t, 3)}, part{"d.jpg", asJPEG(t, 3)}).says(http.StatusUnprocessableEntity, "One photo was chosen twice", "The photo is kept").linked()
	if after := b.entries(); after != before+2 {
		t.Errorf("the log grew from %d to %d; want the two photos that were kept", before, after)
	}
	if p := b.attach("501", p.mustForm("/station/I-0029/fit"), url.Values{"added.+X": {"0,350"}}, part{"b.png", asPNG(t, 2)}); p.status != http.StatusSeeOther {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	if after := b.entries(); after != before+4 {
		t.Errorf("the log grew from %d to %d; want the fit and another photo", before, after)
	}
	page := b.get("501", "/station/I-0029").says(http.StatusOK, "Photos and papers", "the fit as found")
	var read [][]string
	for _, row := range page.rows("Removed, mm") {
		for i := range row {
			row[i] = strings.TrimRight(row[i], "\u00a0 ")
		}
		read = append(read, row)
	}
	if want := [][]string{{"base", "", "", "0"}, {"+X", "0.02", "0,350", ""}, {"-Y", "", "", "0.1"}}; !slices.EqualFunc(read, want, slices.Equal) {
		t.Errorf("the faces read back are %q; want %q", read, want)
	}
	b.get("501", "/history/insert/I-0029").says(http.StatusOK, "face +X removed 0.02 mm added 0,350 mm", "a.jpg", "b.png")
	if p := b.attach("501", b.get("501", "/station/I-0029?act=photo").mustForm("/station/I-0029/photo"), url.Values{"shows": {"contact after spotting"}}, part{"c.png", asPNG(t, 4)}); p.to != "/station/I-0029" {
		t.Errorf("status %d to %q: %s", p.status, p.to, p.text())
	}
	b.get("501", "/station/I-0029").says(http.StatusOK, "contact after spotting")
}
