package server

import (
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// lenient is a crammed book whose gates are silent, so that every act's form
// can be looked at, and a tab at the printer's station.
func lenient(t *testing.T) (*bookTest, *tab) {
	t.Helper()
	chromiumPath(t)
	b := crammed(t)
	for _, g := range shop.AllGates {
		if g.Name != shop.NotHeld.Name && !slices.Contains(shop.Unyielding, g.Name) {
			b.put("601", shop.PolicySet{Gate: g.Name, Op: shop.EveryOperation, From: b.now(), Mode: shop.Silent})
		}
	}
	b.tabletAt("PR1", "T-1")
	server := httptest.NewServer(New(Config{Store: b.store, Demo: true, Pass: b.advance}).Handler())
	t.Cleanup(server.Close)
	w := newTab(t, chromium(t), server.URL)
	b.at(w, "777", "PR1")
	return b, w
}

// actPages are the form of every act, for an insert that has what the form
// offers to choose from.
func actPages() []string {
	on := map[string]string{views.ActResult: "I-0030&characteristic=1", views.ActFit: "I-0030", views.ActStock: "I-0030", views.ActMark: "I-0030"}
	var pages []string
	for _, a := range acts {
		insert, rest, _ := strings.Cut(on[a.name], "&")
		if insert == "" {
			insert = "I-0033"
		}
		page := views.ActOf(insert, a.name)
		if rest != "" {
			page += "&" + rest
		}
		pages = append(pages, page)
	}
	return pages
}

// TestHands holds a tablet in one hand and in the other: the main act, the other
// acts and the scan's button lie on its side, and the device remembers it.
func TestHands(t *testing.T) {
	_, w := lenient(t)
	w.open("/station").press2("Left hand")
	if got := script[string](w, "handOf"); got != "left" {
		t.Fatalf("after the switch the page is for the %q hand", got)
	}
	if w.open("/floor"); script[string](w, "handOf") != "left" {
		t.Error("the next page has forgotten the hand")
	}
	for _, hand := range []string{"left", "right"} {
		if script[string](w, "handOf") != hand {
			w.press2("Right hand")
		}
		for _, v := range []viewport{{"1280x800", 1280, 800}, {"800x1280", 800, 1280}, {"390x844", 390, 844}} {
			w.look(v)
			for _, path := range []string{"/station/I-0034", "/station/I-0033?act=paste", "/station/I-0030?act=fit"} {
				w.open(path)
				for _, said := range script[[]string](w, "reach", hand) {
					t.Errorf("%s at %s, %s hand: %s", path, v.name, hand, said)
				}
				for _, said := range script[[]string](w, "measures") {
					t.Errorf("%s at %s, %s hand: %s", path, v.name, hand, said)
				}
				w.picture(path + " " + v.name + " " + hand)
			}
		}
		w.look(viewports[0])
	}
	w.quiet("the tablet")
}

// press2 clicks a switch, which leads to no other page.
func (w *tab) press2(text string) *tab {
	w.Helper()
	p := w.find(text)
	step(w, "pressing "+text, chromedp.MouseClickXY(p.X, p.Y))
	return w
}

// TestZoom looks at a tablet's pages under 200 % and 400 %: in windows of half
// and a quarter of its width (WCAG 2.2: 1.4.4, 1.4.10), and on a phone. Nothing
// runs out of the page, and whatever has the focus is seen (2.4.11).
func TestZoom(t *testing.T) {
	_, w := lenient(t)
	pages := append([]string{"/station", "/floor", "/inserts/I-0029", "/inserts/I-0033", "/loads/F2-06", "/instructions/WI-20", "/station/I-0034/sure"}, actPages()...)
	for _, v := range []viewport{{"640x400", 640, 400}, {"320x256", 320, 256}, {"390x844", 390, 844}} {
		w.look(v)
		for _, path := range pages {
			w.open(path).settle()
			if strings.Contains(path, "?act=") && !script[bool](w, "hasMain") {
				t.Errorf("%s has no main act: %s", path, w.words())
			}
			for _, function := range []string{"measures", "cut", "covered"} {
				for _, said := range script[[]string](w, function) {
					t.Errorf("%s at %s: %s", path, v.name, said)
				}
			}
		}
	}
	w.quiet("the tablet under zoom")
}

// TestContrastModes lets the device force its colours, and ask for more
// contrast: shapes stand out from their ground, states have their words, the
// focus is seen.
func TestContrastModes(t *testing.T) {
	t.Parallel()
	b, w := lenient(t)
	b.put("601", shop.StationAdded{Station: "FUR", Name: "Furnaces", Operation: shop.OpSinter, Code: shop.NewScanCode()})
	for _, mode := range [][2]string{{"forced-colors", "active"}, {"prefers-contrast", "more"}} {
		for _, scheme := range []string{"light", "dark"} {
			call(w, "setting the colours", emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
				{Name: mode[0], Value: mode[1]}, {Name: "prefers-color-scheme", Value: scheme}}})
			where := mode[0] + " " + scheme
			for _, path := range []string{"/station", "/station/I-0034", "/station/I-0031", "/floor", "/inserts/I-0033", "/loads/F2-06", "/trace?q=I-0029", "/labels?kind=insert&symbol=qr&layout=a4-24", "/nonconformances/NC-001"} {
				w.open(path).settle()
				if !script[bool](w, "isMode", "("+mode[0]+": "+mode[1]+")") {
					t.Fatalf("the browser does not know %s", mode[0])
				}
				for _, said := range script[[]string](w, "shapes") {
					t.Errorf("%s, %s: %s", path, where, said)
				}
				w.picture(path + " " + where)
			}
		}
	}
	w.quiet("the tablet with other colours")
}

