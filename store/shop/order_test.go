package shop

import "testing"

func TestOrderWith(t *testing.T) {
	before := Order{Order: "O-1", Customer: "K1", Design: "CR40", Quantity: 3, Due: "2025-10-10", Unit: "mm", Mould: "M301", Remark: "urgent"}
	for _, tt := range []struct {
		name    string
		changes []Change
		want    func(*Order)
	}{
		{"nothing", nil, func(*Order) {}},
		{"the day", []Change{{Field: "due", From: "2025-10-10", To: "2025-10-17"}}, func(o *Order) { o.Due = "2025-10-17" }},
		{"the quantity, with a space", []Change{{Field: "quantity", From: "3", To: " 5"}}, func(o *Order) { o.Quantity = 5 }},
		{"the remark to nothing", []Change{{Field: "remark", From: "urgent"}}, func(o *Order) { o.Remark = "" }},
		{"two fields", []Change{{Field: "due", To: "2025-10-17"}, {Field: "remark", To: "late"}}, func(o *Order) { o.Due, o.Remark = "2025-10-17", "late" }},
		{"one field twice: the last counts", []Change{{Field: "remark", To: "a"}, {Field: "remark", To: "b"}}, func(o *Order) { o.Remark = "b" }},
		{"a field that cannot be changed", []Change{{Field: "customer", To: "K2"}}, func(*Order) {}},
	} {
		want := before
		tt.want(&want)
		if got := before.With(tt.changes); got != want {
			t.Errorf("%s: With = %+v; want %+v", tt.name, got, want)
		}
		for _, c := range tt.changes {
			if c.Field != "customer" && c.From != "" && before.Field(c.Field) != c.From {
				t.Errorf("%s: the form shows %q in %s; want %q", tt.name, before.Field(c.Field), c.Field, c.From)
			}
		}
	}
	if got := before.Field("customer"); got != "" {
		t.Errorf("the edit form shows the customer %q; want nothing", got)
	}
}
