package study_test

import (
	"fmt"
	"math"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// three is a bed with bores at 0, 100 and 200, the middle one as said; clearances of all three, what
// varies, and one limit.
func three(middle, clearances, vary, accept string) string {
	c := strings.Split(clearances, " ")
	return fmt.Sprintf(`{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "bed", "bores": [
{"name": "a", "centre": [0, 0, 0]}, {"name": "b", %s}, {"name": "c", "centre": [0, 0, 200]}]}], "joints": [],
"shafts": [{"name": "m", "supports": [{"bore": "bed/a", "clearance": %s}, {"bore": "bed/b", "clearance": %s}, {"bore": "bed/c", "clearance": %s}]}],
"references": [{"name": "l", "through": ["bed/a", "bed/c"]}], "vary": [%s], "accept": [%s]}`, middle, c[0], c[1], c[2], vary, accept)
}

// swept is a bore at 100 swept at n stations that all read zero, each with standard uncertainty u.
func swept(n int, u float64) string {
	return fmt.Sprintf(`"z": 100, "sweep": {"readings": [0%s], "uncertainty": %g}`, strings.Repeat(", 0", n-1), u)
}

func gaugeX(sd float64) string {
	return fmt.Sprintf(`{"name": "x", "at": "/parts/0/bores/1/centre/0", "law": {"normal": %g}, "because": "gauge"}`, sd)
}

const straight = `"centre": [0, 0, 100]`

func words(t *testing.T, name, text string, want tolerance.Decision) study.Verdict {
	t.Helper()
	v := run(t, text).Verdicts[0]
	if v.Word != want {
		t.Errorf("%s: %v (u %v, room %v), want %v", name, v.Word, v.U, v.Room.Value, want)
	}
	return v
}

// Three equal rooms r and a middle bore off by o leave a margin of r − o/2.
//
// Source: hand calculation: the line that is o/2 off at all three.
func TestRun_kinks(t *testing.T) {
	margin := `{"output": {"kind": "margin"}, "least": %g}`
	// Both nudges lower the margin; their mean says that nothing moves. Offsets have sd u√(2/4) an axis,
	// o is within 0.006 in 1 − exp(−0.006²/(2·0.0002)) = 9 % of boxes.
	v := words(t, "kink", three(swept(4, 0.02), "0.03 0.03 0.03", "", fmt.Sprintf(margin, 0.012)), tolerance.Undecided)
	if want := 0.02 * math.Sqrt(0.5) / 2 * math.Sqrt2; math.Abs(v.U-want) > 1e-9 {
		t.Errorf("u %v, want %v", v.U, want)
	}
	words(t, "kink, far", three(swept(4, 0.0002), "0.03 0.03 0.03", "", fmt.Sprintf(margin, 0.012)), tolerance.Pass)
	// Nothing can fail that limit by less than an offset of 0.04: 4σ of an axis; P = exp(−8).
	words(t, "kink, pass by draws", three(swept(4, 0.02*math.Sqrt2/2), "0.03 0.03 0.03", "", fmt.Sprintf(margin, -0.005)), tolerance.Pass)
	// The guard band of a kink would pass at 2.40σ, where 94.4 % conform: the size of the offset decides.
	// Source: Rayleigh law.
	sigma := 0.02 * math.Sqrt(0.5)
	words(t, "kink, 2.40σ", three(swept(4, 0.02), "0.03 0.03 0.03", "", fmt.Sprintf(margin, 0.015-2.40*sigma/2)), tolerance.Undecided)
	if p := 1 - math.Exp(-0.006*0.006/(2*0.0002)); !v.Holds.Given || math.Abs(v.Holds.Value-p) > 0.2 { // of 32 draws or more
		t.Errorf("holds with %v, want about %v", v.Holds, p)
	}
	// After the last draw the share decides: no interval of 1,000 tells 96 % from 95 %.
	// Source: Rayleigh law: 1 − exp(−2.55²/2) = 0.961.
	words(t, "kink, 2.55σ", three(swept(4, 0.02), "0.03 0.03 0.03", "", fmt.Sprintf(margin, 0.015-2.55*sigma/2)), tolerance.Pass)
	words(t, "kink, 2.95σ", three(swept(4, 0.02), "0.03 0.03 0.03", "", fmt.Sprintf(margin, 0.015-2.95*sigma/2)), tolerance.Pass)
	// The kink lifts the margin on no side: it can only fall, so a limit above it fails.
	words(t, "kink, above", three(swept(4, 0.0002), "0.03 0.03 0.03", "", fmt.Sprintf(margin, 0.0152)), tolerance.Fail)
	words(t, "kink, just above", three(swept(4, 0.02), "0.03 0.03 0.03", "", fmt.Sprintf(margin, 0.0151)), tolerance.Fail)
}

// A tight bearing caps the margin at 0.01 until the bore is 0.04 off, and then it is 0.03 − o/2. At
// 0.0385, no single input moves anything, and all of them together fail 0.0095 in a quarter of the
// boxes.
//
// Source: hand calculation; normal law: P(z > 0.0025/(0.0014√6)) = 0.23.
func TestRun_bendBeyondEveryNudge(t *testing.T) {
	var vary []string
	for i := range 6 {
		vary = append(vary, strings.Replace(gaugeX(0.0014), `"x"`, fmt.Sprintf(`"x%d"`, i), 1))
	}
	limit := `{"output": {"kind": "margin"}, "least": 0.0095}`
	at := func(o float64) string { return fmt.Sprintf(`"centre": [%g, 0, 100]`, o) }
	v := words(t, "inputs", three(at(0.0385), "0.1 0.02 0.1", strings.Join(vary, ","), limit), tolerance.Undecided)
	if v.U != 0 || math.Abs(v.Room.Value-0.0005) > 1e-9 {
		t.Errorf("u %v, room %v: nothing moves it alone", v.U, v.Room.Value)
	}
	words(t, "inputs, far", three(at(0.02), "0.1 0.02 0.1", strings.Join(vary, ","), limit), tolerance.Pass)
	off := strings.Replace(swept(24, 0.012), "[0, ", "[-0.462, ", 1) // moves the centre by 2/24 of that
	words(t, "readings", three(off, "0.1 0.02 0.1", "", limit), tolerance.Undecided)
}

// A nudge that leaves no line is beyond any limit, however little the other does. Use of 0.01/(c/2)
// with c = 0.03 ± sd fails where c < 0.02.
//
// Source: hand calculation; normal law: P(z < −0.01/sd).
func TestRun_noLine(t *testing.T) {
	text := func(sd float64) string {
		return three(`"centre": [0.01, 0, 100]`, "0 0.03 0", fmt.Sprintf(`{"name": "c", "at": "/shafts/0/supports/1/clearance", "law": {"normal": %g}, "because": "gauge"}`, sd), `{"output": {"kind": "use"}, "greatest": 1}`)
	}
	for sd, want := range map[float64]tolerance.Decision{0.0005: tolerance.Pass, 0.0299: tolerance.Undecided, 0.03: tolerance.Undecided, 0.0301: tolerance.Undecided, 3: tolerance.Undecided, 300: tolerance.Undecided} {
		v := words(t, fmt.Sprint("sd ", sd), text(sd), want)
		if math.IsInf(v.U, 0) || math.IsNaN(v.U) {
			t.Errorf("sd %v: u %v", sd, v.U)
		}
	}
}

// A size goes by the law of a size. From zero, with sd σ on both axes, 95 % lie within 2.4477σ; from
// zero on one axis alone, within 1.96σ.
//
// Source: Rayleigh law, σ√(−2 ln 0.05); half-normal law.
func TestRun_sizes(t *testing.T) {
	limit := func(kind string, greatest float64) string {
		return fmt.Sprintf(`{"output": {"kind": %q, "of": "bed/b"}, "greatest": %.9g}`, kind, greatest)
	}
	sigma := 0.01 * math.Sqrt(0.5)
	for _, kind := range []string{"offset", "tir"} {
		scale := map[string]float64{"offset": 1, "tir": 2}[kind]
		for k, want := range map[float64]tolerance.Decision{1.65: tolerance.Undecided, 2.40: tolerance.Undecided, 2.50: tolerance.Pass, 0.3: tolerance.Fail, 0.35: tolerance.Undecided} {
			words(t, fmt.Sprint(kind, " of zero, limit ", k, "σ"), three(swept(4, 0.01), "0.3 0.3 0.3", "", limit(kind, scale*k*sigma)), want)
		}
	}
	for k, want := range map[float64]tolerance.Decision{1.93: tolerance.Undecided, 1.99: tolerance.Pass} {
		words(t, fmt.Sprint("one axis, limit ", k, "σ"), three(straight, "0.3 0.3 0.3", gaugeX(0.01), limit("offset", k*0.01)), want)
	}
	// A ring never goes beyond its radius, whatever 2.45σ says: other laws than normal are drawn.
	ring := `{"name": "r", "at": ["/parts/0/bores/1/centre/0", "/parts/0/bores/1/centre/1"], "law": {"ring": 0.01}, "because": "gauge"}`
	words(t, "ring", three(straight, "0.3 0.3 0.3", ring, limit("offset", 0.0101)), tolerance.Pass)
	words(t, "ring", three(straight, "0.3 0.3 0.3", ring, limit("offset", 0.0099)), tolerance.Fail)
	// A least limit of a size, which at zero is as far from holding as can be.
	words(t, "least", three(straight, "0.3 0.3 0.3", gaugeX(0.0001), `{"output": {"kind": "offset", "of": "bed/b"}, "least": 0.01}`), tolerance.Fail)
}

// A band of 95 %: 1.5 standard uncertainties are too few and 1.8 enough, on either side, for a number
// that is off along one line and for one that is drawn.
//
// Source: normal law, P(z < 1.645) = 0.95.
func TestRun_thresholds(t *testing.T) {
	for _, u := range []float64{1e-6, 0.001, 0.02} {
		for k, want := range map[float64]tolerance.Decision{1.8: tolerance.Pass, 1.5: tolerance.Undecided, 0: tolerance.Undecided, -1.5: tolerance.Undecided, -1.8: tolerance.Fail} {
			limit := fmt.Sprintf(`{"output": {"kind": "offset", "of": "bed/b"}, "greatest": %.12g}`, 0.5+k*u)
			words(t, fmt.Sprintf("u %v, limit %v u away", u, k), three(`"centre": [0.5, 0, 100]`, "0.3 0.3 0.3", gaugeX(u), limit), want)
		}
	}
	at := `{"output": {"kind": "offset", "of": "bed/b"}, "greatest": 0.5}`
	for _, u := range []float64{0, 1e-20, 1e-12} { // no uncertainty to speak of: a value on its limit holds
		words(t, fmt.Sprint("u ", u), three(`"centre": [0.5, 0, 100]`, "0.3 0.3 0.3", gaugeX(u), at), tolerance.Pass)
	}
	words(t, "beyond measure", three(`"centre": [0.5, 0, 100]`, "0.3 0.3 0.3", gaugeX(1e4), at), tolerance.Fail) // nearly all that it may be is outside
	words(t, "beyond measure, margin", three(straight, "0.3 0.3 0.3", gaugeX(1e4), `{"output": {"kind": "margin"}, "least": 0}`), tolerance.Fail)
}

// Between two limits what is outside either counts.
//
// Source: normal law: P(−2.3 < z < 1.7) = 0.945, P(−2.3 < z < 2.7) = 0.986, P(−1.8 < z < 1.8) = 0.928,
// P(|z| < 2.5) = 0.988.
func TestRun_betweenTwoLimits(t *testing.T) {
	for _, c := range []struct {
		below, above float64
		want         tolerance.Decision
	}{{2.3, 1.7, tolerance.Undecided}, {2.3, 2.7, tolerance.Pass}, {1.8, 1.8, tolerance.Undecided}, {2.5, 2.5, tolerance.Pass}, {6, 1.8, tolerance.Pass}, {-1.8, 6, tolerance.Fail}, {0.02, 0.02, tolerance.Fail}, {0.1, 0.1, tolerance.Undecided}} {
		limit := fmt.Sprintf(`{"output": {"kind": "offset", "of": "bed/b"}, "least": %.12g, "greatest": %.12g}`, 0.5-c.below*0.001, 0.5+c.above*0.001)
		gap := fmt.Sprintf(`{"output": {"kind": "chain", "of": "e"}, "least": %.12g, "greatest": %.12g}`, 0.5-c.below*0.001, 0.5+c.above*0.001)
		chain := strings.Replace(three(straight, "0.3 0.3 0.3", `{"name": "k", "at": "/chains/0/links/0/length", "law": {"normal": 0.001}, "because": "gauge"}`, gap), `"vary"`, `"chains": [{"name": "e", "links": [{"name": "k", "length": 0.5}]}], "vary"`, 1)
		words(t, fmt.Sprintf("chain, %v u below, %v u above", c.below, c.above), chain, c.want)
		words(t, fmt.Sprintf("%v u below, %v u above", c.below, c.above), three(`"centre": [0.5, 0, 100]`, "0.3 0.3 0.3", gaugeX(0.001), limit), c.want)
	}
}

// The uncertainty is that where the limit is judged: a pilot's diameter moves nothing at rest, and the
// worst of the float by half of what it is off.
//
// Source: hand calculation: offset 0.01 and a float of 0.03, within 0.04 + k·sd/2.
func TestRun_worstFloat(t *testing.T) {
	for k, want := range map[float64]tolerance.Decision{1.5: tolerance.Undecided, 1.8: tolerance.Pass} {
		text := strings.Replace(loose("0.01", ""), `"accept"`, `"vary": [{"name": "d", "at": "/parts/0/rear/pilot/diameter", "law": {"normal": 0.002}, "because": "gauge"}], "accept"`, 1)
		text = strings.Replace(text, "0.05}]", fmt.Sprintf("%.9g}]", 0.04+k*0.001), 1)
		v := words(t, fmt.Sprint(k, " u"), text, want)
		if math.Abs(v.U-0.001) > 1e-7 {
			t.Errorf("u %v, want 0.001", v.U)
		}
	}
}

// A bend that no single reading reaches speaks against a fail as well: the margin is capped at 0.01,
// above a greatest of 0.0095, until the bore is 0.041 off.
//
// Source: hand calculation as above; normal law: P(z > 0.0025/(0.0014√6)) = 0.23, more than 5 %.
func TestRun_bendBeyondEveryNudge_fails(t *testing.T) {
	var vary []string
	for i := range 6 {
		vary = append(vary, strings.Replace(gaugeX(0.0014), `"x"`, fmt.Sprintf(`"x%d"`, i), 1))
	}
	words(t, "greatest", three(`"centre": [0.0385, 0, 100]`, "0.1 0.02 0.1", strings.Join(vary, ","), `{"output": {"kind": "margin"}, "greatest": 0.0095}`), tolerance.Undecided)
}

// What the best of the float comes to is open as well where single readings leave it alone and all of
// them do not: the bush may be pushed true where it is off by no more than 0.03.
//
// Source: hand calculation; Rayleigh law: P(size ≤ 0.031) = 1 − exp(−0.031²/(2·0.03²)) = 0.41, and 0.994 for 0.01.
func TestRun_bestFloat(t *testing.T) {
	for sd, want := range map[float64]tolerance.Decision{0.03: tolerance.Undecided, 0.01: tolerance.Depends} {
		text := strings.Replace(loose("0", ""), `"accept"`, fmt.Sprintf(`"vary": [{"name": "d", "at": ["/parts/1/bores/0/centre/0", "/parts/1/bores/0/centre/1"], "law": {"normal": %g}, "because": "gauge"}], "accept"`, sd), 1)
		words(t, fmt.Sprint(sd), strings.Replace(text, "0.05}]", "0.001}]", 1), want)
	}
}

// pinned is the loose tail with two dowels, one hole of the tail off by x, which leaves room for ±0.02.
func pinned(off float64, gauge, accept string) string {
	hole := func(name string, x, d float64) string {
		return fmt.Sprintf(`{"name": %q, "centre": [%.9g, 0], "diameter": %g}`, name, x, d)
	}
	text := strings.Replace(loose("0", ""), `"joints": [{}]`, `"joints": [{"lies": "rest", "pins": [{"dowel": "d", "diameter": 8, "pressed": "front"}, {"dowel": "e", "diameter": 8, "pressed": "front"}]}], "vary": [`+gauge+`]`, 1)
	text = strings.Replace(text, `"diameter": 150.06}`, `"diameter": 150.06}, "dowels": [`+hole("d", 80, 8)+`, `+hole("e", -80, 8)+`]`, 1)
	text = strings.Replace(text, `"diameter": 150}`, `"diameter": 150}, "dowels": [`+hole("d", 80+off, 8.02)+`, `+hole("e", -80, 8.02)+`]`, 1)
	i := strings.Index(text, `"accept"`)
	return text[:i] + `"accept": [` + accept + `]}`
}

// Whether a box assembles is itself open while the gauge leaves it so, and every limit with it.
//
// Source: hand calculation: two holes 0.01 loose each way take a distance that is off by 0.02; normal
// law.
func TestRun_assembles(t *testing.T) {
	gauge := func(sd float64) string {
		return fmt.Sprintf(`{"name": "h", "at": "/parts/1/front/dowels/0/centre/0", "law": {"normal": %g}, "because": "gauge"}`, sd)
	}
	asks := map[string]string{
		"alone":   `{"output": {"kind": "assembles"}}`,
		"limited": `{"output": {"kind": "assembles"}, "least": 1}`,
		"joint":   `{"output": {"kind": "assembles", "of": "case|tail"}, "least": 1}`,
		"other":   `{"output": {"kind": "offset", "of": "tail/bush"}, "greatest": 5}`,
	}
	for name, accept := range asks {
		for _, c := range []struct {
			off, sd float64
			want    tolerance.Decision
		}{
			{0, 0, tolerance.Pass},
			{0, 0.002, tolerance.Pass},
			{0, 0.02, tolerance.Undecided}, // 68 % assemble
			{0.03, 0, tolerance.Fail},
			{0.03, 0.002, tolerance.Fail},
			{0.03, 0.02, tolerance.Undecided}, // 30 % assemble
			{0.019, 0.005, tolerance.Undecided},
		} {
			v := words(t, fmt.Sprintf("%s: off by %v ± %v", name, c.off, c.sd), pinned(c.off, gauge(c.sd), accept), c.want)
			if c.off == 0.03 && v.Room.Given && name != "alone" {
				t.Errorf("%s: room %v in a box that does not assemble", name, v.Room.Value)
			}
		}
	}
}

// A stated shift of the gauge is corrected for, by the sign that its study has: the drawn deviation,
// shift included, is added to what was read.
//
// Source: record.md, "Deviations are drawn with shift included"; hand calculation.
func TestRun_shift(t *testing.T) {
	text := func(shift float64) string {
		vary := fmt.Sprintf(`{"name": "x", "at": "/parts/0/bores/1/centre/0", "law": {"normal": 0.001, "shift": %g}, "because": "gauge"}`, shift)
		return three(`"centre": [0.5, 0, 100]`, "0.3 0.3 0.3", vary, `{"output": {"kind": "offset", "of": "bed/b"}, "greatest": 0.51}`)
	}
	for shift, want := range map[float64]tolerance.Decision{0: tolerance.Pass, 0.007: tolerance.Pass, 0.01: tolerance.Undecided, 0.02: tolerance.Fail, -0.02: tolerance.Pass} {
		v := words(t, fmt.Sprint("shift ", shift), text(shift), want)
		if math.Abs(v.Value.Value-0.5) > 1e-9 || math.Abs(v.Room.Value-(0.01-shift)) > 1e-9 {
			t.Errorf("shift %v: value %v, room %v: the value as read, the room corrected", shift, v.Value.Value, v.Room.Value)
		}
		if v.Corrected != (shift != 0) {
			t.Errorf("shift %v: corrected %v", shift, v.Corrected)
		}
		yield := vary(t, text(shift), 4096)[0].Outputs[0].Sampled.Yield
		if (want == tolerance.Pass) != (yield > 0.95) || (want == tolerance.Fail) != (yield < 0.05) {
			t.Errorf("shift %v: %v beside a yield of %v", shift, v.Word, yield)
		}
	}
}

// A round that does not quite close adds e²/12 to the variance of each reading, stated or not.
//
// Source: record.md; hand calculation: an axis of the centre of eight readings has √(2/8) of theirs.
func TestRun_closing(t *testing.T) {
	for _, c := range []struct {
		keys string
		each float64
	}{
		{`, "closing": 0.003`, 0.003 / math.Sqrt(12)},
		{`, "closing": -0.003, "uncertainty": 0.002`, math.Hypot(0.002, 0.003/math.Sqrt(12))},
		{`, "closing": 0, "uncertainty": 0.002`, 0.002},
		{`, "closing": 0`, 0},
	} {
		sweep := `"z": 100, "sweep": {"readings": [0, 0.07, 0.1, 0.07, 0, -0.07, -0.1, -0.07]` + c.keys + `}`
		v := run(t, three(sweep, "0.3 0.3 0.3", "", `{"output": {"kind": "offset", "of": "bed/b"}, "greatest": 5}`)).Verdicts[0]
		if want := c.each * 0.5; math.Abs(v.U-want) > 1e-4*want {
			t.Errorf("%s: u %v, want %v", c.keys, v.U, want)
		}
	}
}

// The same record has the same verdicts on any number of processors.
func TestRun_sameOnAnyProcessors(t *testing.T) {
	text := pinned(0.01, gaugeOfHole(0.02), `{"output": {"kind": "margin"}, "least": 0.01}, {"output": {"kind": "offset", "of": "tail/bush"}, "greatest": 0.01}`)
	text = strings.Replace(text, `"references"`, `"shafts": [{"name": "m", "supports": [{"bore": "case/a", "clearance": 0.04}, {"bore": "case/b", "clearance": 0.04}, {"bore": "tail/bush", "clearance": 0.04}]}], "references"`, 1)
	var first []study.Verdict
	for _, n := range []int{1, 2, 5} {
		old := runtime.GOMAXPROCS(n)
		v := run(t, text).Verdicts
		runtime.GOMAXPROCS(old)
		if first == nil {
			first = v
		}
		if !reflect.DeepEqual(first, v) {
			t.Errorf("%d processors: %+v, want %+v", n, v, first)
		}
	}
}

func gaugeOfHole(sd float64) string {
	return fmt.Sprintf(`{"name": "h", "at": "/parts/1/front/dowels/0/centre/0", "law": {"normal": %g}, "because": "gauge"}`, sd)
}

// A verdict and the study of the same box's gauge agree: what passes conforms in at least 95 % of the
// study's samples, and what fails fails in as many.
//
// Source: a second method: plain Monte Carlo over the worst of the float (Vary). 0.94: sampling error
// of 2,000, and of the laws that the guard band takes as normal.
func TestRun_agreesWithItsStudy(t *testing.T) {
	laws := []string{`"normal": %g`, `"uniform": %g`, `"triangular": %g`, `"normal": %g, "shift": 0.004`}
	seen := map[tolerance.Decision]int{}
	for i := range 48 {
		size := []float64{0.0005, 0.003, 0.01, 0.03}[i%4]
		gauge := fmt.Sprintf(`{"name": "x", "at": "/parts/1/bores/0/centre/0", "law": {`+laws[i/4%4]+`}, "because": "gauge"}, {"name": "d", "at": "/parts/0/rear/pilot/diameter", "law": {"normal": %g}, "because": "gauge"}`, size, size)
		text := strings.Replace(loose([]string{"0", "0.01", "0.03"}[i%3], ""), `"accept"`, `"vary": [`+gauge+`], "accept"`, 1)
		text = strings.Replace(text, "0.05}]", fmt.Sprintf("%g}]", []float64{0.05, 0.06, 0.08, 0.045}[i/3%4]), 1)
		v := run(t, text).Verdicts[0]
		seen[v.Word]++
		o := vary(t, text, 2000)[0].Outputs[0].Sampled
		if v.Word == tolerance.Pass && o.Yield < 0.94 {
			t.Errorf("case %d passes beside a yield of %v\n%s", i, o.Yield, text)
		}
		if v.Word == tolerance.Fail && o.Yield > 0.06 {
			t.Errorf("case %d fails beside a yield of %v", i, o.Yield)
		}
	}
	if seen[tolerance.Pass] < 5 || seen[tolerance.Undecided] < 5 {
		t.Errorf("one-sided cases: %v", seen)
	}
}
