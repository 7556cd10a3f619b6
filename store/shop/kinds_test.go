package shop

import (
	"bytes"
	"encoding/json"
	"errors"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// field is the value of an event's field by its name in the log.
func field(t *testing.T, event reflect.Value, name string) reflect.Value {
	t.Helper()
	for i := range event.NumField() {
		if event.Type().Field(i).Tag.Get("json") == name {
			return event.Field(i)
		}
	}
	t.Fatalf("%s has no field %q", event.Type(), name)
	return reflect.Value{}
}

// wrongIn is what Valid says about an event, by field.
func wrongIn(t *testing.T, e Event) map[string]string {
	t.Helper()
	err := e.Valid()
	if err == nil {
		return nil
	}
	no, ok := errors.AsType[*Invalid](err)
	if !ok || !errors.Is(err, ErrInvalid) {
		t.Fatalf("%s says %T %v; want an *Invalid", e.Kind(), err, err)
	}
	for _, why := range no.Fields {
		whole(t, why)
	}
	return no.Fields
}

func TestEveryKindHasAnExample(t *testing.T) {
	var have []string
	for _, x := range examples {
		have = append(have, x.event.Kind())
	}
	slices.Sort(have)
	if !slices.Equal(have, Kinds()) {
		t.Errorf("examples are of %q; want one of each of %q", have, Kinds())
	}
}

// TestExamplesAreFilled: an example with an empty field would prove nothing
// about it.
func TestExamplesAreFilled(t *testing.T) {
	for _, x := range examples {
		v := reflect.ValueOf(x.event)
		for i := range v.NumField() {
			if name := v.Type().Field(i).Tag.Get("json"); name != "-" && v.Field(i).IsZero() {
				t.Errorf("the example of %s leaves %s empty", x.event.Kind(), name)
			}
		}
	}
}

func TestEventsComeBack(t *testing.T) {
	for _, x := range examples {
		t.Run(x.event.Kind(), func(t *testing.T) {
			body, err := json.Marshal(x.event)
			if err != nil {
				t.Fatal(err)
			}
			back, err := DecodeEvent(x.event.Kind(), body)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(back, x.event) {
				t.Errorf("%s is read back as %+v; want %+v", body, back, x.event)
			}
			again, err := json.Marshal(back)
			if err != nil || !bytes.Equal(again, body) {
				t.Errorf("written again it is %s, %v; want %s", again, err, body)
			}
		})
	}
}

func TestBodiesRefused(t *testing.T) {
	for _, x := range examples {
		good, err := json.Marshal(x.event)
		if err != nil {
			t.Fatal(err)
		}
		for name, body := range map[string]string{
			"a field nobody knows": strings.Replace(string(good), "{", `{"colour":"red",`, 1),
			"something behind it":  string(good) + `{}`,
			"a list":               `[]`,
			"cut off":              string(good[:len(good)-1]),
			"nothing":              ``,
		} {
			if e, err := DecodeEvent(x.event.Kind(), []byte(body)); err == nil {
				t.Errorf("%s with %s is read as %+v; want refused", x.event.Kind(), name, e)
			}
		}
	}
	if e, err := DecodeEvent("insert-painted", []byte(`{}`)); err == nil {
		t.Errorf("an event that does not exist is read as %+v", e)
	}
}

func TestValidTakesTheExample(t *testing.T) {
	for _, x := range examples {
		if wrong := wrongIn(t, x.event); wrong != nil {
			t.Errorf("the example of %s is refused: %v", x.event.Kind(), wrong)
		}
	}
}

// TestValidNamesWhatIsMissing: the empty event names every field that it
// needs, and the filled one with one of them emptied names that one.
func TestValidNamesWhatIsMissing(t *testing.T) {
	for _, x := range examples {
		t.Run(x.event.Kind(), func(t *testing.T) {
			zero := reflect.New(reflect.TypeOf(x.event)).Elem()
			got := slices.Sorted(maps.Keys(wrongIn(t, zero.Interface().(Event))))
			if want := slices.Sorted(slices.Values(strings.Fields(x.needs))); !slices.Equal(got, want) {
				t.Errorf("the empty event names %q; want %q", got, want)
			}
			for _, need := range strings.Fields(x.needs) {
				e := reflect.New(reflect.TypeOf(x.event)).Elem()
				e.Set(reflect.ValueOf(x.event))
				field(t, e, need).SetZero()
				if wrong := wrongIn(t, e.Interface().(Event)); wrong[need] == "" || len(wrong) != 1 {
					t.Errorf("without %s Valid says %q; want a sentence about it alone", need, wrong)
				}
			}
		})
	}
}

func TestSubjects(t *testing.T) {
	for _, x := range examples {
		subjects := x.event.Subjects()
		if len(subjects) == 0 || subjects[0] != x.first {
			t.Errorf("%s is about %q; want first %s", x.event.Kind(), subjects, x.first)
			continue
		}
		for _, s := range subjects {
			if kind, code := SubjectParts(s); kind == "" || code == "" || Subject(kind, code) != s {
				t.Errorf("%s names the subject %q; want kind/number", x.event.Kind(), s)
			}
		}
	}
}

// TestSubjectParts: a container has a slash in its number.
func TestSubjectParts(t *testing.T) {
	if kind, code := SubjectParts(Subject("container", "L2509-A/03")); kind != "container" || code != "L2509-A/03" {
		t.Errorf("split into %q and %q", kind, code)
	}
}

// TestPrivateStaysOut: names, PINs, passwords and tokens are kept beside the log.
func TestPrivateStaysOut(t *testing.T) {
	const secret = "not for the log"
	for _, e := range []Event{
		PersonKeysSet{Badge: "204", What: []string{"name"}, Private: PersonKeys{Name: secret, PIN: secret, Password: secret}},
		DeviceRegistered{Device: "T-1", Station: "PR1", Private: secret},
		DocumentAdded{Document: DocumentNamed([]byte(secret)), Name: "a.jpg", Bytes: []byte(secret)},
		DocumentFiled{Document: DocumentNamed([]byte(secret)), Name: "a.pdf", Bytes: []byte(secret)},
		FitUpDone{Insert: "I-0029", Photos: []DocumentAdded{{Name: secret, Bytes: []byte(secret)}}},
	} {
		body, err := json.Marshal(e)
		if err != nil || strings.Contains(string(body), secret) {
			t.Errorf("%s is written as %s, %v", e.Kind(), body, err)
		}
	}
}
