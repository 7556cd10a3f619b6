package server

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
)

// What is wrong with a form is said in the order in which it was sent, which
// is that of the page.
func TestFieldsInTheOrderOfThePage(t *testing.T) {
	r := httptest.NewRequest(http.MethodPost, "/set-up", strings.NewReader("site=Test+Shop&zone=Wien&pin+again=1&badge="))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	f, err := typed(r, "", "/set-up")
	if err != nil || !slices.Equal(f.Sent, []string{"site", "zone", "pin again", "badge"}) || f.Value("zone") != "Wien" {
		t.Errorf("sent %q with zone %q, %v", f.Sent, f.Value("zone"), err)
	}
}
