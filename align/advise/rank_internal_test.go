package advise

import (
	"math"
	"testing"

	"example.com/borestack/align/study"
)

// Two margins that a gauge of standard uncertainty u measures differ for certain from 1.65 √2 u on:
// a micrometre at the least, and a hundredth of the limits where there is no shaft.
//
// Source: JCGM 100:2008, 5.1.2 (the variances of a difference add) with the one-sided 95 % factor 1.65;
// 1.65 √2 = 2.33345237791561.
func TestTell(t *testing.T) {
	for u, want := range map[float64]float64{0.01: 0.0233345237791561, 0.002: 0.00466690475583121, 1e-4: 1e-3, 0: 1e-3} {
		if got := tell(&Judgement{Margin: &study.Verdict{U: u}}); math.Abs(got-want) > 1e-15 {
			t.Errorf("u %v: %v, want %v", u, got, want)
		}
	}
	if got := tell(&Judgement{}); got != 0.01 {
		t.Errorf("without shafts: %v", got)
	}
}
