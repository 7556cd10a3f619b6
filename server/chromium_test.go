package server

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"sinterbook/store/outside"
)

// A viewport is a size of screen at which pages are looked at.
type viewport struct {
	name          string
	width, height int64
}

var viewports = []viewport{{"1280x800", 1280, 800}, {"390x844", 390, 844}}

// chromium starts a real browser, in which tabs can be opened, with more flags
// where a test needs them.
func chromium(t testing.TB, flags ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU, chromedp.ExecPath(chromiumPath(t)), chromedp.UserDataDir(profileDir(t)),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	options = append(options, flags...)
	ctx, cancel := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// profileDir is removed with patience: the browser's children may still write
// into it for a moment after it has ended.
func profileDir(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "sinterbook-chromium-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		for range 20 {
			if err = os.RemoveAll(dir); err == nil {
				return
			}
			time.Sleep(50 * time.Millisecond)
		}
		t.Error(err)
	})
	return dir
}

func chromiumPath(t testing.TB) string {
	t.Helper()
	if os.Getenv("SINTERBOOK_TEST_BROWSER") == "no" {
		outside.Missing(t, "a browser (SINTERBOOK_TEST_BROWSER says no)", "chromium")
	}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	outside.Missing(t, "chromium", "chromium")
	return ""
}

// A tab is a page of a real browser, used as a person uses it: fields are
// found by their labels, buttons by what they say.
type tab struct {
	testing.TB
	ctx context.Context
	at  string // the server's address
	in  string // heading of the part of the page that is looked at, "" for the whole

	complaints *complaints
}

// complaints are what a browser says in its console.
type complaints struct {
	mu   sync.Mutex
	list []string
}

// newTab opens a tab with cookies of its own, as another device has.
func newTab(t testing.TB, browser context.Context, at string) *tab {
	t.Helper()
	return openTab(t, browser, at, chromedp.WithNewBrowserContext())
}

// beside opens a second tab of the same device.
func (w *tab) beside() *tab {
	w.Helper()
	return openTab(w.TB, w.ctx, w.at)
}

func openTab(t testing.TB, parent context.Context, at string, options ...chromedp.ContextOption) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(parent, options...)
	t.Cleanup(cancel)
	w := &tab{TB: t, ctx: ctx, at: at, complaints: &complaints{}}
	if err := chromedp.Listen(ctx, w.complaints.hear); err != nil {
		t.Fatal(err)
	}
	w.look(viewports[0])
	return w
}

// hear notes what the console says, but for pages that were answered with a no:
// that is how a form comes back.
func (c *complaints) hear(event any) {
	said := ""
	switch e := event.(type) {
	case *log.EventEntryAdded:
		serious := e.Entry.Level == log.EntryLevelError || e.Entry.Level == log.EntryLevelWarning
		if serious && (e.Entry.Source != log.EntrySourceNetwork || strings.Contains(e.Entry.URL, "/static/")) {
			said = e.Entry.Text + " " + e.Entry.URL
		}
	case *runtime.EventExceptionThrown:
		said = e.ExceptionDetails.Text
	case *runtime.EventConsoleAPICalled:
		said = fmt.Sprintf("console.%s", e.Type)
	}
	if said != "" {
		c.mu.Lock()
		c.list = append(c.list, said)
		c.mu.Unlock()
	}
}

// quiet fails the test when the console has said anything.
func (w *tab) quiet(where string) {
	w.Helper()
	w.complaints.mu.Lock()
	defer w.complaints.mu.Unlock()
	for _, c := range w.complaints.list {
		w.Errorf("%s: the browser's console says: %s", where, c)
	}
	w.complaints.list = nil
}

// step runs an action and fails the test when it does not come to its end.
func step[T any](w *tab, what string, a chromedp.Action[T]) T {
	w.Helper()
	ctx, cancel := context.WithTimeout(w.ctx, 20*time.Second)
	defer cancel()
	v, err := chromedp.Run(ctx, a)
	if err != nil {
		w.Fatalf("%s: %v\nThe page says: %.1500s", what, err, w.words())
	}
	return v
}

func call[P, R any](w *tab, what string, c cdp.Command[P, R], p P) R {
	w.Helper()
	return step(w, what, func(ctx context.Context, t *chromedp.Target) (R, error) { return cdp.Call(ctx, t, c, p) })
}

// script runs one of the functions of finders or rules in the page. They run from
// outside of it, so also where the page may run none itself.
func script[T any](w *tab, function string, args ...any) T {
	w.Helper()
	list, err := json.Marshal(append([]any{w.in}, args...))
	if err != nil {
		w.Fatal(err)
	}
	return step(w, function+string(list), chromedp.Evaluate[T]("(() => {"+finders+rules+handRules+"\nreturn "+function+"(..."+string(list)+")})()"))
}

// look sets the size of the screen.
func (w *tab) look(v viewport) {
	w.Helper()
	step(w, "setting the screen", chromedp.EmulateViewport(v.width, v.height))
}

// withoutScript tells the browser to run none of the page's own.
func (w *tab) withoutScript(off bool) {
	w.Helper()
	call(w, "switching script", emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: off})
}

