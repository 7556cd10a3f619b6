package shop

import (
	"reflect"
	"strings"
	"testing"
)

// TestEveryReadingHasItsQuantity puts a reading of something else into every
// reading of every event, so that no field of a new event is forgotten.
func TestEveryReadingHasItsQuantity(t *testing.T) {
	tried := 0
	for _, x := range examples {
		e := reflect.New(reflect.TypeOf(x.event)).Elem()
		e.Set(reflect.ValueOf(x.event))
		if err := Check(e.Interface().(Event)); err != nil {
			t.Errorf("%s: %v", x.event.Kind(), err)
		}
		for _, r := range readingsIn(e, "") {
			quantity := r.field.Tag.Get("quantity")
			if quantity == itsKind {
				continue
			}
			if q := Quantity(quantity); UnitsOf(q) == nil {
				t.Errorf("%s, %s: %q is not a quantity", x.event.Kind(), r.name, quantity)
				continue
			}
			tried++
			was := reflect.ValueOf(r.value.Interface())
			wrong := MustReading("1", "HRC")
			if quantity == string(Hardness) {
				wrong = MustReading("1", "mm")
			}
			r.value.Set(reflect.ValueOf(wrong))
			if Check(e.Interface().(Event)) == nil {
				t.Errorf("%s takes %s as %s", x.event.Kind(), wrong, r.name)
			}
			r.value.Set(was)
		}
	}
	if tried < 25 {
		t.Errorf("%d readings were tried; there are more", tried)
	}
}

type readingField struct {
	name  string
	field reflect.StructField
	value reflect.Value
}

func readingsIn(v reflect.Value, name string) (found []readingField) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if f.Type == typeOfReading {
				found = append(found, readingField{name + f.Name, f, v.Field(i)})
			} else {
				found = append(found, readingsIn(v.Field(i), name+f.Name+".")...)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			found = append(found, readingsIn(v.Index(i), name)...)
		}
	}
	return found
}

func TestCheckNamesTheField(t *testing.T) {
	for name, tt := range map[string]struct {
		event Event
		field string
		says  string
	}{
		"a mass in minutes":         {but(an[DryingFinished](), func(e *DryingFinished) { e.Dry = MustReading("230", "min") }), "dry", "its unit must be g, kg"},
		"air in grams":              {but(an[LayersMade](), func(e *LayersMade) { e.Air = grams("45") }), "air", "its unit must be °C, °F"},
		"a zero byte in a remark":   {but(an[LayersMade](), func(e *LayersMade) { e.Remark = "edge\x00chipped" }), "remark", "cannot be shown"},
		"a bell in a reason":        {but(an[HoldSet](), func(e *HoldSet) { e.Why = "cracks\a" }), "why", "cannot be shown"},
		"bytes that are no text":    {but(an[HoldSet](), func(e *HoldSet) { e.Why = "cracks\xff" }), "why", "cannot be shown"},
		"a number that is a dot":    {but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = ".." }), "mould", "stands alone"},
		"a number with two slashes": {but(an[ContainerReceived](), func(e *ContainerReceived) { e.Container = "L1//03" }), "container", "stands alone"},
		"a serial scanned twice":    {LoadUnloaded{Load: "F1-01", Inserts: []string{"I-0001", "I-0001"}}, "inserts", "I-0001 is listed twice"},
		"a role twice":              {but(an[PersonAdded](), func(e *PersonAdded) { e.Roles = []Role{Planner, Planner} }), "roles", "planner is listed twice"},
		"a face twice":              {but(an[FitUpDone](), func(e *FitUpDone) { e.Faces = []Face{{Face: "base"}, {Face: "base"}} }), "faces", "base is listed twice"},
	} {
		t.Run(name, func(t *testing.T) {
			no, ok := Check(tt.event).(*Invalid)
			if !ok || !strings.Contains(no.Fields[tt.field], tt.says) {
				t.Errorf("Check says %v; want %q about %s", no, tt.says, tt.field)
			}
		})
	}
	if err := Check(but(an[LayersMade](), func(e *LayersMade) { e.Remark = "first line\nsecond\tline" })); err != nil {
		t.Errorf("lines and tabs: %v", err)
	}
	if err := Check(but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = strings.Repeat("µ", 40) })); err != nil {
		t.Errorf("forty characters of two bytes: %v", err)
	}
}
