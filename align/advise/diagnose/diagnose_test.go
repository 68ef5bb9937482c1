package diagnose

import (
	"cmp"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

func launch(t testing.TB) align.Stack {
	t.Helper()
	file, err := os.Open("../../../examples/driveline/harbour-launch.json")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rec, err := record.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	s, err := rec.Stack()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// everything is one sight of each kind that the launch allows.
func everything(s *align.Stack) (out []Seen) {
	for _, b := range supports(s) {
		out = append(out, Seen{Kind: Sweep, Of: b})
	}
	for _, c := range s.Chains {
		out = append(out, Seen{Kind: EndPlay, Of: c.Name})
	}
	return out
}

// A single deviation is found from a single sweep, with the size that it has, and what does the same is
// named beside it.
func TestExplain_oneSweep(t *testing.T) {
	s := launch(t)
	bore := supports(&s)[len(supports(&s))-1]
	f, err := Explain(t.Context(), s, []Seen{{Kind: Sweep, Of: bore, Value: 1.2, Clock: 120 * tolerance.Degree}}, Process{})
	if err != nil {
		t.Fatal(err)
	}
	sum := f.Nothing
	for _, e := range f.Explanations {
		sum += e.Probability
	}
	if math.Abs(sum-1) > 1e-9 || f.Nothing > 0.01 {
		t.Errorf("probabilities sum to %g, nothing %g", sum, f.Nothing)
	}
	if f.Next.Name == "" || f.Next.After >= f.Next.Doubt {
		t.Errorf("%+v", f.Next)
	}
	var out strings.Builder
	if err := f.Page(tolerance.Millimetres).Text(&out); err != nil || !strings.Contains(out.String(), "none is shown to be the cause") {
		t.Errorf("%v\n%s", err, out.String())
	}
	t.Log(out.String())
}

// drawn is what is seen of a box with one fault: the linear model with the scatter of everything and of
// the gauges, and the sights of direction drawn from their own law.
func (m *model) drawn(r *rand.Rand, k int) (x []float64, y []float64) {
	x = make([]float64, m.n)
	for i := range m.dev {
		sd := m.dev[i].sd
		if i == k {
			sd *= m.fault
		}
		for c := range m.dev[i].parts {
			x[m.column[i]+c] = sd * r.NormFloat64()
		}
	}
	return x, m.numbersAt(x)
}

func (m *model) numbersAt(x []float64) []float64 {
	y := append([]float64(nil), m.y0...)
	for i := range y {
		for c := range x {
			y[i] += m.effect.At(i, c) * x[c]
		}
	}
	return y
}

// sight turns numbers of a box into sights, as a gauge and an eye would see them.
func (m *model) sight(r *rand.Rand, y []float64) {
	at, measured := 0, 0
	for i := range m.seen {
		v := &m.seen[i]
		z := y[at : at+v.sight().numbers]
		at += v.sight().numbers
		switch {
		case v.sight().measured:
			for c := range z {
				m.value[measured] = z[c] + v.u()*r.NormFloat64()
				measured++
			}
		case v.Kind == Bright:
			v.At = Front
			if (z[0] > 0) == (r.Float64() > wrongEnd) {
				v.At = Rear
			}
		default:
			v.Clock = tolerance.Clock(z[0], z[1]) + tolerance.Angle(float64(usualHour)*r.NormFloat64())
		}
	}
}

// Of boxes with one planted fault the true explanation comes first or nearly so where the sights can tell,
// and probabilities are what they say: of all explanations given about 30 % some 30 in 100 are true.
//
// Source: simulation. Sights can tell where, without scatter and gauge, the fault alone is 20 times
// likelier under its own explanation than under the next.
func TestExplain_calibrated(t *testing.T) {
	s := launch(t)
	seen := everything(&s)
	for i, b := range supports(&s) {
		if i >= 2 {
			seen = append(seen, Seen{Kind: Worn, Of: b, At: Front})
		}
	}
	seen = append(seen, Seen{Kind: Weeps, Of: s.JointName(1)})
	process, _ := Process{}.completed()
	m, err := newModel(t.Context(), s, seen, process)
	if err != nil {
		t.Fatal(err)
	}
	groups := m.groups
	r := rand.New(rand.NewPCG(1, 2))
	var tell, first, three int
	var brier float64
	var bins [10]struct{ n, said, true float64 }
	boxes, err := strconv.Atoi(cmp.Or(os.Getenv("DIAGNOSE_BOXES"), "60")) // 1000 take half a minute
	if err != nil {
		t.Fatal(err)
	}
	for range boxes {
		k := r.IntN(len(m.dev)+1) - 1
		x, y := m.drawn(r, k)
		m.sight(r, y)
		f := m.explain(m.weights())
		told := map[int]float64{}
		for _, e := range f.Explanations {
			told[e.index] = e.Probability
		}
		for g, group := range groups {
			p, is := told[groups[g][0]], 0.0
			for _, d := range group {
				if d == k {
					is = 1
				}
			}
			brier += (p - is) * (p - is) / float64(boxes)
			b := &bins[min(9, int(10*p))]
			b.n++
			b.said += p
			b.true += is
		}
		if k < 0 {
			continue
		}
		// The same fault alone, without scatter and gauge.
		alone := make([]float64, m.n)
		for c := range m.dev[k].parts {
			alone[m.column[k]+c] = x[m.column[k]+c]
		}
		quiet := m.numbersAt(alone)
		kept := append([]float64(nil), m.value...)
		for i, row := range m.rows[0] {
			m.value[i] = quiet[row]
		}
		p, _ := m.weights()
		copy(m.value, kept)
		own, next := 0.0, 0.0
		for _, group := range groups {
			v, is := 0.0, false
			for _, d := range group {
				v, is = v+p[d+1], is || d == k
			}
			if is {
				own = v
			} else {
				next = max(next, v)
			}
		}
		if own < 20*max(next, p[0]) {
			continue
		}
		tell++
		for place, e := range f.Explanations[:min(3, len(f.Explanations))] {
			for _, group := range groups {
				if group[0] != e.index {
					continue
				}
				for _, d := range group {
					if d == k {
						three++
						if place == 0 {
							first++
						}
					}
				}
			}
		}
	}
	t.Logf("of %d boxes the sights can tell in %d: first in %d, among three in %d; Brier score %.3f", boxes, tell, first, three, brier)
	for i, b := range bins {
		if b.n == 0 {
			continue
		}
		said, is := b.said/b.n, b.true/b.n
		t.Logf("said %2d to %3d %%: %5.0f times, on average %4.1f %%, true in %4.1f %%", 10*i, 10*i+10, b.n, 100*said, 100*is)
		if math.Abs(said-is) > 4*math.Sqrt(said*(1-said)/b.n)+0.01 {
			t.Errorf("said %.3f, true in %.3f of %.0f", said, is, b.n)
		}
	}
	if float64(first) < 0.8*float64(tell)-1 || float64(three) < 0.95*float64(tell)-0.5 || tell < boxes/30 {
		t.Errorf("of %d that can be told: first %d, among three %d", tell, first, three)
	}
}

// The first-order effects are those of the box itself.
//
// Source: the box solved with the deviation put in, a second method.
func TestEffects_secondMethod(t *testing.T) {
	s := launch(t)
	seen := everything(&s)
	process, _ := Process{}.completed()
	m, err := newModel(t.Context(), s, seen, process)
	if err != nil {
		t.Fatal(err)
	}
	base, err := plain(s)
	if err != nil {
		t.Fatal(err)
	}
	at, err := numbersOf(&base, seen)
	if err != nil {
		t.Fatal(err)
	}
	for k := range m.dev {
		d := &m.dev[k]
		box := base.Clone()
		x, y := 5*d.sd, -3*d.sd
		if d.parts == 1 {
			y = 0
		}
		d.apply(&box, x, y)
		got, err := numbersOf(&box, seen)
		if err != nil {
			t.Fatal(err)
		}
		for i := range got {
			want := m.effect.At(i, m.column[k]) * x
			if d.parts == 2 {
				want += m.effect.At(i, m.column[k]+1) * y
			}
			if math.Abs(got[i]-at[i]-want) > 1e-3*math.Abs(want)+2e-5 {
				t.Errorf("%s, number %d: %g, to first order %g", d.name, i, got[i]-at[i], want)
			}
		}
	}
}

func TestExplain_refuses(t *testing.T) {
	s := launch(t)
	bore := supports(&s)[0]
	for name, c := range map[string]struct {
		seen []Seen
		want error
	}{
		"nothing":       {nil, fault.ErrMissing},
		"unknown bore":  {[]Seen{{Kind: Sweep, Of: "tail/nothing"}}, fault.ErrUnknownName},
		"unknown kind":  {[]Seen{{Of: bore}}, fault.ErrOutOfRange},
		"no number":     {[]Seen{{Kind: Sweep, Of: bore, Value: tolerance.Length(math.NaN())}}, fault.ErrNotFinite},
		"negative TIR":  {[]Seen{{Kind: Sweep, Of: bore, Value: -1}}, fault.ErrOutOfRange},
		"absurd TIR":    {[]Seen{{Kind: Sweep, Of: bore, Value: 1e300}}, fault.ErrOutOfRange},
		"unknown joint": {[]Seen{{Kind: Weeps, Of: "here"}}, fault.ErrUnknownName},
	} {
		if _, err := Explain(t.Context(), s, c.seen, Process{}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A process that is none is refused, and does not count as the usual one.
func TestExplain_process(t *testing.T) {
	s := launch(t)
	seen := []Seen{{Kind: Sweep, Of: supports(&s)[0], Value: 0.1}}
	for _, p := range []Process{{Fault: 0.5}, {Fault: -8}, {Place: -1}, {Face: math.NaN()}, {Square: math.Inf(1)}} {
		if _, err := Explain(t.Context(), s, seen, p); !errors.Is(err, fault.ErrOutOfRange) {
			t.Errorf("%+v: %v", p, err)
		}
	}
}

// A blank is not zero, and what a sight of its kind has not is not dropped.
func TestReadTable_columns(t *testing.T) {
	for row, column := range map[string]string{
		"sweep,b,,0.1,,": "clock", "sweep,b,,,90,": "value", "end play,b,,,,": "value", "worn,b,front,,,": "clock", "weeps,b,,,,": "clock",
		"bright,b,,,,": "at", "worn,b,,0.1,90,": "value", "end play,b,,0.1,30,": "clock", "weeps,b,rear,,90,": "at", "sweep,b,,0.1,90,NaN": "u",
	} {
		_, err := ReadTable(strings.NewReader("\ufeffseen,of,at,value,clock,u\n"+row+"\n"), tolerance.Millimetres)
		if err == nil || !strings.Contains(err.Error(), "line 2, "+column) {
			t.Errorf("%s: %v", row, err)
		}
	}
}

func TestReadTable(t *testing.T) {
	got, err := ReadTable(strings.NewReader("seen,of,at,value,clock,u\n# invented\nsweep,tail/bush,,120,90,5\nworn,tail/bush,front,,150,\nend play,input,,300,,\n"), tolerance.Micrometres)
	if err != nil || len(got) != 3 {
		t.Fatalf("%+v, %v", got, err)
	}
	if math.Abs(float64(got[0].Value)-0.12) > 1e-12 || got[1].Kind != Worn || got[1].At != Front || math.Abs(got[1].Clock.Degrees()-150) > 1e-9 || got[2].Kind != EndPlay {
		t.Errorf("%+v", got)
	}
	_, err = ReadTable(strings.NewReader("seen,of,at,value,clock,u\nsween,a,b,c,,\n"), tolerance.Millimetres)
	for _, want := range []string{"line 2, seen", "line 2, at", "line 2, value"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is missing from %v", want, err)
		}
	}
	if _, err := ReadTable(strings.NewReader("what\n"), tolerance.Millimetres); !errors.Is(err, fault.ErrMissing) {
		t.Errorf("%v", err)
	}
}
