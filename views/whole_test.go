package views

import (
	"strings"
	"testing"
)

func TestWhole(t *testing.T) {
	for text, want := range map[string]string{
		"":                                 "",
		"HT44 paste":                       "HT44 paste",
		"134 days left":                    "134\u00a0days left",
		"12.5 µm, 3 g and 2 h 30 min":      "12.5\u00a0µm, 3\u00a0g and 2\u00a0h 30\u00a0min",
		"5 grains, 3 in 4, held by 2 µmol": "5 grains, 3 in 4, held by 2 µmol",
		"55 % ± 4 °C.":                     "55\u00a0% ± 4\u00a0°C.",
		"delivered (2025-10-22), <M301>":   `delivered <span class="whole">(2025-10-22),</span> &lt;M301&gt;`,
		"from 2025-10-08 to 2025-11-04":    `from <span class="whole">2025-10-08</span> to <span class="whole">2025-11-04</span>`,
	} {
		var b strings.Builder
		if err := whole(text).Render(t.Context(), &b); err != nil || b.String() != want {
			t.Errorf("whole(%q) = %q, %v; want %q", text, b.String(), err, want)
		}
	}
}
