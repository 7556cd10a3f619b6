package static

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"io/fs"
	"math"
	"net/http"
	"net/http/httptest"
	"path"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func get(t *testing.T, address string, header ...string) *http.Response {
	t.Helper()
	r := httptest.NewRequest(http.MethodGet, address, nil)
	for i := 0; i < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	Handler().ServeHTTP(w, r)
	return w.Result()
}

func TestURLChangesWithTheBytes(t *testing.T) {
	css, js := URL("app.css"), URL("app.js")
	form := regexp.MustCompile(`^/static/app\.(css|js)\?v=[0-9a-f]{10}$`)
	if !form.MatchString(css) || !form.MatchString(js) {
		t.Fatalf("URL = %q and %q, want a version of ten hexadecimal digits", css, js)
	}
	if strings.TrimPrefix(css, "/static/app.css") == strings.TrimPrefix(js, "/static/app.js") {
		t.Errorf("two files have the version of %q", css)
	}
	if got := URL("none.css"); got != "/static/none.css" {
		t.Errorf("URL of no asset = %q, want no version", got)
	}
}

func TestHandlerCaching(t *testing.T) {
	for _, tt := range []struct {
		name, address string
		status        int
		cache         string
	}{
		{"this version", URL("app.css"), 200, "public, max-age=31536000, immutable"},
		{"another version", "/static/app.css?v=0123456789", 200, "no-cache"},
		{"no version", "/static/app.js", 200, "no-cache"},
		{"no such file", "/static/none.css?v=0123456789", 404, ""},
		{"a folder is not listed", "/static/fonts/", 404, ""},
		{"the whole is not listed", "/static/", 404, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := get(t, tt.address)
			if got.StatusCode != tt.status || got.Header.Get("Cache-Control") != tt.cache {
				t.Errorf("GET %s = %d, cache %q; want %d, %q",
					tt.address, got.StatusCode, got.Header.Get("Cache-Control"), tt.status, tt.cache)
			}
		})
	}
}

func TestHandlerSendsUnchangedOnce(t *testing.T) {
	tag := get(t, "/static/app.css").Header.Get("ETag")
	if got := get(t, "/static/app.css", "If-None-Match", tag); got.StatusCode != http.StatusNotModified {
		t.Errorf("GET with the current tag %s = %d, want 304", tag, got.StatusCode)
	}
}

// The stylesheet names each font with the version of its bytes, so that a
// changed font is never taken from a browser's store.
func TestStylesheetNamesEveryFont(t *testing.T) {
	named := map[string]bool{}
	for _, m := range regexp.MustCompile(`url\("([^"]+)"\)`).FindAllStringSubmatch(stylesheet(t), -1) {
		file, _, _ := strings.Cut(m[1], "?")
		named[path.Base(file)] = true
		if URL(file) != Prefix+m[1] {
			t.Errorf("the stylesheet asks for %s, the file is %s", m[1], URL(file))
		}
	}
	fonts, err := fs.Glob(FS, "fonts/*.woff2")
	if err != nil {
		t.Fatal(err)
	}
	for _, font := range fonts {
		if !named[path.Base(font)] {
			t.Errorf("%s is carried along, but the stylesheet does not use it", font)
		}
	}
}

// Scripts name each other, and what they load, with the version of its bytes.
func TestScriptsNameWhatTheyLoad(t *testing.T) {
	named := map[string]int{}
	for _, script := range []string{"app.js", "camera.js", "reader.js", "repeat.js", "scan.js"} {
		text, err := FS.ReadFile(script)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`"(?:\./)?([^"?]+)\?v=[^"]*"`).FindAllStringSubmatch(string(text), -1) {
			named[m[1]]++
			if want := strings.TrimPrefix(URL(m[1]), Prefix); !strings.Contains(m[0], want+`"`) {
				t.Errorf("%s loads %s, the file is %s", script, m[0], want)
			}
		}
	}
	for _, file := range []string{"repeat.js", "reader.js", "zxing/zxing-wasm-reader.js", "zxing/zxing_reader.wasm"} {
		if named[file] == 0 {
			t.Errorf("%s is carried along, but no script loads it", file)
		}
	}
}

