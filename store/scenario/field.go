package scenario

import (
	"strconv"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// get is the text of a field as it stands.
func (r row) get(column string) string {
	i, declared := r.t.columns[column]
	if !declared {
		panic("scenario: " + r.t.name + " is read without declaring its column " + column)
	}
	if i < 0 { // the file does without it
		return ""
	}
	return r.cells[i]
}

// need is the text of a field that must be filled in.
func (r row) need(column string) string {
	text := r.get(column)
	if text == "" {
		r.wrong(column, "this field is empty.")
	}
	return text
}

// time is a moment with its offset.
func (r row) time(column string) time.Time {
	if r.need(column) == "" {
		return time.Time{}
	}
	return r.timeIf(column)
}

// timeIf is a moment, or the zero time where the field is empty.
func (r row) timeIf(column string) time.Time {
	at := r.planned(column)
	if at.After(r.now) {
		r.wrong(column, "%s lies after the scenario's now, %s.", r.get(column), r.clock(r.now))
	}
	return at
}

// planned is a moment that may lie ahead, or the zero time where the field is
// empty.
func (r row) planned(column string) time.Time {
	text := r.get(column)
	if text == "" {
		return time.Time{}
	}
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		r.wrong(column, "%q is not a time: write it with its offset, as 2025-10-26T02:20:00+02:00.", text)
		return time.Time{}
	}
	return at
}

// until is a moment that cannot lie before another one of the row; zero where
// the field is empty.
func (r row) until(column, since string) time.Time {
	at, from := r.timeIf(column), r.timeIf(since)
	if !at.IsZero() && at.Before(from) {
		r.wrong(column, "%s lies before %s, %s.", r.get(column), since, r.get(since))
	}
	return at
}

// day is a calendar day. "" where the field is empty.
func (r row) day(column string) shop.Date {
	d := shop.Date(r.get(column))
	if d != "" && !d.Valid() {
		r.wrong(column, "%q is not a day: write it as 2025-11-21.", string(d))
		return ""
	}
	return d
}

// dayNeeded is a calendar day that must be filled in.
func (r row) dayNeeded(column string) shop.Date {
	r.need(column)
	return r.day(column)
}

// midnight is the beginning of a day in the shop's zone.
func (r row) midnight(column string) time.Time {
	at, err := time.ParseInLocation(time.DateOnly, string(r.dayNeeded(column)), r.zone)
	if err != nil {
		return time.Time{} // said by day already
	}
	if at.After(r.now) {
		r.wrong(column, "%s lies after the scenario's now, %s.", r.get(column), r.clock(r.now))
	}
	return at
}

// count is a whole number.
func (r row) count(column string) int {
	text := r.need(column)
	n, err := strconv.Atoi(text)
	if err != nil && text != "" {
		r.wrong(column, "%q is not a whole number.", text)
	}
	return n
}

// yes reads yes or no.
func (r row) yes(column string) bool {
	text := r.get(column)
	if text != "yes" && text != "no" {
		r.wrong(column, "%q is neither yes nor no.", text)
	}
	return text == "yes"
}

// reading is a number in the unit of its column; not taken where the field is
// empty.
func (r row) reading(column, unit string) shop.Reading {
	text := r.get(column)
	if text == "" {
		return shop.Reading{}
	}
	return r.parsed(column, text, unit)
}

func (r row) parsed(column, text, unit string) shop.Reading {
	quantity := shop.QuantityOf(unit)
	if quantity == "" {
		r.wrong(column, "%q is not a unit that the shop knows.", unit)
		return shop.Reading{}
	}
	got, err := shop.ParseReading(text, unit, quantity)
	if err != nil {
		r.wrong(column, "%s", err)
	}
	return got
}

// number is a reading that must be filled in.
func (r row) number(column, unit string) shop.Reading {
	r.need(column)
	return r.reading(column, unit)
}

// badge is a person who must be known.
func (r row) badge(column string) string {
	badge := r.need(column)
	r.refer(column, badge, "person with the badge", r.people)
	return badge
}

// refer sees to it that a key stands in another file.
func (r row) refer(column, key, what string, there *table) (row, bool) {
	found, ok := there.find(key)
	if !ok && key != "" {
		r.wrong(column, "there is no %s %s.", what, key)
	}
	return found, ok
}

// clock is a moment as the folder writes it.
func (f *folder) clock(t time.Time) string { return t.In(f.zone).Format(time.RFC3339) }

// words splits a field that names several things with a space between.
func (r row) words(column string) []string { return strings.Fields(r.get(column)) }
