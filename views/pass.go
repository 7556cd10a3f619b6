package views

import "strconv"

// PassPath is where the time of a demo passes.
const PassPath = "/pass"

// PassAtMost bounds what passes at once, in minutes: a week.
const PassAtMost = 7 * 24 * 60

// passes are the times offered, in minutes.
var passes = []int{10, 60, 8 * 60, 24 * 60}

// Pass is the page that lets the time of a demo pass.
type Pass struct {
	Frame
	Form Form
}

// Minutes is a time in words.
func Minutes(n int) string {
	switch {
	case n%(24*60) == 0:
		return days(n / (24 * 60))
	case n == 60:
		return "1 hour"
	case n%60 == 0:
		return strconv.Itoa(n/60) + " hours"
	}
	return strconv.Itoa(n) + " minutes"
}
