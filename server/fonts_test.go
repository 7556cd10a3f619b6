package server

import (
	"fmt"
	"go/scanner"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/css"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/chromedp"
)

// TestFontsHaveEveryCharacter writes each character beyond ASCII that our own
// wording has, in both families and in each weight that pages use, and asks the
// browser whose font it took: a character that ours lack looks like another
// person's handwriting in the middle of a line.
func TestFontsHaveEveryCharacter(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	written := charactersWritten(t)
	if !slices.Contains(written, "µ") || len(written) < 8 {
		t.Fatalf("the pages write %q; want the micro sign among more", written)
	}
	b := staffed(t)
	w := newTab(t, chromium(t), b.serve().URL).open("/sign-in")
	eval[bool](w, fmt.Sprintf(`(document.body.replaceChildren(...[...%q].flatMap((c) => ["text", "figure"].flatMap((f) => [400, 600, 700].map((weight) => {
		const p = document.createElement("p");
		p.title = c + " in " + f + " " + weight;
		p.style.font = weight + " 20px var(--" + f + ")";
		p.textContent = c;
		return p;
	})))), true)`, strings.Join(written, "")))
	step(w, "waiting for the fonts", chromedp.Evaluate[bool]("document.fonts.ready.then(() => true)", chromedp.EvalAwaitPromise))
	time.Sleep(300 * time.Millisecond)
	call(w, "asking for the page", dom.Enable, dom.EnableParams{})
	call(w, "asking for its styles", css.Enable, cdp.Empty{})
	root := call(w, "reading the page", dom.GetDocument, dom.GetDocumentParams{})
	all := call(w, "reading the characters", dom.QuerySelectorAll, dom.QuerySelectorAllParams{NodeID: root.Root.NodeID, Selector: "p"})
	titles := eval[[]string](w, `[...document.querySelectorAll("p")].map((p) => p.title)`)
	if len(all.NodeIDs) != len(titles) || len(titles) != 6*len(written) {
		t.Fatalf("%d of %d characters to look at", len(all.NodeIDs), 6*len(written))
	}
	for n, id := range all.NodeIDs {
		for _, f := range call(w, "asking for the font", css.GetPlatformFontsForNode, css.GetPlatformFontsForNodeParams{NodeID: id}).Fonts {
			if !f.IsCustomFont {
				t.Errorf("%s is drawn in %s: none of our fonts has it", titles[n], f.FamilyName)
			}
		}
	}
}

// charactersWritten are the characters beyond ASCII in what the pages say.
func charactersWritten(t *testing.T) []string {
	t.Helper()
	found := map[string]bool{}
	note := func(text string) {
		for _, r := range text {
			pictured := r >= '\u2400' && r <= '\u243f' // a control character of a label: no font for reading has them
			if r > '~' && r != '\u202f' && r != '\u00a0' && !pictured {
				found[string(r)] = true
			}
		}
	}
	for _, pattern := range []string{"views/*.go", "views/chart/*.go", "views/*.templ", "store/shop/*.go"} {
		files, err := filepath.Glob(filepath.Join("..", pattern))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %v, %d files", pattern, err, len(files))
		}
		for _, file := range files {
			source, err := os.ReadFile(file)
			switch {
			case err != nil:
				t.Fatal(err)
			case strings.HasSuffix(file, "_test.go") || strings.HasSuffix(file, "_templ.go") || filepath.Base(file) == "scanner.go": // the last has the keys of keyboards
			case strings.HasSuffix(file, ".templ"):
				note(string(source))
			default:
				for _, literal := range literals(source) {
					note(literal)
				}
			}
		}
	}
	var all []string
	for c := range found {
		all = append(all, c)
	}
	slices.Sort(all)
	return all
}

// literals are the texts in a Go file, without its comments.
func literals(source []byte) (all []string) {
	fset := token.NewFileSet()
	var s scanner.Scanner
	s.Init(fset.AddFile("", fset.Base(), len(source)), source, nil, 0)
	for {
		_, kind, text := s.Scan()
		switch kind {
		case token.EOF:
			return all
		case token.STRING, token.CHAR:
			all = append(all, text)
		}
	}
}
