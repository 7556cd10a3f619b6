// Package views draws Sinterbook's pages. A page is a function of one struct
// that the caller has filled; wording and rounding are methods on that struct.
package views

import "strings"

// A Frame is what every page shows around its own matter.
type Frame struct {
	Shop    string // the shop's name
	Now     string // the book's own clock, written out in the shop's zone
	Demo    bool   // an invented book: every page says so
	Pass    string // the page that lets the demo's time pass; "" leaves it out
	Person  string // the badge of who is signed in; "" when nobody is
	Role    string // what that person does, in words
	Station string // the station's name; "" away from a station
	Nav     []Link
	Idle    int      // seconds after which the tablet locks itself; 0 away from one
	SignOut string   // where signing out is posted; "" leaves it out
	Notice  string   // one sentence about the act just done
	Print   bool     // a page made for paper, shown on screen as it prints
	Icon    string   // address of the picture of the tab
	Style   string   // address of the stylesheet
	Sheets  string   // address of the one for what is laid out for paper, on its pages
	Script  string   // address of the script
	Modules []string // addresses of scripts that only some pages have something to do for
	Keypad  string   // address of the keypad's script, for stations
	Queue   string   // address of the script that keeps acts at a station without connection
	Camera  string   // address of the camera's script, loaded when it is asked for

	Size       int64  // entries in the log before the page was read
	Live       string // where the page hears of what others record; "" where it does not
	LiveScript string // address of the script that listens
	Again      string // address that shows this page anew; "" where there is none
}

// A Link is one entry of the navigation. Here marks the page being shown.
type Link struct {
	Href string
	Text string
	Here bool
}

// Does is what the person does, short enough to stand beside the badge.
func (f Frame) Does() string {
	if roles := strings.Count(f.Role, ", ") + 1; roles > 2 {
		return Whole(roles) + " roles"
	}
	return f.Role
}

// Name is what the frame is headed with: the station, or the program away
// from one.
func (f Frame) Name() string {
	if f.Station != "" {
		return f.Station
	}
	return "Sinterbook"
}

// Title is the title of the browser's window.
func (f Frame) Title(page string) string {
	parts := []string{page, f.Name()}
	if f.Shop != "" {
		parts = append(parts, f.Shop)
	}
	return strings.Join(parts, " · ")
}

// Listens reports whether the page hears of what others record.
func (f Frame) Listens() bool { return f.Live != "" && !f.Print }

// Kind is the class of the body: what the page is laid out for.
func (f Frame) Kind() string {
	switch {
	case f.Print:
		return "for-paper"
	case f.Station != "":
		return "station"
	default:
		return "office"
	}
}
