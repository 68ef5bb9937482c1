package spell_test

import (
	"testing"

	"example.com/borestack/align/internal/spell"
	. "example.com/borestack/tolerance"
)

// A dial is spelled in its own divisions, in any unit where they are round, and beside inches in millimetres.
//
// Source: hand calculation: 0.0123 mm is 1.23 divisions of 0.01 mm and 0.48 thou; half a thou is 0.0127 mm, of four decimals.
func TestDial(t *testing.T) {
	dial := func(u Unit, division Length) spell.Lengths {
		return spell.Lengths{Unit: u, Division: division}
	}
	for want, got := range map[string]string{
		"+0.01 mm":               dial(Millimetres, 0.01).Signed(0.0123),
		"0.012 mm":               dial(Millimetres, 0.002).Read(0.0123),
		"-0.012 mm":              dial(Millimetres, 0).Signed(-0.0123),
		"0.00 mm":                dial(Millimetres, 0.01).Signed(-0.004),
		"+0.5 thou (+0.0123 mm)": dial(Thousandths, 0.0005*Inch).Signed(0.0123),
		"+0.012 mm":              dial(Millimetres, 0.01).Held(0.012),
		"+0.02 mm":               dial(Millimetres, 0.01).Held(0.02),
		"-0.012":                 spell.Lengths{Unit: Millimetres}.Column(-0.0123),
		"0.000":                  spell.Lengths{Unit: Millimetres}.Column(-0.0004),
		"184.5 mm":               spell.Lengths{Unit: Millimetres}.Drawn(184.5),
		"half past 4 (140°)":     spell.Direction(140 * Degree),
		"12 o'clock (0°)":        spell.Direction(359.97 * Degree),
		"359.9°":                 spell.Around(-0.1 * Degree),
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
