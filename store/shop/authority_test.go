package shop

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// TestRecorders: every event that is no act of the route has somebody whose
// work it is, or is written by the store itself; for acts the authorisation of
// the day decides, and a list would be a second answer.
func TestRecorders(t *testing.T) {
	byStore := []string{"book-opened", "gate-refused"}
	for _, x := range examples {
		kind := x.event.Kind()
		roles, listed := recorders[kind]
		if _, act := x.event.(Act); act == listed {
			t.Errorf("%s: act of the route %v, listed %v; want one of the two", kind, act, listed)
		}
		if listed && (len(roles) == 0) != slices.Contains(byStore, kind) {
			t.Errorf("%s is recorded by %q", kind, roles)
		}
		if !slices.Equal(Recorders(kind), roles) {
			t.Errorf("Recorders(%s) = %q; want %q", kind, Recorders(kind), roles)
		}
	}
	for kind, roles := range recorders {
		if !slices.Contains(Kinds(), kind) {
			t.Errorf("there is no event %q", kind)
		}
		for i, r := range roles {
			if !slices.Contains(Roles, r) || r == Auditor || slices.Contains(roles[:i], r) {
				t.Errorf("%s lists %q, which is no role that records, or twice", kind, r)
			}
		}
	}
}

func TestMayRecord(t *testing.T) {
	with := func(roles ...Role) Person { return Person{Badge: "204", Roles: roles} }
	for _, tt := range []struct {
		name string
		p    Person
		e    Event
		says []string
	}{
		{"their work", with(Planner), OrderTaken{}, nil},
		{"their second role", with(Inspector, Planner), OrderTaken{}, nil},
		{"an act, for which the gate asks", with(Toolmaker), PrintStarted{}, nil},
		{"their own PIN", with(PrintOperator), PersonKeysSet{Badge: "204"}, nil},
		{"somebody else's PIN", with(PrintOperator), PersonKeysSet{Badge: "205"}, []string{"204", "the quality manager"}},
		{"the quality manager sets anybody's PIN", with(QualityManager), PersonKeysSet{Badge: "205"}, nil},
		{"not their work, for one role", with(PrintOperator), HoldLifted{}, []string{"204", "it is for the quality manager."}},
		{"not their work, for two roles", with(PrintOperator), OrderTaken{}, []string{"the planner and the quality manager."}},
		{"not their work, for three roles", with(Inspector), TravelerOpened{}, []string{"the planner, the process engineer and the quality manager."}},
		{"no role", with(), LoadClosed{}, []string{"the furnace operator."}},
		{"what the book writes itself", with(QualityManager), GateRefused{}, []string{"the book"}},
		{"an auditor", with(Auditor), OrderTaken{}, []string{"auditor", "changes nothing"}},
		{"an auditor at a machine", with(Auditor), PrintStarted{}, []string{"auditor"}},
		{"an auditor sets a hold", with(Auditor), HoldSet{}, []string{"auditor"}},
		{"an auditor's own PIN", with(Auditor), PersonKeysSet{Badge: "204"}, nil},
		{"an auditor sets another's PIN", with(Auditor), PersonKeysSet{Badge: "402"}, []string{"auditor"}},
		{"an auditor by mistake with a second role", with(Planner, Auditor), OrderTaken{}, []string{"auditor"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := tt.p.MayRecord(tt.e)
			if tt.says == nil {
				if err != nil {
					t.Errorf("refused: %v", err)
				}
				return
			}
			if !errors.Is(err, ErrForbidden) {
				t.Fatalf("MayRecord = %v; want ErrForbidden", err)
			}
			whole(t, err.Error())
			for _, word := range tt.says {
				if !strings.Contains(err.Error(), word) {
					t.Errorf("%q does not name %q", err, word)
				}
			}
		})
	}
}

// TestAuditorRecordsNothing tries every event there is; keys are of another's
// badge.
func TestAuditorRecordsNothing(t *testing.T) {
	auditor := Person{Badge: "900", Roles: []Role{Auditor}, Authorised: []Authorisation{{Operation: OpPrint, From: "2025-01-01"}}}
	for _, x := range examples {
		if err := auditor.MayRecord(x.event); !errors.Is(err, ErrForbidden) {
			t.Errorf("an auditor may record %s: %v", x.event.Kind(), err)
		}
	}
}

func TestMayDo(t *testing.T) {
	p := Person{Authorised: []Authorisation{
		{Operation: OpPrint, From: "2025-01-02", Until: "2025-06-30"},
		{Operation: OpPrint, From: "2025-09-01"},
		{Operation: OpDry, From: "2025-03-01", Until: "2025-03-01"},
	}}
	for _, tt := range []struct {
		name, operation string
		day             Date
		want            bool
	}{
		{"the day before the first", OpPrint, "2025-01-01", false},
		{"the first day", OpPrint, "2025-01-02", true},
		{"the last day", OpPrint, "2025-06-30", true},
		{"between two authorisations", OpPrint, "2025-07-01", false},
		{"the second, without an end", OpPrint, "2031-12-31", true},
		{"one day only", OpDry, "2025-03-01", true},
		{"the day after", OpDry, "2025-03-02", false},
		{"never for that", OpSinter, "2025-10-01", false},
	} {
		if got := p.MayDo(tt.operation, tt.day); got != tt.want {
			t.Errorf("%s: MayDo(%s, %s) = %v; want %v", tt.name, tt.operation, tt.day, got, tt.want)
		}
	}
}

func TestRoleWords(t *testing.T) {
	if got := (Person{Roles: []Role{PrintOperator, Inspector}}).RoleWords(); got != "print operator, inspector" {
		t.Errorf("RoleWords = %q", got)
	}
}