// loaded does something and waits until the page after it is there.
func (w *tab) loaded(what string, act chromedp.Action[chromedp.Void]) {
	w.Helper()
	step(w, what, chromedp.WaitEvent(page.LoadEventFired, nil, act))
}

func (w *tab) open(path string) *tab {
	w.Helper()
	if !strings.HasPrefix(path, "http") {
		path = w.at + path
	}
	step(w, "opening "+path, chromedp.Navigate(path))
	return w
}

func (w *tab) back() *tab {
	w.Helper()
	step(w, "going back", chromedp.NavigateBack())
	return w
}

// under is the tab with eyes for one part of the page, by its heading.
func (w *tab) under(heading string) *tab {
	part := *w
	part.in = heading
	return &part
}

// words is what a person reads on the page, with single spaces.
func (w *tab) words() string {
	ctx, cancel := context.WithTimeout(w.ctx, 5*time.Second)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string]("document.body?.innerText ?? ''"))
	if err != nil {
		return err.Error()
	}
	return onOneLine(text)
}

// reads fails the test unless the page has the words.
func (w *tab) reads(want ...string) *tab {
	w.Helper()
	text := w.words()
	for _, words := range want {
		if !strings.Contains(text, words) {
			w.Fatalf("the page does not say %q: %s", words, text)
		}
	}
	return w
}

// fill types into the field with a label, or chooses from its list the line
// that begins so, or ticks it.
func (w *tab) fill(label, value string) *tab {
	w.Helper()
	if script[string](w, "begin", label, value) == "done" {
		return w
	}
	call(w, "typing "+label, input.InsertText, input.InsertTextParams{Text: value})
	if got := w.value(label); got != value {
		w.Fatalf("the field %q has %q after typing %q", label, got, value)
	}
	return w
}

// fields fills in several: label, value, label, value.
func (w *tab) fields(pairs ...string) *tab {
	w.Helper()
	for i := 0; i+1 < len(pairs); i += 2 {
		w.fill(pairs[i], pairs[i+1])
	}
	return w
}

// value is what stands in the field with a label.
func (w *tab) value(label string) string {
	w.Helper()
	return script[string](w, "valueAt", label)
}

// press clicks what says something, where it stands, and waits for the page
// that follows.
func (w *tab) press(text string) *tab {
	w.Helper()
	p := w.find(text)
	w.loaded("pressing "+text, chromedp.MouseClickXY(p.X, p.Y))
	return w
}

// point is a place on the screen.
type point struct{ X, Y float64 }

// find is where something says what is to be pressed, once it stands still: a
// page that has just come may still be scrolling to its first field.
func (w *tab) find(text string) point {
	w.Helper()
	was := script[point](w, "pressable", text)
	for {
		is := script[point](w, "pressable", text)
		if is == was {
			return is
		}
		was = is
	}
}

// unfold opens what is folded away, without leaving the page.
func (w *tab) unfold(text string) *tab {
	w.Helper()
	p := w.find(text)
	step(w, "unfolding "+text, chromedp.MouseClickXY(p.X, p.Y))
	return w
}

// scan is a scanner's pull: it types wherever the cursor is, and Enter. A hand
// is slower than the browser: it has put the cursor where it belongs by then.
func (w *tab) scan(code string) *tab {
	w.Helper()
	w.settle()
	w.forget()
	w.loaded("scanning "+code, typedFast(code+"\r"))
	return w
}

