package shop

import "testing"

func TestNumberAfter(t *testing.T) {
	for number, want := range map[string]string{
		"CN-01": "CN-02", "CN-001": "CN-002", "H-9": "H-10", "NC-99": "NC-100", "FA-099": "FA-100", "DP-2025-007": "DP-2025-008", "2025/41": "2025/42", "7": "8", "A1B09": "A1B10",
		"NC-14b": "", "hold": "", "": "", "H-99999999999999999999": "",
	} {
		if got, ok := NumberAfter(number); got != want || ok != (want != "") {
			t.Errorf("after %q comes %q, %v; want %q", number, got, ok, want)
		}
	}
}
