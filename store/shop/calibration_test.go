package shop

import "testing"

// A check passes on its limit, whatever the units, and fails beyond it.
func TestCheckIsJudgedByItsLimit(t *testing.T) {
	for name, tt := range map[string]struct{ block, read, limit, unit, want string }{
		"on the block":        {"25.000", "25.000", "0.004", "mm", "pass"},
		"on the limit, above": {"25.000", "25.004", "0.004", "mm", "pass"},
		"on the limit, below": {"25.000", "24.996", "0.004", "mm", "pass"},
		"beyond it":           {"25.000", "25.005", "0.004", "mm", "fail"},
		"beyond it, below":    {"25.000", "24.995", "0.004", "mm", "fail"},
		"a limit in µm":       {"25.000", "25.004", "4", "um", "pass"},
		"a nought too few":    {"25.000", "25.024", "0.040", "mm", "pass"},
	} {
		t.Run(name, func(t *testing.T) {
			e := GaugeChecked{Gauge: "M-12", Block: mm(tt.block), Read: mm(tt.read), Limit: MustReading(tt.limit, tt.unit)}
			if got := e.Judged(); got != tt.want {
				t.Errorf("%s; want %s", got, tt.want)
			}
		})
	}
}