// settle waits until the browser has put the cursor where it belongs.
func (w *tab) settle() {
	w.Helper()
	for range 20 {
		if script[bool](w, "ready") {
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
}

// cell is what a table says in the row that begins with something.
func (w *tab) cell(row, column string) string {
	w.Helper()
	return script[string](w, "cell", row, column)
}

// fact is what the list of facts says under a name.
func (w *tab) fact(name string) string {
	w.Helper()
	return script[string](w, "fact", name)
}

// picture keeps a screenshot where somebody asked for them with
// SINTERBOOK_TEST_SHOTS, a folder.
func (w *tab) picture(name string) {
	w.Helper()
	dir := os.Getenv("SINTERBOOK_TEST_SHOTS")
	if dir == "" {
		return
	}
	png := step(w, "taking a picture", chromedp.FullScreenshot(100))
	if err := os.WriteFile(filepath.Join(dir, strings.NewReplacer("/", "_", "?", "_", " ", "_").Replace(name)+".png"), png, 0o600); err != nil {
		w.Fatal(err)
	}
}

// finders are the functions by which a test finds what a person sees. The first
// argument of each is the heading of the part that is looked at.
const finders = `
const wordsOf = (e) => (e?.innerText ?? "").replace(/\s+/g, " ").trim();
const seen = (e) => e.checkVisibility({visibilityProperty: true, opacityProperty: true});
const rooms = (heading) => {
  if (!heading) return [document];
  const found = [...document.querySelectorAll("h1, h2, summary, legend")].filter((h) => wordsOf(h) === heading).map((h) => h.closest("details, section, fieldset, main"));
  if (!found.length) throw new Error("no part of the page is headed " + heading);
  return found;
};
const all = (heading, selector) => rooms(heading).flatMap((r) => [...r.querySelectorAll(selector)]).filter(seen);
const one = (list, what) => {
  if (list.length !== 1) throw new Error(list.length + " of " + what);
  return list[0];
};
const nameOf = (e) => (e?.getAttribute("aria-label") ?? wordsOf(e?.labels?.[0])).replace(/ \(optional\)$/, "");
const labelled = (heading, label) => one(all(heading, "input:not([type=hidden]), select, textarea").filter((e) => nameOf(e) === label), "the field " + label);
const lineOf = (list, value) => list.find((o) => wordsOf(o) === value || o.text === value) ?? one(list.filter((o) => o.text.startsWith(value)), "the line " + value);
function begin(heading, label, value) {
  const e = labelled(heading, label);
  if (e.disabled || e.readOnly) throw new Error(label + " cannot be filled in");
  e.focus();
  if (e.tagName === "SELECT") {
    e.value = lineOf([...e.options], value).value;
    e.dispatchEvent(new Event("change", {bubbles: true}));
    return "done";
  }
  if (e.type === "checkbox") {
    if (!e.checked) e.click();
    return "done";
  }
  if (["date", "datetime-local"].includes(e.type)) {
    e.value = value;
    return "done";
  }
  e.select();
  if (value === "") { e.value = ""; return "done"; }
  return "type";
}
function placeOf(heading, label) {
  const e = labelled(heading, label);
  e.scrollIntoView({block: "center", behavior: "instant"});
  const box = e.getBoundingClientRect();
  return {X: box.left + Math.min(40, box.width / 2), Y: box.top + box.height / 2};
}
function keypad(heading) {
  const pad = document.querySelector("[role=dialog]"), e = document.activeElement, box = e.getBoundingClientRect(), over = pad?.getBoundingClientRect(), form = document.querySelector("main .sheet form")?.getBoundingClientRect();
  const covered = seen(pad) && !(box.right <= over.left || box.left >= over.right || box.bottom <= over.top || box.top >= over.bottom);
  return {Open: Boolean(pad && seen(pad)), Says: wordsOf(pad?.querySelector("[role=status]")), Field: nameOf(e), Value: e.value ?? "", Mode: e.inputMode ?? "",
    Uncovered: !covered && box.top >= 0 && box.bottom <= innerHeight, Inside: Boolean(pad?.contains(e)), Beside: Boolean(pad && form && (form.right <= over.left + 1 || form.left >= over.right - 1)), Left: over.left, Right: innerWidth - over.right};
}
function valueAt(heading, label) { return labelled(heading, label).value; }
function pressable(heading, text) {
  const may = all(heading, "a[href], button:not(:disabled), summary");
  let found = may.filter((e) => (e.getAttribute("aria-label") ?? wordsOf(e)) === text);
  if (!found.length) found = may.filter((e) => wordsOf(e).startsWith(text + " "));
  const e = one(found, "what says " + text);
  e.scrollIntoView({block: "center", behavior: "instant"});
  const box = e.getClientRects()[0];
  const at = {X: box.left + box.width / 2, Y: box.top + box.height / 2};
  const hit = document.elementFromPoint(at.X, at.Y);
  if (!e.contains(hit)) throw new Error(text + " is covered by " + (hit?.outerHTML ?? "nothing").slice(0, 200));
  return at;
}
function cell(heading, row, column) {
  for (const table of all(heading, "table")) {
    const columns = [...(table.tHead?.rows[table.tHead.rows.length - 1]?.cells ?? [])].map(wordsOf);
    for (const r of table.tBodies[0]?.rows ?? []) {
      if (columns.includes(column) && wordsOf(r.cells[0]) === row) return wordsOf(r.cells[columns.indexOf(column)]);
    }
  }
  throw new Error("no table has a row " + row + " and a column " + column);
}
function rows(heading, column) {
  const table = one(all(heading, "table").filter((t) => [...t.tHead.rows].some((r) => [...r.cells].some((c) => wordsOf(c) === column))), "a table with " + column);
  return [...table.tBodies].flatMap((b) => [...b.rows]).map((r) => [...r.cells].map(wordsOf));
}
function count(heading, selector) { return document.querySelectorAll(selector).length; }
// what stands beside the axes of a plot is turned on its side, and no reader of sheets finds it
function wordsOnPaper() {
  const words = [], walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let n = walker.nextNode(); n; n = walker.nextNode()) {
    const e = n.parentElement, box = e.getBoundingClientRect();
    if (!e.closest("title, script, .plot") && seen(e) && box.width > 1.5 && box.height > 1.5) words.push(...n.data.split(/\s+/));
  }
  return words.filter(Boolean);
}
function ready() { return document.readyState === "complete" && document.activeElement !== document.body; }
function focusOn(heading, text) { const e = one(all(heading, "a[href], button").filter((e) => wordsOf(e).startsWith(text)), text); e.focus(); return document.activeElement === e; }
function focused() { return nameOf(document.activeElement); }
function fact(heading, name) {
  return wordsOf(one(all(heading, "dt").filter((e) => wordsOf(e) === name), "the fact " + name).nextElementSibling);
}`
