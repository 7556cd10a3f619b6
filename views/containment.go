package views

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Containments is the list of them.
type Containments struct {
	Frame
	All  []shop.Containment
	Zone *time.Location
}

func (p Containments) listing() Listing {
	l := Listing{Name: "Containments", Empty: "None was begun. A trace offers to hold what it finds.", Columns: columnsOf("Containment", "State", "Suspect", "Why", "Begun", "#Held", "#Lifted", "#Out of reach", "#Notices", "#Not answered")}
	for _, c := range p.All {
		word, mark := containmentState(c)
		l.Rows = append(l.Rows, Row{Stopped: mark == "stopped", Past: mark == "past", Cells: []Item{thingLink("containment", c.Containment), stateItem(word, mark), {Text: c.OfKind + " " + c.OfCode, Href: TraceOf(c.OfKind, c.OfCode), Code: true}, words(c.Why), code(c.By + " " + Stamp(c.At, p.Zone)),
			code(Whole(len(c.Holds))), code(Whole(len(c.Holds) - len(c.Standing()))), code(Whole(len(c.Outside))), code(Whole(len(c.Notices))), code(Whole(c.Waiting()))}})
	}
	return l
}

// containmentState says how far a containment is, in a word.
func containmentState(c shop.Containment) (word, mark string) {
	switch {
	case len(c.Standing()) > 0:
		return "holds stand", "stopped"
	case c.Waiting() > 0:
		return "notices wait", "open"
	}
	return "over", "past"
}

// Containment is the page about one.
type Containment struct {
	Frame
	Containment shop.Containment
	Zone        *time.Location
	Lift        *Form // nil for those who lift none, or where none stands
}

func (p Containment) state() (word, mark string) { return containmentState(p.Containment) }

func (p Containment) word() string { w, _ := p.state(); return w }
func (p Containment) mark() string { _, m := p.state(); return m }

// Facts are what is known of it.
func (p Containment) Facts() []Fact {
	c := p.Containment
	facts := []Fact{{Name: "Suspect", Value: c.OfKind + " " + c.OfCode, Href: TraceOf(c.OfKind, c.OfCode), Figure: true}}
	if c.Narrowed != "" {
		facts = append(facts, Fact{Name: "Which part of its history", Value: c.Narrowed})
	}
	return append(facts, Fact{Name: "Why", Value: c.Why}, Fact{Name: "Begun", Value: c.By + " " + Stamp(c.At, p.Zone), Figure: true})
}

func (p Containment) outside() Listing {
	l := Listing{Name: "Out of reach", Empty: "Every one of them could be held.", Columns: columnsOf("Insert", "Why", "Customer", "Mould", "Delivery note", "Since")}
	for _, o := range p.Containment.Outside {
		why := o.Why
		for _, h := range p.Containment.Holds {
			if h.OnCode == o.Insert { // it came back since
				why += "; came back, held " + h.Hold
			}
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink("insert", o.Insert), words(why), code(o.Customer), code(o.Mould), code(o.Note), code(Stamp(o.Since, p.Zone))}})
	}
	return l
}

func (p Containment) notices() Listing {
	l := Listing{Name: "Notices", Empty: "Nothing of it was delivered: nobody has to be told.", Columns: columnsOf("Customer", "State", "Inserts", "Sent", "Answered")}
	for _, n := range p.Containment.Notices {
		mark := map[string]string{"to be written": "stopped", "sent": "open", "answered": "done"}[n.State()]
		var inserts []string
		for _, o := range p.Containment.Outside {
			if o.Customer == n.Customer {
				inserts = append(inserts, o.Insert)
			}
		}
		l.Rows = append(l.Rows, Row{Stopped: mark == "stopped", Cells: []Item{{Text: n.Customer, Href: NoticeOf(p.Containment.Containment, n.Customer), Code: true}, stateItem(n.State(), mark), code(strings.Join(inserts, ", ")),
			words(noticeWhen(n.SentAt, n.SentBy, n.How, p.Zone)), words(noticeWhen(n.AnsweredAt, n.AnsweredBy, n.Answer, p.Zone))}})
	}
	return l
}

func noticeWhen(at time.Time, by, what string, zone *time.Location) string {
	if at.IsZero() {
		return "not yet"
	}
	return Stamp(at, zone) + " " + by + ": " + what
}