// keys is a person who has a keyboard and nothing else.
type keys struct {
	*tab
	last focus
}

// focus is what has the keyboard's attention, and where it stands.
type focus struct {
	Name string
	Part int     // of the page: header, scan, main, aside, foot
	Top  float64 // in the document
	Seen string  // "" while it is seen, else why not
}

// to moves on by Tab until something has the focus. On its way every stop is
// seen, and none lies before the last one in its part of the page.
func (k *keys) to(name string) *keys {
	k.Helper()
	var passed []string
	for range 80 {
		step(k.tab, "Tab", chromedp.KeyEvent(kb.Tab))
		at := script[focus](k.tab, "attention")
		if at.Seen != "" {
			k.Fatalf("on the way to %q the focus on %q is not seen: %s", name, at.Name, at.Seen)
		}
		if at.Part < k.last.Part || at.Part == k.last.Part && at.Top < k.last.Top-60 {
			k.Fatalf("on the way to %q the focus jumps back from %q to %q", name, k.last.Name, at.Name)
		}
		k.last = at
		if at.Name == name || strings.HasPrefix(at.Name, name+" ") {
			return k
		}
		passed = append(passed, at.Name)
	}
	k.Fatalf("no Tab leads to %q, but to %q", name, passed)
	return k
}

// types fills the field that has the focus, at the pace of a hand: what comes
// faster is a scan.
func (k *keys) types(text string) *keys {
	k.Helper()
	for _, key := range text {
		time.Sleep(80 * time.Millisecond)
		step(k.tab, "typing "+text, chromedp.KeyEvent(string(key)))
	}
	return k
}

// turns chooses from the list that has the focus, by its arrow keys.
func (k *keys) turns(line string) *keys {
	k.Helper()
	for range 40 {
		if got := script[string](k.tab, "chosen"); strings.HasPrefix(got, line) {
			return k
		}
		step(k.tab, "arrow key", chromedp.KeyEvent(kb.ArrowDown))
	}
	k.Fatalf("the arrow keys never come to %q", line)
	return k
}

// hits presses a key that leads to another page.
func (k *keys) hits(key string) *keys {
	k.Helper()
	k.loaded("a key", chromedp.KeyEvent(key))
	k.settle()
	k.last = script[focus](k.tab, "attention")
	return k
}