// The makers of the reader of codes write the SHA-256 of its WebAssembly into
// the script that belongs to it: both are of one version, and unchanged.
func TestReaderIsOfOneVersion(t *testing.T) {
	script, errScript := FS.ReadFile("zxing/zxing-wasm-reader.js")
	wasm, errWasm := FS.ReadFile("zxing/zxing_reader.wasm")
	if errScript != nil || errWasm != nil {
		t.Fatal(errScript, errWasm)
	}
	if sum := sha256.Sum256(wasm); !strings.Contains(string(script), hex.EncodeToString(sum[:])) || !strings.Contains(string(script), "zxing-wasm@3.1.3") {
		t.Errorf("the script does not name the WebAssembly with the SHA-256 %x, or is not of version 3.1.3", sum)
	}
}

func TestReaderCarriesItsLicences(t *testing.T) {
	for file, want := range map[string]string{"LICENSE-zxing-wasm.txt": "MIT License", "LICENSE-zxing-cpp.txt": "Apache License\n                           Version 2.0"} {
		text, err := FS.ReadFile("zxing/" + file)
		if err != nil || !strings.Contains(string(text), want) {
			t.Errorf("%s: %v; want the %s", file, err, want)
		}
	}
}

// A browser that can unpack is sent less, and the same bytes come out of it.
func TestHandlerCompresses(t *testing.T) {
	for _, tt := range []struct {
		name, takes, kind string
		packed            bool
		most              int // bytes on the way
	}{
		{"app.css", "gzip, deflate, br", "text/css; charset=utf-8", true, 20_000},
		{"app.js", "br;q=1, GZIP;q=0.5", "text/javascript; charset=utf-8", true, 12_000},
		{"camera.js", "gzip", "text/javascript; charset=utf-8", true, 6_000},
		{"zxing/zxing_reader.wasm", "gzip", "application/wasm", true, 470_000},
		{"zxing/zxing-wasm-reader.js", "gzip", "text/javascript; charset=utf-8", true, 15_000},
		{"zxing/zxing_reader.wasm", "", "application/wasm", false, 0},
		{"zxing/zxing_reader.wasm", "gzip;q=0, br", "application/wasm", false, 0},
		{"app.css", "x-gzip-like", "text/css; charset=utf-8", false, 0},
		{"fonts/atkinson-next-base.woff2", "gzip", "font/woff2", false, 0},
	} {
		t.Run(tt.name+" "+tt.takes, func(t *testing.T) {
			got := get(t, URL(tt.name), "Accept-Encoding", tt.takes)
			sent, err := io.ReadAll(got.Body)
			if err != nil {
				t.Fatal(err)
			}
			whole, err := FS.ReadFile(tt.name)
			if err != nil {
				t.Fatal(err)
			}
			if kind := got.Header.Get("Content-Type"); kind != tt.kind {
				t.Errorf("it is sent as %q; want %q", kind, tt.kind)
			}
			if packed := got.Header.Get("Content-Encoding") == "gzip"; packed != tt.packed {
				t.Fatalf("sent packed: %v; want %v", packed, tt.packed)
			}
			if tt.packed {
				if !strings.HasPrefix(tt.name, "zxing/") {
					whole = smaller(tt.name, whole)
				}
				t.Logf("%d bytes, %d packed", len(whole), len(sent))
				if len(sent) > tt.most {
					t.Errorf("%d bytes are sent; want %d at the most", len(sent), tt.most)
				}
				r, err := gzip.NewReader(bytes.NewReader(sent))
				if err != nil {
					t.Fatal(err)
				}
				if sent, err = io.ReadAll(r); err != nil {
					t.Fatal(err)
				}
			}
			if !bytes.Equal(sent, whole) {
				t.Error("other bytes come out than went in")
			}
			if strings.HasSuffix(tt.name, ".woff2") == (got.Header.Get("Vary") == "Accept-Encoding") {
				t.Errorf("Vary is %q", got.Header.Get("Vary"))
			}
			if again := get(t, URL(tt.name), "Accept-Encoding", tt.takes, "If-None-Match", got.Header.Get("ETag")); again.StatusCode != http.StatusNotModified {
				t.Errorf("asked again with %s: %d; want 304", got.Header.Get("ETag"), again.StatusCode)
			}
		})
	}
}