// NoticeOf is the address of the notice of a containment to a customer.
func NoticeOf(containment, customer string) string {
	return PageOf("containment", containment) + "/notices/" + pathOf(customer)
}

// Notice is the page about what a customer is told.
type Notice struct {
	Frame
	Containment shop.Containment
	Notice      shop.RecallNotice
	Zone        *time.Location
	Send        *Form // nil once it was sent, and for those who send none
	Answer      *Form // nil until it was sent, once it was answered, and for those who do not write it down
}

// theirs are the customer's inserts.
func (p Notice) theirs() []shop.OutOfReach {
	var all []shop.OutOfReach
	for _, o := range p.Containment.Outside {
		if o.Customer == p.Notice.Customer {
			all = append(all, o)
		}
	}
	return all
}

// Draft is what the notice could say. A person writes it.
func (p Notice) Draft() string {
	var b strings.Builder
	b.WriteString("We have reason to doubt these mould inserts that we delivered to you:\n")
	for _, o := range p.theirs() {
		fmt.Fprintf(&b, "%s, in mould %s, delivered %s with delivery note %s\n", o.Insert, cmp.Or(o.Mould, "none"), o.Since.In(p.Zone).Format(time.DateOnly), cmp.Or(o.Note, "unknown"))
	}
	b.WriteString("\nPlease do not use them until you hear from us, keep them apart, and tell us where they are and what was made with them.")
	return b.String()
}

// Says is the text as it was sent, or as it would be.
func (p Notice) Says() string { return cmp.Or(p.Notice.Says, p.Draft()) }

// lines are its text line by line, as it is printed.
func (p Notice) lines() []string { return strings.Split(p.Says(), "\n") }

func (p Notice) list() Listing {
	l := Listing{Name: "Inserts that the notice is about", Columns: columnsOf("Insert", "Mould", "Delivered", "Delivery note")}
	for _, o := range p.theirs() {
		l.Rows = append(l.Rows, Row{Cells: []Item{code(o.Insert), code(o.Mould), code(o.Since.In(p.Zone).Format(time.DateOnly)), code(o.Note)}})
	}
	return l
}

// ofContainment is about what is held together and who is told.
func ofContainment(e shop.Event, zone *time.Location) string {
	switch e := e.(type) {
	case shop.ContainmentBegun:
		var held, outside []string
		for _, h := range e.Held {
			held = append(held, h.Insert+" ("+h.Hold+")")
		}
		for _, o := range e.Outside {
			outside = append(outside, o.Insert+" ("+o.Why+" "+Stamp(o.Since, zone)+opt(" to ", o.Customer)+opt(" in mould ", o.Mould)+opt(", note ", o.Note)+")")
		}
		return fmt.Sprintf("Containment %s of %s %s was begun%s: held are %s%s. Why: %s", e.Containment, e.OfKind, e.OfCode, opt(", ", e.Narrowed), cmp.Or(shop.Listed(held), "none"), opt("; out of reach are ", shop.Listed(outside)), full(e.Why))
	case shop.ContainmentLifted:
		var lifted []string
		for _, h := range e.Lifted {
			lifted = append(lifted, h.Hold+" on "+h.Insert)
		}
		return fmt.Sprintf("Holds of containment %s were lifted: %s. Why: %s", e.Containment, shop.Listed(lifted), full(e.Why))
	case shop.NoticeSent:
		return fmt.Sprintf("The notice of containment %s to %s was sent, %s. It says: %s", e.Containment, e.Customer, strings.TrimSuffix(e.How, "."), full(e.Says))
	case shop.NoticeAnswered:
		return fmt.Sprintf("Customer %s answered the notice of containment %s: %s", e.Customer, e.Containment, full(e.Answer))
	case shop.TraceDrilled:
		return fmt.Sprintf("Trace drill of %s: %d things behind it, %d inserts that share with it, in %d µs; missing: %s.", e.Insert, e.Upstream, e.Downstream, e.Took, cmp.Or(shop.Listed(e.Missing), "nothing"))
	}
	return ""
}

// recalledWords say what came back after a containment had named it.
func recalledWords(all []shop.Recalled) string {
	var said []string
	for _, r := range all {
		said = append(said, r.Insert+" ("+r.Hold+", containment "+r.Containment+": "+strings.TrimSuffix(r.Why, ".")+")")
	}
	if len(said) == 0 {
		return ""
	}
	return " Held at once: " + shop.Listed(said) + "."
}
