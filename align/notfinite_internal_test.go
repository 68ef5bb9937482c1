package align

import (
	"math"
	"testing"

	"example.com/borestack/tolerance"
)

// A number that is none is found wherever it stands in a result; one that is not given is not looked at.
func TestAssembly_notFinite(t *testing.T) {
	nan := math.NaN()
	absent := tolerance.Optional[tolerance.Length]{Value: tolerance.Length(nan)}
	for want, a := range map[string]Assembly{
		"":                     {Supports: []SupportedBore{{Room: absent}}},
		"/supports/1/offset/1": {Supports: []SupportedBore{{}, {Offset: Vec2{Y: tolerance.Length(nan)}}}},
		"/line/margin":         {Line: &ShaftLine{Margin: tolerance.Length(math.Inf(-1))}},
	} {
		if got := a.notFinite(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
