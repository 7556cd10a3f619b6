package server

import (
	"net/http"

	"github.com/klauspost/compress/gzhttp"
)

// compressible are the kinds of answer that are worth it. Fonts and pictures
// are compressed already, the files under static before they are asked for,
// and a stream of events must not wait in a buffer.
var compressible = []string{"text/html", "text/plain", "text/csv", "application/json", "image/svg+xml"}

// compressed sends what is larger than a packet compressed.
//
// Where a page has a secret and, beside it, words that a stranger chose, the
// length of the compressed page betrays the secret bit by bit. No page has one:
// the session is in a cookie that no page repeats, and forged posts are
// refused by where they come from, not by a token in the form. The one-time
// token of the set-up page stands beside nobody else's words. All the same
// each answer is made longer by a random number of bytes.
func compressed() func(http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.ContentTypes(compressible), gzhttp.EnableZstd(false), gzhttp.CompressionLevel(5), gzhttp.RandomJitter(32, 0, false))
	if err != nil {
		panic(err) // the options are written above
	}
	return func(next http.Handler) http.Handler { return wrap(next) }
}
