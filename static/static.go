// Package static holds what the browser is given as it is: one stylesheet, the
// fonts and a small script, all inside the program.
package static

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"strings"
	"sync"
)

// FS holds the assets by their names: "app.css", "icon.svg", "fonts/…".
//
//go:embed app.css app.js keypad.js icon.svg fonts
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
		version, known := versions()[strings.TrimPrefix(r.URL.Path, Prefix)]
		if !known {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("ETag", `"`+version+`"`)
		w.Header().Set("Cache-Control", "no-cache")
		if r.URL.Query().Get("v") == version {
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
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
