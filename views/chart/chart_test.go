package chart

import (
	"math"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"
)

func TestTicks(t *testing.T) {
	for _, tt := range []struct {
		name   string
		values []float64
		want   string
	}{
		{"lengths", []float64{0, 80}, "0 20 40 60 80"},
		{"errors on both sides", []float64{-0.19, 0.031}, "−0.20 −0.15 −0.10 −0.05 0.00 0.05"},
		{"one value", []float64{40}, "36 38 40 42 44"},
		{"nought alone", []float64{0}, "−0.0000010 −0.0000005 0.0000000 0.0000005 0.0000010"},
		{"what is no number counts for nothing", []float64{math.NaN(), 0, math.Inf(1), 10}, "0 2 4 6 8 10"},
		{"nothing at all", nil, "0.0 0.2 0.4 0.6 0.8 1.0"},
		{"large", []float64{0, 123456}, "0 50000 100000 150000"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			s := Up("", tt.values...)
			for _, tick := range s.Ticks {
				got = append(got, tick.Text)
			}
			if strings.Join(got, " ") != tt.want {
				t.Errorf("ticks are %v; want %s", got, tt.want)
			}
			low, high := spanOf(tt.values)
			if s.Low > low || s.High < high {
				t.Errorf("the scale runs from %v to %v: not all of %v to %v is on it", s.Low, s.High, low, high)
			}
		})
	}
}

func TestDays(t *testing.T) {
	vienna, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	late := time.Date(2025, 10, 25, 22, 30, 0, 0, time.UTC) // half past midnight in Vienna
	if got := Day(late, vienna) - Day(time.Date(2025, 10, 25, 22, 0, 0, 0, time.UTC), vienna); math.Abs(got-0.5/24) > 1e-9 {
		t.Errorf("half an hour is %v days", got)
	}
	s := Days("", Day(late, vienna), Day(late.AddDate(0, 0, 20), vienna))
	if s.Ticks[0].Text != "10-26" || len(s.Ticks) > 6 {
		t.Errorf("the scale begins with %+v", s.Ticks)
	}
}

// TestPicture asks that every point is a link with a title.
func TestPicture(t *testing.T) {
	p := Plot{Name: "errors", Across: Across("length, mm", 0, 80), Up: Up("error, µm", -10, 10),
		Lines:  []Line{{X: []float64{0, 40, 80}, Y: []float64{-5, math.NaN(), 5}}},
		Points: []Point{{X: 40, Y: 3, Low: 1, High: 5, Title: "I-0001: 3 µm", Href: "/inserts/I-0001", Kind: "insert"}}}
	var b strings.Builder
	if err := Picture(p).Render(t.Context(), &b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`href="/inserts/I-0001"`, `aria-label="I-0001: 3 µm"`, `<title>I-0001: 3 µm</title>`, `aria-label="errors"`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the picture lacks %s:\n%s", want, b.String())
		}
	}
	// Ticks are written right of the edge and below the name of their scale: one
	// character is 9 wide and 15 high (15 px in a type of one width).
	for _, tick := range Up("", -1000, 1000).Ticks {
		if wide := 9 * float64(len([]rune(tick.Text))); wide > left-9 {
			t.Errorf("%s runs out of the picture", tick.Text)
		}
	}
	if highest := p.Up.at(p.Up.High) + 5 - 15; highest < 15 {
		t.Errorf("the highest tick begins at %v and the name of the scale ends at 15", highest)
	}
	if strings.Contains(b.String(), "NaN") {
		t.Error("a value that is no number was drawn")
	}
}
