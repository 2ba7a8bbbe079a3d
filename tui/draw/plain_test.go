package draw

import "testing"

// TestPlainDegrees: plain letters say 18 C, and what stands further right keeps its column.
func TestPlainDegrees(t *testing.T) {
	for in, want := range map[string]string{"18 °C, lid │ x\n60-64 °F": "18 C, lid  | x\n60-64 F ", "18 °C or 20 °C  lid": "18 C or 20 C    lid", "room 18 °C · hot": "room 18 C - hot "} {
		if got := Plain(in, true); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
