package static

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"

	"github.com/tdewolff/minify/v2"
	"github.com/tdewolff/minify/v2/css"
	"github.com/tdewolff/minify/v2/js"
)

// packs are the kinds of file that are sent compressed; fonts are compressed
// as they are.
var packs = []string{".css", ".js", ".svg", ".wasm"}

// packed is each of those files compressed as far as it goes, once for all.
var packed = sync.OnceValue(func() map[string][]byte {
	found := map[string][]byte{}
	for name := range versions() {
		if !slices.Contains(packs, path.Ext(name)) {
			continue
		}
		data, err := FS.ReadFile(name)
		if err != nil {
			panic(err) // the files are inside the program
		}
		data = smaller(name, data)
		var b bytes.Buffer
		w, _ := gzip.NewWriterLevel(&b, gzip.BestCompression)
		w.Write(data)
		w.Close()
		if b.Len() < len(data) {
			found[name] = b.Bytes()
		}
	}
	return found
})

// smaller is a script or a stylesheet without what only its readers need. What
// is carried along unchanged from its makers stays so.
func smaller(name string, data []byte) []byte {
	if strings.HasPrefix(name, "zxing/") {
		return data
	}
	m := minify.New()
	m.AddFunc(".css", css.Minify)
	m.AddFunc(".js", js.Minify)
	if small, err := m.Bytes(path.Ext(name), bytes.Clone(data)); err == nil { // it works in place
		return small
	}
	return data
}

// unpacks reports whether a browser takes compressed files.
func unpacks(r *http.Request) bool {
	for one := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		coding, q, _ := strings.Cut(strings.TrimSpace(one), ";")
		q = strings.ReplaceAll(q, " ", "")
		if strings.EqualFold(strings.TrimSpace(coding), "gzip") && q != "q=0" && q != "q=0.0" && q != "q=0.00" && q != "q=0.000" {
			return true
		}
	}
	return false
}
