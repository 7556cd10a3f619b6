package views

import (
	"fmt"
	"strings"

	"sinterbook/store/shop"
)

func pausedSentence(e shop.StepPaused) string {
	after := ""
	if e.Layer > 0 {
		after = fmt.Sprintf(" after layer %d", e.Layer)
	}
	return fmt.Sprintf("%s of %s is paused%s%s.", OperationName(e.Op), e.Insert, after, opt(": ", strings.TrimSuffix(e.Why, ".")))
}

// Rests says since when the operation that is under way rests, and by whom;
// "" where it goes on.
func (p Work) Rests() string {
	step, _ := p.Insert.Next()
	if step.PausedAt.IsZero() {
		return ""
	}
	return fmt.Sprintf("%s is paused since %s, by %s. To go on, scan START or touch “%s”.", OperationName(step.Operation), Stamp(step.PausedAt, p.Zone), step.PausedBy, ActTitle(ActGoOn))
}