func TestFontsCarryTheirLicence(t *testing.T) {
	for _, family := range []string{"", "-next", "-mono"} {
		text, err := FS.ReadFile("fonts/LICENSE-atkinson-hyperlegible" + family + ".txt")
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(text), "SIL OPEN FONT LICENSE Version 1.1") {
			t.Errorf("the licence of Atkinson Hyperlegible%s is not the SIL Open Font License 1.1", family)
		}
	}
}

// WCAG 2.2 asks for 4.5 between text and ground and 3 for shapes; the dark
// version is the high-contrast one and gives text 7.
func TestContrast(t *testing.T) {
	tokens := tokens(t)
	for _, tt := range []struct {
		front, ground string
		light, dark   float64
	}{
		{"ink", "paper", 4.5, 7},
		{"ink", "sheet", 4.5, 7},
		{"ink", "field", 4.5, 7},
		{"ink", "stop-wash", 4.5, 7},
		{"soft", "paper", 4.5, 7},
		{"soft", "sheet", 4.5, 7},
		{"soft", "field", 4.5, 7},
		{"stop", "paper", 4.5, 7},
		{"stop", "sheet", 4.5, 7},
		{"stop", "stop-wash", 4.5, 7},
		{"next-ink", "next", 4.5, 7},
		{"on-steel", "steel", 4.5, 7},
		{"stop-ink", "stop", 3, 3},
		{"sheet", "ink", 3, 3},
		{"steel", "sheet", 3, 3},
		{"next", "sheet", 3, 3},
		{"next", "paper", 3, 3},
	} {
		t.Run(tt.front+" on "+tt.ground, func(t *testing.T) {
			front, ground := tokens[tt.front], tokens[tt.ground]
			if got := ratio(t, front[0], ground[0]); got < tt.light {
				t.Errorf("light: %s on %s is %.2f, want at least %.1f", front[0], ground[0], got, tt.light)
			}
			if got := ratio(t, front[1], ground[1]); got < tt.dark {
				t.Errorf("dark: %s on %s is %.2f, want at least %.1f", front[1], ground[1], got, tt.dark)
			}
		})
	}
}

// The formula of WCAG 2.2, on a pair whose ratio is defined: 21.
func TestRatioOfBlackOnWhite(t *testing.T) {
	if got := ratio(t, "#000000", "#ffffff"); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white = %v, want 21", got)
	}
}

func stylesheet(t *testing.T) string {
	t.Helper()
	css, err := FS.ReadFile("app.css")
	if err != nil {
		t.Fatal(err)
	}
	return string(css)
}

// tokens reads each colour token as its light and its dark value.
func tokens(t *testing.T) map[string][2]string {
	t.Helper()
	found := map[string][2]string{}
	token := regexp.MustCompile(`--([a-z-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);`)
	for _, m := range token.FindAllStringSubmatch(stylesheet(t), -1) {
		found[m[1]] = [2]string{m[2], m[3]}
	}
	return found
}

func ratio(t *testing.T, front, ground string) float64 {
	t.Helper()
	a, b := luminance(t, front), luminance(t, ground)
	return (max(a, b) + 0.05) / (min(a, b) + 0.05)
}

// luminance is the relative luminance of an sRGB colour.
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	rgb, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 24)
	if err != nil || colour == "" {
		t.Fatalf("%q is not a colour token", colour)
	}
	linear := func(shift uint) float64 {
		c := float64(rgb>>shift&255) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(16) + 0.7152*linear(8) + 0.0722*linear(0)
}

// The worker is asked for anew each time, and is another one as soon as
// anything that it keeps is.
func TestWorker(t *testing.T) {
	r, w := httptest.NewRequest(http.MethodGet, "/sw.js", nil), httptest.NewRecorder()
	Worker(w, r)
	body := w.Body.String()
	if w.Code != http.StatusOK || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/javascript") || w.Header().Get("Cache-Control") != "no-cache" {
		t.Errorf("the worker is answered with %d, %v", w.Code, w.Header())
	}
	if !regexp.MustCompile(`^const version = "[0-9a-f]{10}", shell = \["/static/`).MatchString(body) || !strings.HasSuffix(body, worker) {
		t.Errorf("the worker begins with %.120s", body)
	}
	for name := range versions() {
		if kept := strings.Contains(body, `"`+URL(name)+`"`); kept == strings.HasPrefix(name, "zxing/") {
			t.Errorf("that the worker keeps %s from the beginning is %v", name, kept)
		}
	}
}
