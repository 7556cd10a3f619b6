// Package outside finds what tests need from outside the program: a command, a
// PostgreSQL server. A test skips where it is missing, and fails where
// everything must be there.
package outside

import (
	"database/sql"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/google/uuid"
	_ "github.com/jackc/pgx/v5/stdlib" // the driver of the test server
)

// Missing skips a test that needs something which a Debian package brings, and
// fails it under SINTERBOOK_TEST_ALL=1.
func Missing(t testing.TB, what, pkg string) {
	t.Helper()
	if os.Getenv("SINTERBOOK_TEST_ALL") == "1" {
		t.Fatalf("%s is missing: apt-get install %s", what, pkg)
	}
	t.Skipf("needs %s: apt-get install %s", what, pkg)
}

// Program is where a command lies that a test needs.
func Program(t testing.TB, program, pkg string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		Missing(t, "the command "+program, pkg)
	}
	return path
}

// Schema makes an empty schema on the test server, drops it after the test,
// and returns its address.
func Schema(t testing.TB) string {
	t.Helper()
	base := os.Getenv("SINTERBOOK_TEST_POSTGRES")
	if base == "" {
		Missing(t, "a PostgreSQL server, named by SINTERBOOK_TEST_POSTGRES", "postgresql")
	}
	schema := "t" + strings.ReplaceAll(uuid.NewString(), "-", "")
	db, err := sql.Open("pgx", base)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if _, err := db.Exec("DROP SCHEMA " + schema + " CASCADE"); err != nil {
			t.Error(err)
		}
		db.Close()
	})
	if _, err := db.Exec("CREATE SCHEMA " + schema); err != nil {
		t.Fatal(err)
	}
	u, err := url.Parse(base)
	if err != nil {
		t.Fatal(err)
	}
	q := u.Query()
	q.Set("search_path", schema)
	u.RawQuery = q.Encode()
	return u.String()
}