// TestByKeyboard does a whole operation without scanner, mouse or touch: it
// signs in at a tablet, chooses an insert, reads the instruction, starts the
// print, draws the paste and finishes the print.
func TestByKeyboard(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	b := staffed(t)
	b.keyed("601")
	b.keyed("204")
	b.put("601", shop.StationAdded{Station: "PR1", Name: "Printer P1", Operation: shop.OpPrint, Equipment: "P1", Code: shop.NewScanCode()})
	b.opened("I-0029", "CR40")
	b.revised("A")
	k := &keys{tab: newTab(t, chromium(t), b.serve().URL), last: focus{Part: -1, Top: -1000}}
	k.open("/tablet?token=" + b.tabletAt("PR1", "T-1"))
	k.to("Register this tablet").hits(kb.Enter)
	if script[focus](k.tab, "attention").Name != "Badge" {
		k.to("Badge")
	}
	k.types("204").to("PIN").types(rightPIN).hits(kb.Enter)
	k.to("I-0029").hits(kb.Enter).reads("Is it this one?")
	k.to("Yes, work on I-0029").hits(kb.Enter).reads("first read how")
	k.to("I have read WI-20 A").hits(" ").reads("Noted: you have read WI-20 A.")
	k.to("Machine").turns("P1").to("Plate that carries the part").types("PL-03").to("SHA-256 of the program as the machine shows it").types(testProgram).
		to(oversizeX).types("1.2019").to(oversizeY).types("1.2019").to(oversizeZ).types("1.2180").to("Layers planned").types("304").
		to("Record the start of the print").hits(" ").reads("Print of I-0029 started")
	k.to("Container").turns("L2509-A/01").to("First layer").types("1").to("Last layer").types("304").to("Mass drawn, g").types("280.5").
		to("Record the paste drawn").hits(kb.Enter).reads("280.5 g drawn from L2509-A/01")
	k.to("First layer").types("1").to("Last layer").types("304").to("Record the layers").hits(kb.Enter).reads("Layers 1 to 304 of I-0029 recorded")
	if !strings.Contains(k.words(), "Record the end of the print") {
		k.to("Finish the print").hits(kb.Enter)
	}
	k.to("Layers printed").types("304").to("Printed mass, g").types("254.3").to("Record the end of the print").hits(" ").reads("Print of I-0029 finished")
	i, err := b.store.Insert(t.Context(), "I-0029")
	if err != nil || i.Status != shop.StatusPrinted {
		t.Errorf("I-0029 is %q, %v; want it printed", i.Status, err)
	}
	k.quiet("the keyboard")
}

// A heard node is what a screen reader says of one.
type heard struct{ role, name, description, level, invalid string }

