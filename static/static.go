// Package static holds what the browser is given as it is: one stylesheet, the
// fonts, a small script, and what reads codes by camera, all inside the program.
// zxing is a part of the npm package zxing-wasm 3.1.3 as its makers publish it.
package static

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"
)

// FS holds the assets by their names: "app.css", "icon.svg", "fonts/…".
//
//go:embed app.css plot.css sheets.css app.js icon.svg camera.js keypad.js live.js queue.js reader.js repeat.js scan.js zxing fonts
var FS embed.FS

// Prefix is where the assets are served.
const Prefix = "/static/"

// URL is the address of an asset with a version made of its bytes, so that a
// browser may keep it for ever. An asset that does not exist has no version.
func URL(name string) string {
	if v := versions()[name]; v != "" {
		return Prefix + name + "?v=" + v
	}
	return Prefix + name
}

// Handler serves the assets under Prefix. An address with the current version
// may be kept for a year; any other is asked for again each time, and costs no
// second transfer while it stays the same.
func Handler() http.Handler {
	files := http.StripPrefix(Prefix, http.FileServerFS(FS))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := strings.TrimPrefix(r.URL.Path, Prefix)
		version, known := versions()[name]
		if !known {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("ETag", `"`+version+`"`)
		w.Header().Set("Cache-Control", "no-cache")
		if r.URL.Query().Get("v") == version {
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		}
		if small := packed()[name]; small != nil {
			w.Header().Set("Vary", "Accept-Encoding")
			if unpacks(r) {
				w.Header().Set("ETag", `"`+version+`-gzip"`)
				w.Header().Set("Content-Encoding", "gzip")
				http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(small))
				return
			}
		}
		files.ServeHTTP(w, r)
	})
}

// versions gives each asset the beginning of its SHA-256.
var versions = sync.OnceValue(func() map[string]string {
	found := map[string]string{}
	err := fs.WalkDir(FS, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := FS.ReadFile(name)
		sum := sha256.Sum256(data)
		found[name] = hex.EncodeToString(sum[:])[:10]
		return err
	})
	if err != nil {
		panic(err) // the files are inside the program
	}
	return found
})

// worker is the script that stands between a tablet and the network.
//
//go:embed sw.js
var worker string

// whole is the worker with what it keeps of this program, so that it changes
// when any of that does.
var whole = sync.OnceValue(func() string {
	sum := sha256.New()
	var files []string
	for _, name := range slices.Sorted(maps.Keys(versions())) {
		if !strings.HasPrefix(name, "zxing/") { // large, and only for some tablets: the browser itself keeps it
			files = append(files, URL(name))
		}
		sum.Write([]byte(URL(name)))
	}
	sum.Write([]byte(worker))
	list, err := json.Marshal(files)
	if err != nil {
		panic(err) // texts only
	}
	return fmt.Sprintf("const version = %q, shell = %s;\n%s", hex.EncodeToString(sum.Sum(nil))[:10], list, worker)
})

// Worker answers GET /sw.js. It is asked for anew each time, and stands at the
// top so that it may look after every page.
func Worker(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	http.ServeContent(w, r, "sw.js", time.Time{}, strings.NewReader(whole()))
}
