package store_test

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sinterbook/store/outside"
)

const ours = "sinterbook/"

// rooms says which rooms of ours each room may import; a room is a package
// with everything below it, and always may use itself.
var rooms = map[string][]string{
	"cmd":        {"server", "store", "store/shop"},
	"server":     {"store", "store/shop", "store/calc", "views", "static"},
	"views":      {"store/shop", "store/calc"},
	"store":      {"store/shop", "store/calc", "migrations"},
	"store/shop": {"store/calc"},
	"store/calc": {},
	"migrations": {},
	"static":     {},
}

// never says what a room must not reach, not even through another package.
var never = map[string][]string{
	"store/shop": {"database/sql", "net/http", "sinterbook/store"},
	"store/calc": {"database/sql", "net/http", "sinterbook/store", "sinterbook/store/shop"},
	"views":      {"database/sql", "sinterbook/store", "sinterbook/server"},
	"store":      {"sinterbook/server", "sinterbook/views", "sinterbook/static", "net/http"},
	"migrations": {"database/sql", "net/http"},
	"static":     {"database/sql"},
}

// roomOf is the room in which a package of ours lies: the longest that fits.
func roomOf(path string) string {
	found := ""
	for room := range rooms {
		at := ours + room
		if (path == at || strings.HasPrefix(path, at+"/")) && len(room) > len(found) {
			found = room
		}
	}
	return found
}

type listed struct{ imports, reaches []string }

// packages lists all packages of the program with what they import and what
// they reach.
func packages(t *testing.T) map[string]listed {
	t.Helper()
	outside.Program(t, "go", "golang-go")
	look(t)
	list := exec.CommandContext(t.Context(), "go", "list", "-f", `{{.ImportPath}}|{{join .Imports " "}}|{{join .Deps " "}}`, "./...")
	list.Dir = ".."
	var said strings.Builder
	list.Stderr = &said
	out, err := list.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, said.String())
	}
	all := map[string]listed{}
	for line := range strings.Lines(string(out)) {
		parts := strings.Split(strings.TrimSpace(line), "|")
		all[parts[0]] = listed{strings.Fields(parts[1]), strings.Fields(parts[2])}
	}
	return all
}

// look stats every Go file: a result that go test has kept is used again while
// the files that the test itself looked at are unchanged, and it does not see
// what go list looked at.
func look(t *testing.T) {
	t.Helper()
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.Name() == ".git" {
			return filepath.SkipDir
		}
		if err == nil && strings.HasSuffix(path, ".go") {
			_, err = os.Stat(path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestArrows keeps the rooms apart: nouns and arithmetic know neither database
// nor network, views cannot run a query, and nothing looks upwards.
func TestArrows(t *testing.T) {
	t.Parallel()
	all := packages(t)
	for path, p := range all {
		room := roomOf(path)
		if room == "" {
			t.Errorf("%s lies in no room that we know", path)
			continue
		}
		for _, i := range p.imports {
			if there := roomOf(i); strings.HasPrefix(i, ours) && there != room && !slices.Contains(rooms[room], there) {
				t.Errorf("%s imports %s; %s may import of ours only %q", path, i, room, rooms[room])
			}
		}
		for _, no := range never[room] {
			if slices.Contains(p.reaches, no) {
				t.Errorf("%s reaches %s", path, no)
			}
		}
	}
}

// TestArrowsAreSeen: the list that TestArrows reads has the arrows which are
// there, so that an empty one could not pass.
func TestArrowsAreSeen(t *testing.T) {
	t.Parallel()
	all := packages(t)
	for from, to := range map[string]string{
		"sinterbook/store":  "database/sql",
		"sinterbook/server": "net/http",
		"sinterbook/views":  "sinterbook/store/shop",
	} {
		if !slices.Contains(all[from].reaches, to) {
			t.Errorf("%s does not reach %s in the list", from, to)
		}
	}
	for path, want := range map[string]string{
		"sinterbook/store/shop":        "store/shop",
		"sinterbook/store":             "store",
		"sinterbook/store/calc/shrink": "store/calc",
		"sinterbook/views/chart":       "views",
		"sinterbook/viewsmore":         "",
	} {
		if got := roomOf(path); got != want {
			t.Errorf("%s lies in %q; want %q", path, got, want)
		}
	}
}
