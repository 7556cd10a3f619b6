package views

import "testing"

// The parts of an account add up as they are printed.
func TestAccountAddsUpOnPaper(t *testing.T) {
	for _, tt := range []struct {
		of    []float64
		wants []string
	}{
		{[]float64{250, 100.3, 49.7, 100}, []string{"250.0", "100.3", "49.7", "100.0"}},
		{[]float64{250, 100.26, 49.78, 99.96}, []string{"250.00", "100.26", "49.78", "99.96"}},
		{[]float64{12.345, 12.3, 0.045, 0}, []string{"12.345", "12.300", "0.045", "0.000"}},
		{[]float64{0.3, 0.1 + 0.2, 0, 0}, []string{"0.3", "0.3", "0.0", "0.0"}},
	} {
		p := Account{In: tt.of[0], Sum: tt.of[0]}
		for _, g := range tt.of[1:] {
			p.Lines = append(p.Lines, AccountLine{Grams: g})
		}
		for i, want := range tt.wants {
			if got := p.grams(tt.of[i]); got != want {
				t.Errorf("%v g of %v is %q; want %q", tt.of[i], tt.of, got, want)
			}
		}
	}
}
