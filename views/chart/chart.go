// Package chart draws pictures of measured values as SVG on the server. Every
// point is a link with a spoken title; whoever shows a picture puts the table
// behind it.
package chart

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// The picture's measures, in its own units; a page scales it as a whole.
const (
	width  = 520.0
	height = 320.0
	left   = 64.0
	right  = 26.0 // half of a date, which stands under the end of its scale
	top    = 32.0 // room for the name of the upright scale, which no tick reaches
	bottom = 56.0
)

// A Plot is a picture of values over a length or over time.
type Plot struct {
	Name   string // what it shows, in a sentence for whoever cannot see it
	Across Scale
	Up     Scale
	Lines  []Line
	Points []Point
}

// A Scale is an axis of the picture.
type Scale struct {
	Label    string
	Low      float64
	High     float64
	Ticks    []Tick
	Vertical bool
}

// A Tick is a value that is written at an axis.
type Tick struct {
	At   float64
	Text string
}

// A Point is one value. Low and High bound it where they differ from it.
type Point struct {
	X, Y, Low, High float64
	Title           string // spoken, and shown where the pointer rests
	Href            string
	Kind            string // class that says what it is: "insert", "coupon", "apart", "run"
}

// A Line runs through values.
type Line struct {
	X, Y []float64
	Kind string
}

// Across makes the scale of a length or a count, from the values it must hold.
func Across(label string, values ...float64) Scale { return linear(label, values) }

// Up makes the scale that the values are read at.
func Up(label string, values ...float64) Scale {
	s := linear(label, values)
	s.Vertical = true
	return s
}

// linear has steps of 1, 2 or 5 times a power of ten, about six of them.
func linear(label string, values []float64) Scale {
	low, high := spanOf(values)
	if low == high {
		pad := math.Max(math.Abs(low)*0.1, 1e-6)
		low, high = low-pad, high+pad
	}
	step := stepFor((high - low) / 5)
	s := Scale{Label: label, Low: math.Floor(low/step) * step, High: math.Ceil(high/step) * step}
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	for n := math.Round(s.Low / step); n*step <= s.High+step/1000; n++ {
		s.Ticks = append(s.Ticks, Tick{n * step, figure(n*step, decimals)})
	}
	return s
}

func stepFor(rough float64) float64 {
	unit := math.Pow(10, math.Floor(math.Log10(rough)))
	for _, of := range []float64{1, 2, 5} {
		if rough <= of*unit*(1+1e-9) {
			return of * unit
		}
	}
	return 10 * unit
}

// spanOf is the least and the greatest of the values that are numbers.
func spanOf(values []float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	if low > high {
		return 0, 1
	}
	return low, high
}

// figure writes a tick with a true minus; nought has no sign.
func figure(v float64, decimals int) string {
	text := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	if v < 0 && strings.Trim(text, "0.") != "" {
		text = "\u2212" + text
	}
	return text
}

// Days makes a scale of dates; values are those of Day.
func Days(label string, values ...float64) Scale {
	low, high := spanOf(values)
	low, high = math.Floor(low), math.Ceil(high)
	if high == low {
		high = low + 1
	}
	s := Scale{Label: label, Low: low, High: high}
	step := math.Max(1, math.Ceil((high-low)/4))
	for at := low; at <= high; at += step {
		s.Ticks = append(s.Ticks, Tick{at, time.Unix(0, 0).UTC().AddDate(0, 0, int(at)).Format("01-02")})
	}
	return s
}

// Day is an instant as days since 1970 by the calendar of the shop's zone, with
// the part of the day that has passed.
func Day(t time.Time, zone *time.Location) float64 {
	l := t.In(zone)
	day := time.Date(l.Year(), l.Month(), l.Day(), 0, 0, 0, 0, time.UTC).Unix() / 86400
	return float64(day) + float64(l.Hour()*3600+l.Minute()*60+l.Second())/86400
}

// at is where a value lies in the picture.
func (s Scale) at(v float64) float64 {
	share := (v - s.Low) / (s.High - s.Low)
	if s.Vertical {
		return height - bottom - share*(height-top-bottom)
	}
	return left + share*(width-left-right)
}

func px(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

func (p Plot) viewBox() string { return fmt.Sprintf("0 0 %g %g", width, height) }

// frame is the two axes.
func (p Plot) frame() string {
	return fmt.Sprintf("M%s %sV%sH%s", px(left), px(top), px(height-bottom), px(width-right))
}

// zero is the line of nought, "" where it is not in the picture.
func (p Plot) zero() string {
	if p.Up.Low > 0 || p.Up.High < 0 {
		return ""
	}
	return fmt.Sprintf("M%s %sH%s", px(left), px(p.Up.at(0)), px(width-right))
}

func (p Plot) tickPath(s Scale, t Tick) string {
	if s.Vertical {
		return fmt.Sprintf("M%s %sh-5", px(left), px(s.at(t.At)))
	}
	return fmt.Sprintf("M%s %sv5", px(s.at(t.At)), px(height-bottom))
}

// path runs through values; what is no number breaks it.
func (p Plot) path(l Line) string {
	var d strings.Builder
	pen := "M"
	for i := range l.X {
		if math.IsNaN(l.Y[i]) || math.IsInf(l.Y[i], 0) {
			pen = "M"
			continue
		}
		fmt.Fprintf(&d, "%s%s %s", pen, px(p.Across.at(l.X[i])), px(p.Up.at(p.inside(l.Y[i]))))
		pen = "L"
	}
	return d.String()
}

// inside keeps what runs out of the picture at its edge.
func (p Plot) inside(v float64) float64 { return math.Max(p.Up.Low, math.Min(p.Up.High, v)) }

// whisker is the interval of a point, "" where it has none.
func (p Plot) whisker(v Point) string {
	if v.Low == v.High {
		return ""
	}
	x := px(p.Across.at(v.X))
	return fmt.Sprintf("M%s %sV%s", x, px(p.Up.at(p.inside(v.Low))), px(p.Up.at(p.inside(v.High))))
}

func (p Plot) place(v Point) string {
	return fmt.Sprintf("translate(%s %s)", px(p.Across.at(v.X)), px(p.Up.at(p.inside(v.Y))))
}

// shape is drawn about a point: what it is shows without colour.
func (v Point) shape() string {
	switch v.Kind {
	case "run":
		return "M-9-1.5h18v3h-18z"
	case "coupon":
		return "M-4.5-4.5h9v9h-9z"
	case "apart":
		return "M0-7L6.5 5h-13z"
	}
	return "M-5 0a5 5 0 1 0 10 0a5 5 0 1 0-10 0z"
}
