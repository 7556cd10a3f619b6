package server

import (
	"bytes"
	"mime"
	"net/http"
	"strconv"
	"strings"

	"sinterbook/store/shop"
)

// bundledAtMost bounds the entries of a proof bundle that is made for a
// browser, since it is made whole before its first byte goes out.
const bundledAtMost = 10_000

// proof answers GET /proof/{kind}/{number}: the proof bundle of a thing as a
// file. since names an older size of the log from which it has a proof too.
func (s *Server) proof(w http.ResponseWriter, r *http.Request) error {
	kind, number := pathWord(r, "kind"), pathWord(r, "*")
	since, err := sinceSize(r)
	if err != nil {
		return err
	}
	subject := shop.Subject(kind, number)
	n, err := s.store.Count(r.Context(), subject)
	if err != nil {
		return err
	}
	if n > bundledAtMost {
		return shop.Conflict("There are %d entries about %s %s, more than fit into one download. The command writes them: sinterbook bundle %s -o FILE.", n, kind, number, subject)
	}
	var b bytes.Buffer
	if _, err := s.store.Bundle(r.Context(), subject, since, &b); err != nil {
		return err
	}
	return download(w, "application/jsonl", "proof-"+kind+"-"+number+".jsonl", b.Bytes())
}

// sinceSize is the size of an older checkpoint that an address names, 0 for
// none.
func sinceSize(r *http.Request) (int64, error) {
	text := strings.TrimSpace(r.FormValue("since"))
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 1 {
		return 0, shop.Wrong("since", "%q is not the number of entries of a checkpoint: that is its second line.", text)
	}
	return n, nil
}

// download answers with a file that the browser keeps.
func download(w http.ResponseWriter, kind, name string, file []byte) error {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": fileName(name)}))
	w.Header().Set("Cache-Control", "no-store")
	_, err := w.Write(file)
	return err
}

// fileName is a name that every system can give to a file.
func fileName(name string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("._-", r) {
			return r
		}
		return '-'
	}, name)
}
