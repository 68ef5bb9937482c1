//go:build !js

package paper

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/tolerance"
)

// luminance of a colour "#rrggbb".
//
// Source: WCAG 2.2, definition of relative luminance.
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	v, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 32)
	if err != nil || len(colour) != 7 {
		t.Fatalf("colour %q", colour)
	}
	out := 0.0
	for i, weight := range [3]float64{0.2126, 0.7152, 0.0722} {
		c := float64(v>>(16-8*i)&255) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		out += weight * c
	}
	return out
}

// colours are those that the style sheet names behind a beginning.
func colours(t *testing.T, begin string) map[string]string {
	t.Helper()
	_, rest, ok := strings.Cut(style, begin)
	body, _, closed := strings.Cut(rest, "}")
	out := map[string]string{}
	for _, pair := range strings.Split(strings.TrimSuffix(body, ";"), ";") {
		name, colour, is := strings.Cut(strings.TrimPrefix(pair, "--"), ":")
		if out[name] = colour; !ok || !closed || !is {
			t.Fatalf("no colours in %q", pair)
		}
	}
	return out
}

// Source: WCAG 2.2, success criterion 1.4.3: 4.5 for text.
func TestTints_contrast(t *testing.T) {
	light, dark := colours(t, ":root{color-scheme:light dark;"), colours(t, "(prefers-color-scheme:dark){:root{")
	holds := func(text, ground string) {
		for _, pair := range [][2]string{{light[text], light[ground]}, {dark[text], dark[ground]}} {
			a, b := luminance(t, pair[0]), luminance(t, pair[1])
			if ratio := (math.Max(a, b) + 0.05) / (math.Min(a, b) + 0.05); ratio < 4.5 {
				t.Errorf("%s on %s: %.2f", text, ground, ratio)
			}
		}
	}
	for _, text := range []string{"ink", "muted", "link"} {
		holds(text, "paper")
		holds(text, "panel")
	}
	for word := tolerance.NoLimit; word <= tolerance.Fail; word++ {
		if light[class(word.String())] == "" || dark[class(word.String())] == "" {
			t.Errorf("no colour for %v", word)
		}
		holds("badge", class(word.String()))
	}
}
