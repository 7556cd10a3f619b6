package views

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Releases is the list of design releases.
type Releases struct {
	Frame
	Releases []shop.Release // newest first
	At       time.Time
	New      bool // this person may draft one
}

// Release is the page about one design release.
type Release struct {
	Frame
	Release  shop.Release
	Inserts  []shop.Insert // to be printed, or printed, by it
	Zone     *time.Location
	At       time.Time
	Sign     *Form // nil for those who may not sign it, or signed it
	Withdraw *Form
	Replace  bool         // this person may draft another in its place
	Shifts   []shop.Shift // factors that are not the lots' any more
}

// NewRelease is the form that drafts a release. Design is zero while none was
// named.
type NewRelease struct {
	New
	At       time.Time
	Design   shop.Design
	Designs  []shop.Design
	Lots     []shop.Lot
	Machines []shop.Machine
	Releases []shop.Release
	Recipes  []shop.Recipe
}

// ReleaseHref is the page of a release.
func ReleaseHref(release string) string { return "/releases/" + pathOf(release) }

// Shrinkage is the linear shrinkage s that an oversize factor k stands for, in
// percent of the green length: k = 1/(1 − s).
func Shrinkage(k float64) float64 { return 100 * (1 - 1/k) }

// means says what a factor means, "" for one that was not given.
func means(k shop.Reading) string {
	if !k.Taken() || k.Value() < 1 {
		return ""
	}
	return Number(Shrinkage(k.Value()), 2)
}

// SignedBy reports whether a person signed the release.
func (p Release) SignedBy(badge string) bool {
	return slices.ContainsFunc(p.Release.Signatures, func(s shop.Signature) bool { return s.By == badge })
}

// Words say what the release is for.
func (p Release) Words() string {
	r := p.Release
	return fmt.Sprintf("%s revision %s of lot %s on machine %s", r.Design, r.Revision, r.LotWords(), r.Machine)
}

// Facts are what the release says.
func (p Release) Facts() []Fact {
	r := p.Release
	facts := []Fact{
		{Name: "Design", Value: r.Design + " " + r.Revision, Href: DesignHref(r.Design, r.Revision), Figure: true}, {Name: "Lot", Value: r.LotWords(), Href: PageOf("lot", r.Lot), Figure: true},
		{Name: "Machine", Value: r.Machine, Figure: true}, {Name: "Furnace recipe", Value: r.Recipe, Figure: true}, {Name: "Build orientation", Value: r.Orientation},
		{Name: "Program", Value: r.Program, Figure: true},
	}
	for i, insert := range r.Firsts {
		facts = append(facts, Fact{Name: []string{"For first inserts only", ""}[min(i, 1)], Value: insert, Href: PageOf("insert", insert), Figure: true})
	}
	return facts
}

// An axis is one factor of a release with what it means.
type axis struct {
	Name, K, S string
}

func (p Release) axes() []axis {
	r := p.Release
	return []axis{{"X", r.KX.Text, means(r.KX)}, {"Y", r.KY.Text, means(r.KY)}, {"Z", r.KZ.Text, means(r.KZ)}}
}

// Signatures says how many are still missing.
func (p Release) Signatures() string {
	if p.Release.Signed(p.At) {
		return "Two people signed it."
	}
	return "It may be printed once two different people signed it."
}

// Open are the inserts that are to be printed by the release and whose print
// has not begun.
func (p Release) Open() []shop.Insert {
	return slices.DeleteFunc(slices.Clone(p.Inserts), func(i shop.Insert) bool { return i.Done || i.Status != shop.StatusOpened })
}

// Begun are the inserts whose print has begun, made or not.
func (p Release) Begun() []shop.Insert {
	return slices.DeleteFunc(slices.Clone(p.Inserts), func(i shop.Insert) bool { return i.Status == shop.StatusOpened || i.Status == shop.StatusScrapped })
}

// Effect says what superseding or withdrawing the release does.
func (p Release) Effect() string {
	open, begun := p.Open(), p.Begun()
	first := "No traveler waits to be printed by it."
	if len(open) > 0 {
		var numbers []string
		for _, i := range open {
			numbers = append(numbers, i.Insert)
		}
		first = "No print by it can begin any more: the gate stops " + shop.Listed(numbers) + "."
	}
	if len(begun) == 0 {
		return first
	}
	return fmt.Sprintf("%s Prints that began, %s, keep it and go on.", first, insertsWord(len(begun)))
}

// factor is the field of a factor; beside what was typed stands the shrinkage
// that it means.
func (p NewRelease) factor(field, ax string) Field {
	f := p.Form.Figure(field, "Oversize in "+ax, "", true)
	f.Hint = "Four decimals."
	if k, err := shop.ParseReading(f.Value, "1", shop.Ratio); err == nil && k.Value() >= 1 {
		f.Hint = f.Value + " means s = " + WithUnit(means(k), "%") + "."
	}
	return f
}

// LotOptions are the lots that can be printed.
func (p NewRelease) LotOptions() []Option {
	var o []Option
	for _, l := range p.Lots {
		state := "on test"
		if l.Released() {
			state = "released"
		}
		o = append(o, Option{Value: l.Lot, Text: l.Lot + ", " + l.Material + ", " + state})
	}
	return o
}

// MachineOptions are the machines.
func (p NewRelease) MachineOptions() []Option {
	var o []Option
	for _, m := range p.Machines {
		o = append(o, Options(m.Machine)...)
	}
	return o
}

// SupersedesField is the choice of the release that this one replaces.
func (p NewRelease) SupersedesField() Choice {
	var o []Option
	for _, r := range p.InForce() {
		o = append(o, Option{Value: r.Release, Text: fmt.Sprintf("%s: %s %s, %s, %s", r.Release, r.Design, r.Revision, r.LotWords(), r.Machine)})
	}
	c := p.Form.Pick("supersedes", "Supersedes", o, false)
	c.Empty, c.Hint = "none", "It goes out of force once two people have signed this one."
	return c
}

// InForce are the releases that stand, of the design where one is named.
func (p NewRelease) InForce() []shop.Release {
	return slices.DeleteFunc(slices.Clone(p.Releases), func(r shop.Release) bool {
		return !r.InForce(p.At) || p.Design.Design != "" && r.Design != p.Design.Design
	})
}

// Factors are those in force, to compare digits with.
func (p NewRelease) Factors() []Fact {
	var facts []Fact
	for _, r := range p.InForce() {
		facts = append(facts, Fact{Name: r.LotWords() + " on " + r.Machine + ", " + r.Release, Value: r.KX.Text + " " + r.KY.Text + " " + r.KZ.Text, Href: ReleaseHref(r.Release), Figure: true})
	}
	return facts
}

// DesignFacts are what the release takes from the design.
func (p NewRelease) DesignFacts() []Fact {
	d := p.Design
	return []Fact{
		{Name: "Design", Value: d.Design + " " + d.Name, Href: DesignHref(d.Design, "")}, {Name: "Revision in force", Value: d.Revision, Figure: true},
		{Name: "Size", Value: sizeOf(d), Figure: true},
	}
}

// hashShown breaks a hash so that it can be compared by eye.
func hashShown(hash string) string {
	var b strings.Builder
	for i := 0; i < len(hash); i += 8 {
		b.WriteString(hash[i:min(i+8, len(hash))] + " ")
	}
	return strings.TrimSpace(b.String())
}

func signatureCount(r shop.Release) string { return strconv.Itoa(len(r.Signatures)) }
