package scenario

import (
	"errors"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"sinterbook/store/shop"
)

// FuzzFile puts any text in the place of one file of the demo: the folder is
// planned, or each thing that is wrong in it has its file; nothing panics.
func FuzzFile(f *testing.F) {
	whole := fstest.MapFS{}
	for i, file := range files {
		text, err := fs.ReadFile(Demo(), file.name)
		if err != nil {
			f.Fatal(err)
		}
		whole[file.name] = &fstest.MapFile{Data: text}
		f.Add(uint(i), head(string(text), 4))
	}
	text, err := fs.ReadFile(Demo(), "scenario.csv")
	if err != nil {
		f.Fatal(err)
	}
	whole["scenario.csv"] = &fstest.MapFile{Data: text}
	f.Add(uint(0), "badge,name,role,from\n601,\"a\"b,quality manager,2025-01-07\n")
	f.Add(uint(20), "insert,design,revision,order,route,opened_at,replaces,scratch_mark\nI-1,CR40,B,O-1001,RT-1 v3,2025-09-12T05:54:00+02:00,I-1,\n")
	f.Fuzz(func(t *testing.T, which uint, text string) {
		folder := fstest.MapFS{}
		for name, file := range whole {
			folder[name] = file
		}
		name := files[which%uint(len(files))].name
		folder[name] = &fstest.MapFile{Data: []byte(text)}
		p, err := planFolder(folder, Options{Inserts: []string{"I-0001"}, Verifier: verifier})
		if err == nil {
			inOrder(t, p)
			return
		}
		if errors.Is(err, shop.ErrInvalid) && err.Error() == noInsert {
			return // the file of inserts is another one
		}
		if fault, ok := errors.AsType[*Fault](err); !ok || fault.File == "" || fault.Why == "" {
			t.Errorf("%s: %v has no place", name, err)
		}
	})
}

const noInsert = "There is no insert I-0001 in inserts.csv."

// head is the first lines of a text: short seeds keep the fuzzer quick.
func head(text string, lines int) string {
	all := strings.SplitAfterN(text, "\n", lines+1)
	return strings.Join(all[:min(lines, len(all))], "")
}

// inOrder checks what is true of every plan: each entry has its time, and they
// are recorded in the order of their entry.
func inOrder(t *testing.T, p *plan) {
	t.Helper()
	var last time.Time
	for _, e := range p.entries {
		if e.At.IsZero() || e.Entered.Before(last) || e.Entered.Before(e.At) {
			t.Errorf("%s line %d: %s happened %s, entered %s, after %s", e.row.t.name, e.row.line, e.Event.Kind(), e.At, e.Entered, last)
		}
		last = e.Entered
	}
}