// listen reads the page as a screen reader does.
func (w *tab) listen() []heard {
	w.Helper()
	tree := call(w, "listening", accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	text := func(v *accessibility.Value) string {
		if v == nil {
			return ""
		}
		var s any
		if err := json.Unmarshal([]byte(v.Value), &s); err != nil {
			return ""
		}
		return strings.Join(strings.Fields(fmt.Sprint(s)), " ")
	}
	var all []heard
	for _, n := range tree.Nodes {
		if n.Ignored {
			continue
		}
		h := heard{role: text(n.Role), name: text(n.Name), description: text(n.Description)}
		for _, p := range n.Properties {
			switch p.Name {
			case "level":
				h.level = text(p.Value)
			case "invalid":
				h.invalid = text(p.Value)
			}
		}
		all = append(all, h)
	}
	return all
}

// TestHeard: landmarks, headings in their order, names of what is filled in and
// pressed, notices that are spoken, and what is wrong said with its field.
func TestHeard(t *testing.T) {
	_, w := lenient(t)
	landmarks := [][2]string{{"banner", ""}, {"navigation", "Pages"}, {"main", ""}, {"complementary", ""}, {"contentinfo", ""}}
	for _, tt := range []struct {
		path string
		want [][2]string // role and name
	}{
		{"/station", [][2]string{{"heading", "Print, dry, shape"}, {"heading", "Under way here"}, {"textbox", "Scan"}, {"button", "Read it"}, {"button", "Left hand"}, {"link", "Skip to the page"}, {"link", "Go on with I-0033"}}},
		{"/station/I-0034", [][2]string{{"heading", "I-0034"}, {"heading", "Start the print"}, {"combobox", "Machine"}, {"textbox", "Plate that carries the part"}, {"textbox", oversizeX}, {"button", "Record the start of the print"}, {"heading", "Work instruction"}}},
		{"/station/I-0030?act=fit", [][2]string{{"heading", "I-0030"}, {"combobox", "Mould"}, {"button", "Record the fit"}}},
	} {
		said := w.open(tt.path).listen()
		for _, want := range append(slices.Clone(landmarks), tt.want...) {
			if !slices.ContainsFunc(said, func(h heard) bool { return h.role == want[0] && strings.HasPrefix(h.name, want[1]) }) {
				t.Errorf("%s: no %s %q is heard", tt.path, want[0], want[1])
			}
		}
		last := "0"
		for _, h := range said {
			if h.role != "heading" {
				if slices.Contains([]string{"textbox", "combobox", "button", "link", "checkbox"}, h.role) && h.name == "" {
					t.Errorf("%s: a %s has no name", tt.path, h.role)
				}
				continue
			}
			if h.level > string(rune(last[0]+1)) || last == "0" && h.level != "1" {
				t.Errorf("%s: heading %q is of level %s after level %s", tt.path, h.name, h.level, last)
			}
			last = h.level
		}
	}
	w.open("/station/I-0034").fill("Plate that carries the part", "PL-05").press("Record the start of the print")
	said := w.listen()
	if !slices.ContainsFunc(said, func(h heard) bool { return h.role == "alert" }) {
		t.Error("that nothing was stored is not spoken")
	}
	for field, want := range map[string]string{"Layers planned": "The number of planned layers is missing.", oversizeX: "missing"} {
		if !slices.ContainsFunc(said, func(h heard) bool {
			return h.role == "textbox" && h.name == field && h.invalid == "true" && strings.Contains(h.description, want)
		}) {
			t.Errorf("what is wrong with %q is not said with it", field)
		}
	}
	if slices.ContainsFunc(said, func(h heard) bool { return h.name == "Plate that carries the part" && h.invalid == "true" }) {
		t.Error("a field that is right is said to be wrong")
	}
	w.open("/station/I-0034?act=hold").fill("In your own words", "edge chipped").press("Hold this insert")
	if !slices.ContainsFunc(w.listen(), func(h heard) bool { return h.role == "status" }) {
		t.Errorf("what was done is not spoken: %s", w.words())
	}
}

// handRules are the functions by which these tests look at a page.
const handRules = `
function handOf() { return document.documentElement.dataset.hand ?? "right"; }
function hasMain() { return Boolean(document.querySelector(".go.main")); }
function isMode(heading, query) { return matchMedia(query).matches; }
function chosen() { return document.activeElement.selectedOptions?.[0]?.text ?? ""; }
const middle = (e) => { const b = e.getBoundingClientRect(); return b.left + b.width / 2; };
function reach(heading, hand) {
  const said = [], on = (e, what) => {
    const left = middle(e) < innerWidth / 2;
    if (left !== (hand === "left")) said.push(what + " lies on the other side, at " + middle(e).toFixed(0) + " of " + innerWidth);
  };
  const main = one([...document.querySelectorAll(".go.main")].filter(seen), "the main act"), phone = innerWidth < 500;
  main.closest("form").scrollIntoView({block: "start", behavior: "instant"});
  const box = main.getBoundingClientRect(), sheet = main.closest("form").getBoundingClientRect();
  if (box.height < 84) said.push("the main act is " + box.height + " px high");
  if (phone && (box.width < sheet.width - 1 || box.top < innerHeight / 2 || box.bottom > innerHeight)) said.push("the main act is " + box.width + " px wide, from " + box.top + " to " + box.bottom);
  if (!phone) {
    on(main, "the main act");
    if (innerHeight > innerWidth && box.bottom > innerHeight) said.push("the main act stands from " + box.top + " to " + box.bottom);
  }
  if (innerWidth > 1100 && (middle(document.querySelector(".work > aside")) < middle(main)) !== (hand === "right")) said.push("what is only read lies on the side of the hand");
  on(document.querySelector(".scan button"), "the button of the scan");
  const others = [...main.closest(".sheet").querySelectorAll(".acts > *")], row = others.filter((e) => e.getBoundingClientRect().top === others[0].getBoundingClientRect().top);
  if (row.length > 1 && (middle(row[0]) > middle(row.at(-1))) !== (hand === "left")) said.push("the other acts are not mirrored");
  return said;
}
// What may be wider than the window scrolls by itself.
const scrolls = (e) => e.closest(".wide, .band, .labels-shown");
function cut(heading) {
  const said = [];
  for (const e of document.querySelectorAll("main *, header *")) {
    if (!seen(e) || scrolls(e) || e.closest("svg, select, .unseen, .skip") || ![...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim())) continue;
    const range = document.createRange();
    range.selectNodeContents(e);
    for (const box of range.getClientRects()) {
      if (box.width > 1.5 && (box.right > innerWidth + 1 || box.left < -1)) { said.push("runs out of the page, to " + box.right.toFixed(0) + " px: " + wordsOf(e).slice(0, 80)); break; }
    }
    const style = getComputedStyle(e);
    if (style.overflow !== "visible" && style.textOverflow === "ellipsis" && e.scrollWidth > e.clientWidth) said.push("is cut off: " + wordsOf(e).slice(0, 80));
  }
  return said;
}
const focusables = () => [...document.querySelectorAll("a[href], button:not(:disabled), input:not([type=hidden]), select, textarea, summary, [tabindex='0']")].filter(seen);
// The first of a few points of an element that is not covered by another.
function shows(e) {
  for (const box of e.getClientRects()) {
    const left = Math.max(box.left, 0), right = Math.min(box.right, innerWidth), top = Math.max(box.top, 0), bottom = Math.min(box.bottom, innerHeight);
    if (right - left < 1 || bottom - top < 1) continue;
    for (const x of [0.5, 0.1, 0.9]) for (const y of [0.5, 0.1, 0.9]) {
      const hit = document.elementFromPoint(left + (right - left) * x, top + (bottom - top) * y);
      if (hit && (e.contains(hit) || hit.contains(e) && !hit.matches("html, body, .go, .where, thead") || hit.closest("label")?.control === e)) return true;
    }
  }
  return false;
}
function covered(heading) {
  const said = [];
  for (const e of focusables()) {
    e.focus({focusVisible: true});
    if (document.activeElement === e && !shows(e)) said.push("has the focus and is not seen: " + e.outerHTML.slice(0, 120));
  }
  return said;
}
function attention() {
  const e = document.activeElement, box = e.getBoundingClientRect(), style = getComputedStyle(e);
  const part = ["header", ".scan", "main .what, main .band", "main", "aside", ".foot"].map((s, i) => e.closest(s) ? i : -1);
  let seenNot = "";
  if (e === document.body) seenNot = "nothing has it";
  else if (!shows(e)) seenNot = "it is covered, or outside the window";
  else if (e.matches("a, button, input, select, textarea, summary") && (style.outlineStyle === "none" || parseFloat(style.outlineWidth) < 2)) seenNot = "it has no outline";
  return {Name: (nameOf(e) || wordsOf(e)).replace(/ \(optional\)$/, ""), Part: Math.max(...part), Top: e.closest(".skip") ? -100 : box.top + scrollY, Seen: seenNot};
}
const rgb = (text) => (text.match(/[\d.]+/g) ?? [0, 0, 0, 0]).map(Number);
const clear = (text) => text === "transparent" || rgb(text)[3] === 0;
const light = (text) => { const [r, g, b] = rgb(text).map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
const ratio = (a, b) => { const [x, y] = [light(a), light(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
function ground(e) {
  for (let at = e; at; at = at.parentElement) {
    const colour = getComputedStyle(at).backgroundColor;
    if (!clear(colour)) return colour;
  }
  return getComputedStyle(document.documentElement).colorScheme === "dark" ? "rgb(0,0,0)" : "rgb(255,255,255)";
}
// Shapes that mean something stand out from their ground by 3 to 1 (WCAG 1.4.11),
// words by 4.5 to 1 (1.4.3); what has the focus has an outline that does.
function shapes(heading) {
  const said = [], looked = new Set();
  for (const svg of document.querySelectorAll("svg.icon, svg.limits, svg.symbol, svg.flow, .setter svg, svg.bar")) {
    if (!seen(svg)) continue;
    const on = ground(svg.parentElement);
    const base = svg.matches(".symbol") ? getComputedStyle(svg).backgroundColor : on;
    let best = 0;
    for (const e of svg.querySelectorAll("path, rect, circle, line, use")) {
      const s = getComputedStyle(e);
      for (const c of [s.fill, s.stroke]) if (c !== "none") best = Math.max(best, ratio(c, base));
    }
    if (best < 3) said.push("a shape does not stand out (" + best.toFixed(1) + "): " + svg.outerHTML.slice(0, 120));
    looked.add(svg.getAttribute("class"));
  }
  for (const e of document.querySelectorAll(".state, .go, .quiet, h1, td, th, label, .when")) {
    if (!seen(e) || !wordsOf(e) || e.closest("svg")) continue;
    const on = ground(e), r = ratio(getComputedStyle(e).color, on);
    if (r < 4.5) said.push("words do not stand out (" + r.toFixed(1) + "): " + wordsOf(e).slice(0, 60));
  }
  for (const e of document.querySelectorAll(".state")) if (seen(e) && !wordsOf(e)) said.push("a state has no word");
  for (const e of document.querySelectorAll(".go, .quiet")) {
    const s = getComputedStyle(e);
    if (seen(e) && parseFloat(s.borderTopWidth) < 1 && ratio(s.backgroundColor, ground(e.parentElement)) < 3) said.push("a button has no edge: " + wordsOf(e));
  }
  for (const e of focusables().slice(0, 60)) {
    e.focus({focusVisible: true});
    const s = getComputedStyle(e);
    const own = e.closest("svg") ? s : s;
    if (!e.closest("svg") && (own.outlineStyle === "none" || parseFloat(own.outlineWidth) < 2 || ratio(own.outlineColor, ground(e.parentElement)) < 3)) said.push("the focus is not seen on " + e.outerHTML.slice(0, 100));
  }
  if (!looked.size && document.querySelector("svg.icon")) said.push("no shape was looked at");
  return said;
}
`
