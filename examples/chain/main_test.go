package main

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"
)

// What is printed and drawn is what the chain comes to. Source: hand calculation: nominal 82 − 17 − 44.5 − 17 − 3.3 =
// 0.2; the tolerances add up to 0.45 and, squared, to 0.2147²; a quarter in full: 0.1125 + 0.75 · 0.2147.
func TestRun_sideBySide(t *testing.T) {
	var out bytes.Buffer
	svg, err := run(&out, 50_000)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"-0.2500  0.6500", "-0.0147  0.4147", "-0.0735  0.4735", "Monte Carlo", "invented"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if strings.Count(svg, "<rect") != 4 || strings.Contains(svg, "NaN") {
		t.Error(svg)
	}
}

// Source: second method: mean and standard deviation of the sum from the moments of the laws; the sum of five is
// nearly normal, with somewhat shorter tails.
func TestAdd_againstMoments(t *testing.T) {
	s, err := chain()
	if err != nil {
		t.Fatal(err)
	}
	mean, variance := 0.2, 0.0
	for i, l := range links {
		m := s.Inputs[i].Law.Moments()
		mean += l.sign * m.Mean
		variance += m.Variance
	}
	rows, y, err := add(100_000)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(y.Mean-mean) > 4*y.MeanError || math.Abs(y.SD-math.Sqrt(variance)) > 4*y.SDError {
		t.Errorf("mean %v, sd %v, want %v, %v", y.Mean, y.SD, mean, math.Sqrt(variance))
	}
	if mc := rows[3]; math.Abs(mc.low-(mean-3*math.Sqrt(variance))) > 0.03 || math.Abs(mc.high-(mean+3*math.Sqrt(variance))) > 0.03 || !(mc.wide > 0) {
		t.Errorf("%+v", mc)
	}
}
