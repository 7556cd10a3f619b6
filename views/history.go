package views

import (
	"cmp"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// History is the page about everything that was recorded of one thing.
type History struct {
	Frame
	Kind     string
	Number   string
	Zone     *time.Location
	Rows     []HistoryRow
	Total    int64 // entries about the thing in all
	After    int64 // entries shown on pages before this one
	Entries  int64 // entries in the whole log
	Roles    map[string]string
	Sealed   Checkpoint
	Whole    bool // every entry is on the page
	Adds     bool // this person may put a photo or a paper on the thing
	PerPage  int64
	Previous time.Time // when the entry before the first row was entered, zero for none
}

// A HistoryRow is one entry.
type HistoryRow struct {
	shop.Entry
	N           int64 // its place among the entries about the thing
	Seq         int64
	Leaf        string // SHA-256 leaf hash, hexadecimal
	CorrectedN  int64  // of the entry that this one corrects, in the same history
	CorrectedBy int64  // entry that replaced this one, 0 while it stands
	ByN         int64  // its place in the same history
	ByReason    string // why it was replaced

	back time.Duration // how far the clock had stepped back before it
}

// A Checkpoint is a signed note about the log. It has the number of entries,
// and the root hash that fixes them all.
type Checkpoint struct {
	Size     int64  // entries that it covers
	Note     string // its whole text, root hash and signature included
	Verifier string // key that checks it
}

// Made reports whether there is a checkpoint.
func (c Checkpoint) Made() bool { return c.Size > 0 }

// Lines are the lines of the note that say something.
func (c Checkpoint) Lines() []string {
	return slices.DeleteFunc(strings.Split(c.Note, "\n"), func(line string) bool { return line == "" })
}

// Mark notes where the clock stepped back between one entry and the next.
func (p History) Mark() History {
	last := p.Previous
	for i := range p.Rows {
		if at := p.Rows[i].Entered; !last.IsZero() && at.Before(last) {
			p.Rows[i].back = last.Sub(at)
		}
		last = p.Rows[i].Entered
	}
	return p
}

// Title is the page's name.
func (p History) Title() string { return "History of " + p.Kind + " " + p.Number }

// Caption is repeated on every sheet of paper: what it is about, and how many
// entries there are.
func (p History) Caption() string {
	return fmt.Sprintf("%s, %s. Times in %s.", p.Title(), entriesWord(p.Total), p.Zone)
}

// Count says how many entries there are.
func (p History) Count() string { return entriesWord(p.Total) }

// ProofHref is the proof of the history as a file; "" before a checkpoint
// covers any of it.
func (p History) ProofHref() string {
	if !p.Sealed.Made() {
		return ""
	}
	return "/proof/" + p.Kind + "/" + pathOf(p.Number)
}

// PrintHref is the page made for paper.
func (p History) PrintHref() string { return HistoryOf(p.Kind, p.Number) + "?print=1" }

// ThingHref leads to the page about the thing; "" where there is no other.
func (p History) ThingHref() string {
	if href := PageOf(p.Kind, p.Number); href != HistoryOf(p.Kind, p.Number) {
		return href
	}
	return ""
}

// Pages leads through the entries.
func (p History) Pages() Pager {
	pages := Pager{From: int(p.After) + 1, To: int(p.After) + len(p.Rows), Total: int(p.Total), What: "entries"}
	if p.After > 0 {
		pages.Prev = p.from(max(0, p.After-p.PerPage))
	}
	if p.After+int64(len(p.Rows)) < p.Total {
		pages.Next = p.from(p.After + int64(len(p.Rows)))
	}
	return pages
}

func (p History) from(after int64) string {
	return HistoryOf(p.Kind, p.Number) + "?after=" + strconv.FormatInt(after, 10)
}

// entryHref leads to an entry of this history by its place and log number.
func (p History) entryHref(n, seq int64) string {
	at := "#entry-" + strconv.FormatInt(seq, 10)
	if p.Whole || n > p.After && n <= p.After+int64(len(p.Rows)) {
		return at
	}
	return p.from((n-1)/p.PerPage*p.PerPage) + at
}

// Last says that the last entry is on this page: the proof stands below it.
func (p History) Last() bool { return p.After+int64(len(p.Rows)) == p.Total }

// Newer counts the entries that are newer than the checkpoint.
func (p History) Newer() int {
	newer := 0
	for _, r := range p.Rows {
		if r.Seq >= p.Sealed.Size {
			newer++
		}
	}
	return newer
}

// Covered says how far the checkpoint reaches.
func (p History) Covered() string {
	said := fmt.Sprintf("The newest signed checkpoint covers the first %s entries of the log", Whole(int(p.Sealed.Size)))
	switch newer := p.Newer(); newer {
	case 0:
		return said + ", and with them every entry on this page."
	case 1:
		return said + ". One entry on this page is newer and waits for the next checkpoint."
	default:
		return said + fmt.Sprintf(". %d entries on this page are newer and wait for the next checkpoint.", newer)
	}
}

// ProofTitle heads what stands below the last entry.
func (p History) ProofTitle() string {
	return "What the history of " + p.Kind + " " + p.Number + " proves, and what it does not"
}

// Numbered says what the numbering shows.
func (p History) Numbered() string {
	if p.Whole || p.Total == int64(len(p.Rows)) {
		return fmt.Sprintf("The %s about this %s are numbered from 1 to %d without a gap: one left out would be missed.", entriesWord(p.Total), p.Kind, p.Total)
	}
	return fmt.Sprintf("The entries about this %s are numbered from 1 to %d. This page has %d to %d of them; print the history to have them all.", p.Kind, p.Total, p.After+1, p.After+int64(len(p.Rows)))
}

// day and hour are a moment to the second on two lines, with the zone's
// letters, so that the hour that comes twice in autumn is told apart.
func (p History) day(t time.Time) string  { return t.In(p.Zone).Format(time.DateOnly) }
func (p History) hour(t time.Time) string { return t.In(p.Zone).Format("15:04:05 MST") }

// Happened reports whether a person gave another time than that of recording.
func (p History) Happened(r HistoryRow) bool { return !r.At.Equal(r.Entered) }

// Back says that the clock had stepped back before the entry; else "".
func (r HistoryRow) Back() string {
	if r.back <= 0 {
		return ""
	}
	return "The clock had stepped back by " + exactly(r.back) + " since the entry before."
}

// exactly is a length of time in words, to the second; less than one is said
// in milliseconds.
func exactly(d time.Duration) string {
	if d < time.Second {
		return fmt.Sprintf("%d ms", max(1, d.Milliseconds()))
	}
	text := ""
	for _, u := range []struct {
		of   time.Duration
		word string
	}{{24 * time.Hour, "d"}, {time.Hour, "h"}, {time.Minute, "min"}, {time.Second, "s"}} {
		if n := d / u.of; n > 0 {
			text += fmt.Sprintf(" %d %s", n, u.word)
			d -= n * u.of
		}
	}
	return strings.TrimSpace(text)
}

// Role is what the person of an entry does in the shop today, on one line.
func (p History) Role(r HistoryRow) string { return strings.ReplaceAll(p.Roles[r.By], " ", noBreak) }

// Where is the station, ready for the device to follow.
func (r HistoryRow) Where() string {
	where := cmp.Or(r.Station, "office")
	if r.Device != "" {
		where += ","
	}
	return where
}

// Sentence says what happened.
func (p History) Sentence(r HistoryRow) string { return Sentence(r.Event, p.Zone) }

// Others are the other things that the entry is about.
func (p History) Others(r HistoryRow) []Link {
	var links []Link
	for _, subject := range r.Subjects() {
		if kind, number := shop.SubjectParts(subject); (kind != p.Kind || number != p.Number) && kind != "book" {
			links = append(links, Link{Href: HistoryOf(kind, number), Text: kind + " " + number})
		}
	}
	return links
}

// Gates are the answers that were given to gates, in a stable order.
func (r HistoryRow) Gates() []string {
	var said []string
	for gate, answer := range r.Answers {
		said = append(said, "Gate “"+gate+"” asked for a reason: "+full(answer))
	}
	slices.Sort(said)
	return said
}

// Refused reports whether the entry is a no of a gate.
func (r HistoryRow) Refused() bool { return r.Event.Kind() == "gate-refused" }

// FileHref leads to the photo or paper that the entry added or filed; "" for any other.
func (r HistoryRow) FileHref() string {
	d, ok := shop.FileOf(r.Event)
	if !ok {
		return ""
	}
	return FileOf(d.Document, r.Seq)
}

// FileWord says what it is.
func (r HistoryRow) FileWord() string {
	d, _ := shop.FileOf(r.Event)
	return shop.DocumentWord(d.MediaType)
}

// Struck reports whether another entry took this one's place.
func (r HistoryRow) Struck() bool { return r.CorrectedBy != 0 }

// Mark is the class of the row.
func (r HistoryRow) Mark() string {
	if r.Refused() {
		return "stopped"
	}
	return ""
}

// Hash is the beginning of the leaf hash, enough to compare by eye.
func (r HistoryRow) Hash() string {
	if len(r.Leaf) < 12 {
		return r.Leaf
	}
	return r.Leaf[:12]
}

// elsewhere says in which zone the entry was recorded, where it was another
// than the shop's.
func (p History) elsewhere(r HistoryRow) string {
	if r.Entry.Zone == p.Zone.String() {
		return ""
	}
	return "recorded in " + r.Entry.Zone
}

// entryNumber names an entry by its place in the log.
func entryNumber(seq int64) string { return "entry " + Whole(int(seq)) }

func entryID(seq int64) string { return "entry-" + strconv.FormatInt(seq, 10) }

func entriesWord(n int64) string {
	if n == 1 {
		return "1 entry"
	}
	return Whole(int(n)) + " entries"
}

// PageOf is the address of the page about a thing.
func PageOf(kind, number string) string {
	switch kind {
	case "insert", "lot", "container", "load", "hold", "order", "mould", "design", "gauge", "nonconformance", "concession", "instruction", "machine", "furnace", "coupon", "containment", "factor":
		return "/" + kind + "s/" + pathOf(number)
	case "release":
		return "/releases/" + url.PathEscape(number) // a release of several designs has a slash in its number
	case "person":
		return "/people/" + pathOf(number)
	case "form":
		return "/paper/" + pathOf(number)
	}
	return HistoryOf(kind, number)
}

// HistoryOf is the address of a thing's history.
func HistoryOf(kind, number string) string { return "/history/" + kind + "/" + pathOf(number) }

// pathOf writes a number into an address. The slash between a lot and its
// container stays one.
func pathOf(number string) string { return strings.ReplaceAll(url.PathEscape(number), "%2F", "/") }
