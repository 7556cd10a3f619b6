package views

import "strconv"

// Checkpoints is the page about the signed checkpoints that the book keeps.
type Checkpoints struct {
	Frame
	Kept     []KeptCheckpoint // newest first
	Older    string           // address of those before, "" for none
	Entries  int64            // entries in the log
	Verifier string           // key that checks the newest
	Signs    bool             // whether this service has the key that signs
	Make     *Form            // nil for those who may not sign, or cannot
}

// A KeptCheckpoint is one line of the list.
type KeptCheckpoint struct {
	Size int64
	Root string
}

// Count says how long the log is.
func (p Checkpoints) Count() string { return "The log has " + entriesWord(p.Entries) + "." }

// Listing is the table of checkpoints.
func (p Checkpoints) Listing() Listing {
	l := Listing{Name: "Signed checkpoints", Empty: "No checkpoint was signed yet.", Columns: columnsOf("Covers", "Root", "To keep")}
	l.Columns[2].Off = true
	for _, c := range p.Kept {
		size := strconv.FormatInt(c.Size, 10)
		l.Rows = append(l.Rows, Row{Cells: []Item{words(entriesWord(c.Size)), code(c.Root), {Text: "Keep it", Href: "/checkpoints/" + size, Said: "Keep it: the checkpoint of " + size + " entries"}}})
	}
	return l
}

// When says when checkpoints are signed.
func (p Checkpoints) When() string {
	if !p.Signs {
		return "This service has no key to sign with: no checkpoint is signed until the book's key file is put into its data folder."
	}
	return "The log is signed every hour, at 6, 14 and 22 o'clock, when a mould is delivered, and when the quality manager says so here."
}
