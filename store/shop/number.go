package shop

import (
	"fmt"
	"strconv"
	"strings"
)

// NumberAfter is the number that follows another in a shop's own way of
// numbering: what stands in front stays, the figures at the end count on and
// keep at least as many digits. It is no number's successor that ends in none,
// or in more than can be counted.
func NumberAfter(number string) (next string, ok bool) {
	front := strings.TrimRight(number, "0123456789")
	digits := number[len(front):]
	n, err := strconv.ParseUint(digits, 10, 63)
	if err != nil {
		return "", false
	}
	return fmt.Sprintf("%s%0*d", front, len(digits), n+1), true
}
