package shop

import (
	"slices"
	"strings"
)

// A Role is what a person does in the shop; it decides which pages act.
type Role string

// The roles of a toolroom.
const (
	ProcessEngineer Role = "process engineer"
	PrintOperator   Role = "print operator"
	FurnaceOperator Role = "furnace operator"
	Inspector       Role = "inspector"
	Toolmaker       Role = "toolmaker"
	QualityManager  Role = "quality manager"
	Planner         Role = "planner"
	Auditor         Role = "auditor" // reads and prints, changes nothing
)

// Roles lists all roles in the order in which work passes through them.
var Roles = []Role{Planner, ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, Toolmaker, QualityManager, Auditor}

// A Person is somebody with a badge. The log knows the badge only: the name
// stands in a table of its own from which it can be erased.
type Person struct {
	ID         int64
	Badge      string
	Name       string // "" once erased
	Roles      []Role
	From       Date
	Until      Date // last day, "" while here
	Code       ScanCode
	Authorised []Authorisation
}

// Has reports whether the person has one of the roles.
func (p Person) Has(roles ...Role) bool {
	return slices.ContainsFunc(roles, func(r Role) bool { return slices.Contains(p.Roles, r) })
}

// RoleWords is the person's roles in words.
func (p Person) RoleWords() string { return strings.Join(roleWords(p.Roles), ", ") }

func roleWords(roles []Role) []string {
	var words []string
	for _, r := range roles {
		words = append(words, string(r))
	}
	return words
}

// An Authorisation lets a person do one operation from one day to another.
type Authorisation struct {
	Operation string
	From      Date
	Until     Date // last valid day, "" means open
	GivenBy   string
	Evidence  string // number of the training record
}

// MayDo reports whether the person is authorised for the operation on a day.
func (p Person) MayDo(operation string, day Date) bool {
	return slices.ContainsFunc(p.Authorised, func(a Authorisation) bool {
		return a.Operation == operation && a.From <= day && (a.Until == "" || day <= a.Until)
	})
}

// PersonAdded gives somebody a badge.
type PersonAdded struct {
	Badge string   `json:"badge"`
	Roles []Role   `json:"roles"`
	From  Date     `json:"from"`
	Code  ScanCode `json:"code"`
}

func (PersonAdded) Kind() string         { return "person-added" }
func (e PersonAdded) Subjects() []string { return []string{Subject("person", e.Badge)} }

// Valid refuses a person without badge, role or first day.
func (e PersonAdded) Valid() error {
	f := Fields{}
	f.Number("badge", e.Badge, "The badge number")
	needRoles(f, e.Roles)
	f.needDate("from", e.From, "The first day")
	needCode(f, e.Code)
	return f.Err()
}

func needRoles(f Fields, roles []Role) {
	if len(roles) == 0 {
		f.Say("roles", "A role is missing: choose what the person does.")
	}
	for _, r := range roles {
		if !slices.Contains(Roles, r) {
			f.Say("roles", "%q is not a role of this shop.", r)
		}
	}
	f.noTwice("roles", roleWords(roles))
	if len(roles) > 1 && slices.Contains(roles, Auditor) {
		f.Say("roles", "An auditor changes nothing and can have no other role beside it.")
	}
}

// PersonChanged sets somebody's roles or last day anew.
type PersonChanged struct {
	Badge string `json:"badge"`
	Roles []Role `json:"roles"`
	Until Date   `json:"until"`
}

func (PersonChanged) Kind() string         { return "person-changed" }
func (e PersonChanged) Subjects() []string { return []string{Subject("person", e.Badge)} }

// Valid refuses a change that leaves no role, or a last day that is no day.
func (e PersonChanged) Valid() error {
	f := Fields{}
	f.Need("badge", e.Badge, "The badge number")
	needRoles(f, e.Roles)
	if e.Until != "" {
		f.needDate("until", e.Until, "The last day")
	}
	return f.Err()
}

// PersonKeysSet says that a name, PIN or password was set. What it was set to
// is not in the log: it is kept beside it, and the name can be erased.
type PersonKeysSet struct {
	Badge string   `json:"badge"`
	What  []string `json:"what"` // "name", "PIN", "password"

	Private PersonKeys `json:"-"`
}

// PersonKeys is what the log must not hold. Hashes are argon2id in PHC form;
// "" leaves what stands.
type PersonKeys struct {
	Name     string
	PIN      string
	Password string
}

func (PersonKeysSet) Kind() string         { return "person-keys-set" }
func (e PersonKeysSet) Subjects() []string { return []string{Subject("person", e.Badge)} }

// Valid refuses an event that sets nothing, or something unknown.
func (e PersonKeysSet) Valid() error {
	f := Fields{}
	f.Need("badge", e.Badge, "The badge number")
	if len(e.What) == 0 {
		f.Say("what", "Nothing was set: type a name, a PIN or a password.")
	}
	f.noTwice("what", e.What)
	for _, w := range e.What {
		if w != "name" && w != "PIN" && w != "password" {
			f.Say("what", "%q is not a thing that can be set.", w)
		}
	}
	return f.Err()
}

// NameErased says that a person's name, PIN and password were erased; the
// badge and what it did stay.
type NameErased struct {
	Badge string `json:"badge"`
}

func (NameErased) Kind() string         { return "name-erased" }
func (e NameErased) Subjects() []string { return []string{Subject("person", e.Badge)} }

// Valid refuses an event without a badge.
func (e NameErased) Valid() error {
	f := Fields{}
	f.Need("badge", e.Badge, "The badge number")
	return f.Err()
}

// PersonAuthorised lets a person do an operation.
type PersonAuthorised struct {
	Badge     string `json:"badge"`
	Operation string `json:"operation"`
	From      Date   `json:"from"`
	Until     Date   `json:"until"`
	Evidence  string `json:"evidence"`
}

func (PersonAuthorised) Kind() string         { return "person-authorised" }
func (e PersonAuthorised) Subjects() []string { return []string{Subject("person", e.Badge)} }

// Valid refuses an authorisation for no operation or without a first day.
func (e PersonAuthorised) Valid() error {
	f := Fields{}
	f.Need("badge", e.Badge, "The badge number")
	if !slices.Contains(Operations, e.Operation) && !slices.Contains(BuildParts, e.Operation) {
		f.Say("operation", "%q is not an operation of the route.", e.Operation)
	}
	f.needDate("from", e.From, "The first day")
	if e.Until != "" {
		f.needDate("until", e.Until, "The last day")
		if e.Until < e.From {
			f.Say("until", "The last day %s lies before the first day %s.", e.Until, e.From)
		}
	}
	f.Need("evidence", e.Evidence, "The number of the training record")
	return f.Err()
}
