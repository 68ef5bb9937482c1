package report_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// Whoever sets the parts by the dials alone, as the text tells it, gets the margin that the text promises; and with every
// dial at either end of its range, at least half of the gain.
func TestPush_dialsGiveWhatTheyPromise(t *testing.T) {
	rec := decode(t, demonstration(t))
	s, err := rec.Stack()
	if err != nil {
		t.Fatal(err)
	}
	res, err := study.Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	said := text(t, demonstration(t))
	section := flow(said[strings.Index(said, "\nBefore tightening\n"):])
	readings := regexp.MustCompile(`at 12 o'clock ([-+]?[\d.]+) mm \(([-+]?[\d.]+) to [-+]?[\d.]+\), at 3 o'clock ([-+]?[\d.]+) mm \(.*?\) and for the turn ([-+]?[\d.]+) mm`).FindAllStringSubmatch(section, -1)
	radii := regexp.MustCompile(`bolt head at a radius of ([\d.]+) mm`).FindAllStringSubmatch(section, -1)
	if len(readings) != len(s.Joints) || len(radii) != len(readings) {
		t.Fatalf("%d joints are told in readings, of %d:\n%s", len(readings), len(s.Joints), section)
	}
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	// zero is halfway between the ends of each travel, which the joints' own results tell; clock positions of this box's parts
	// in front are those of the machine
	margin := func(off float64) float64 {
		u := s
		u.Candidates, u.States = nil, nil
		u.Joints = append([]align.Joint{}, s.Joints...)
		for i := range u.Joints {
			j := &res.Assembly.Joints[i]
			turn, _ := j.TurnRange.Get()
			u.Joints[i].Float = &align.Float{
				X:    (j.ReachX[0]+j.ReachX[1])/2 + tolerance.Length(num(readings[i][3])+off),
				Y:    (j.ReachY[0]+j.ReachY[1])/2 + tolerance.Length(num(readings[i][1])+off),
				Turn: (turn[0]+turn[1])/2 + tolerance.Angle((num(readings[i][4])+off)/num(radii[i][1])),
			}
		}
		a, err := u.Solve()
		if err != nil {
			t.Fatal(err)
		}
		return float64(a.Line.Margin)
	}
	l := res.Assembly.Line
	promised := regexp.MustCompile(`that takes the margin from ([\d.]+) mm at rest to ([\d.]+) mm`).FindStringSubmatch(section)
	if promised == nil {
		t.Fatalf("nothing is promised:\n%s", section)
	}
	got := margin(0)
	// the readings are told to a micrometre, and so is what they give
	if math.Abs(got-num(promised[2])) > 0.0006 {
		t.Errorf("the dials give %g, promised %s", got, promised[2])
	}
	within := num(readings[0][1]) - num(readings[0][2])
	if within <= 0 {
		t.Fatalf("a range of %g", within)
	}
	for _, off := range []float64{within, -within} {
		if m := margin(off); m < (got+float64(l.Margin))/2-1e-9 {
			t.Errorf("all dials off by %g give %g, less than halfway from %g to %g", off, m, float64(l.Margin), got)
		}
	}
	for _, want := range []string{"set: two dials on the case", "zero: push gently to both ends", "push until they read", "after tightening every dial must read", "if a reading does not come, do not force it"} {
		if !strings.Contains(section, want) {
			t.Errorf("lacks %q:\n%s", want, section)
		}
	}
}

// What a builder does not say is explained where it stands first, or not said; pushes and turns have the digits of a gauge.
func TestText_wordsOfABuilder(t *testing.T) {
	for name, record := range pages(t) {
		if name == "hostile" || name == "many" {
			continue
		}
		s := flow(text(t, record))
		for word, means := range map[string]string{"in its float": " (how far", "second harmonic": " (the part", "guard band": " (what is kept", "use and margin": " (use is"} {
			if at := strings.Index(s, word); at >= 0 && !strings.HasPrefix(s[at+len(word):], means) {
				t.Errorf("%s: %q is not explained where it stands first: %.80s", name, word, s[at:])
			}
		}
		for _, no := range []string{"mrad", "over the float", "use driven by", "first harmonic"} {
			if strings.Contains(s, no) {
				t.Errorf("%s: says %q", name, no)
			}
		}
		if m := regexp.MustCompile(`\d\.\d{4,}°|(push [^.;,]*|towards [^.;,]*|walk[^.;,]*) by [^.;,]*0\.\d{4,} mm`).FindString(s); m != "" {
			t.Errorf("%s: finer than a gauge: %s", name, m)
		}
	}
}

// Dials stand square to the axes of the part in front, wherever its own 12 o'clock stands; what they read was tried on the box.
//
// Source: hand calculation: turned by a quarter clockwise, the ring's own 12 o'clock stands at 3 o'clock and its 3 o'clock at 6.
func TestPush_dialsOfAClockedPart(t *testing.T) {
	for clock, at := range map[string]string{"90": "at 3 o'clock and 6 o'clock", "0": "at 12 o'clock and 3 o'clock", "45": "at half past 1 and half past 4"} {
		s := flow(text(t, strings.ReplaceAll(clocked, "CLOCK", clock)))
		_, res := evaluated(t, strings.ReplaceAll(clocked, "CLOCK", clock))
		best := float64(res.Assembly.Line.OverFloat.BestMargin)
		promised := regexp.MustCompile(`at rest to (-?[\d.]+) mm`).FindStringSubmatch(s)
		if promised == nil {
			t.Fatalf("clock %s: nothing is promised:\n%s", clock, s)
		}
		// readings of a micrometre lose no more than their own rounding, twice over
		if got, err := strconv.ParseFloat(promised[1], 64); err != nil || math.Abs(got-best) > 0.0015 {
			t.Errorf("clock %s: the dials give %s, the best push %g", clock, promised[1], best)
		}
		for _, want := range []string{"pointing at the middle, " + at, "with every dial within its range at least half of that gain is kept"} {
			if !strings.Contains(s, want) {
				t.Errorf("clock %s: lacks %q:\n%s", clock, want, s)
			}
		}
	}
}
