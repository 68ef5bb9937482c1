package advise_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	. "example.com/borestack/tolerance"
)

// found is where things are when all is done, the joints at rest: centres across the box, and what stands off the line at the bore that is dialled.
type found struct {
	centres []flat
	off     flat
}

// look finds centres by the parts' poses; where the bores are in their parts is the fitter's own reading.
func look(s align.Stack, bore, line string) (found, error) {
	s = s.Clone()
	for i := range s.Joints {
		if s.Joints[i].Lies == align.LiesAny {
			s.Joints[i].Lies = align.LiesRest
		}
	}
	through := [2]string{s.Shafts[0].Supports[0].Bore, s.Shafts[0].Supports[1].Bore}
	for _, r := range s.References {
		if r.Name == line {
			through = r.Through
		}
	}
	var bores []string
	for _, q := range s.Shafts[0].Supports {
		bores = append(bores, q.Bore)
	}
	s.Shafts, s.References, s.Chains, s.Candidates, s.States = nil, nil, nil, nil, nil
	a, err := s.Solve()
	if err != nil {
		return found{}, err
	}
	at := func(name string) r3.Vec {
		part, own, _ := strings.Cut(name, "/")
		for i := range s.Parts {
			p := &s.Parts[i]
			for k := range p.Bores {
				if p.Name == part && p.Bores[k].Name == own {
					c, z := side{p, false}.mirror(boreCentre(p, &p.Bores[k])), p.Bores[k].Centre.Z
					if p.Turned {
						z = -z
					}
					q := a.Placed[i].BaseFromPart.Apply(align.Vec3{X: Length(c.x), Y: Length(c.y), Z: z})
					return r3.Vec{X: float64(q.X), Y: float64(q.Y), Z: float64(q.Z)}
				}
			}
		}
		err = fmt.Errorf("no bore %q", name)
		return r3.Vec{}
	}
	var out found
	for _, name := range bores {
		c := at(name)
		out.centres = append(out.centres, flat{c.X, c.Y})
	}
	if bore != "" {
		p, q, c := at(through[0]), at(through[1]), at(bore)
		on := r3.Add(p, r3.Scale((c.Z-p.Z)/(q.Z-p.Z), r3.Sub(q, p)))
		out.off = flat{c.X - on.X, c.Y - on.Y}
	}
	return out, err
}

// worstMargin is the margin at the worst float.
func worstMargin(s align.Stack) (float64, error) {
	s.Candidates, s.States, s.Chains = nil, nil, nil
	r, _, err := s.Ranges([]align.Output{{What: align.Margin}})
	if err != nil {
		return 0, err
	}
	if r[0].Low.Given {
		return r[0].Low.Value, nil
	}
	return r[0].Rest.Value, nil
}

// outcome is one sheet, carried out.
type outcome struct {
	faults          []string // of all sorts
	shown           []string // by the parts and the dials alone, whatever the paper says twice
	broken          []string // of those: margins and readings that were promised
	spread, spreadD float64  // what half a digit of every number does to the bores, and to the dialled one from its line
	margin, promise float64  // mm
	allowed         float64  // of the margin: half of its last digit, and what the digits of the amounts leave
	dial, dialAllow float64  // how far the dialled centre is from where it was promised
	moved           found
	apart           bool // done as it says, the box does not go together: there is nothing to read
}

// half finds what half a digit more or less of every number does, one after the other.
func (out *outcome) half(s align.Stack, orders []*order, p *promise) error {
	for _, o := range orders {
		for _, n := range o.numbers() {
			v := n.v
			var most, mostOff float64
			for _, sign := range []float64{-1, 1} {
				n.v = v + sign*n.half
				other, err := carry(s, orders)
				if err != nil {
					continue // it stops there
				}
				f, err := look(other.s, p.bore, p.line)
				if err != nil {
					return err
				}
				for i := range f.centres {
					most = math.Max(most, f.centres[i].minus(out.moved.centres[i]).size())
				}
				mostOff = math.Max(mostOff, f.off.minus(out.moved.off).size())
			}
			n.v = v
			out.spread, out.spreadD = out.spread+most, out.spreadD+mostOff
		}
		// where a gasket lies, a register is carried through it along the part's own z: which way that is, the cut of a micrometer's datum face changes
		for i := range s.Joints {
			if g := s.Joints[i].Gasket; g != nil && o.across.v > 0 && o.face == "front" {
				by := float64(g.Thickness) * (o.amount.v - o.opposite.v) / o.across.v
				out.spread, out.spreadD = out.spread+by, out.spreadD+by
			}
		}
	}
	return nil
}

func (out *outcome) fault(format string, args ...any) {
	f := fmt.Sprintf(format, args...)
	out.faults, out.shown = append(out.faults, f), append(out.shown, f)
}

// model is what two ways of working out the same may differ by beside all digits, in mm: the second order of tilts and turns.
const model = 5e-5

// follow reads a sheet and carries it out on the raw box. Whatever does not come out as the paper says is a fault. What its digits leave is that of another outcome if one is given.
func follow(s align.Stack, text string, digits *outcome) (out outcome, err error) {
	orders, p, faults := readSheet(text)
	out.faults = faults
	w, err := carry(s, orders)
	if err != nil {
		out.fault("%v", err)
		out.broken = out.shown
		return out, nil
	}
	for _, f := range w.faults {
		out.fault("%s", f)
	}
	if out.apart = !goesTogether(w.s); out.apart {
		return out, nil
	}
	got, err := look(w.s, p.bore, p.line)
	if err != nil {
		return out, err
	}
	out.moved = got
	if digits != nil {
		out.spread, out.spreadD = digits.spread, digits.spreadD
	} else if err = out.half(s, orders, &p); err != nil {
		return out, err
	}
	carried := len(out.shown)
	defer func() { out.broken = out.shown[carried:] }()
	if out.margin, err = worstMargin(w.s); err != nil {
		return out, err
	}
	out.promise, out.allowed = p.margin[1].v, p.margin[1].half+out.spread+model
	if !p.given {
		out.fault("no margin is promised")
	} else if math.Abs(out.margin-out.promise) > out.allowed {
		out.fault("margin promised %.5f, comes out as %.5f, digits leave %.5f", out.promise, out.margin, out.allowed)
	}
	before, err := worstMargin(s)
	if err != nil {
		return out, err
	}
	if math.Abs(before-p.margin[0].v) > p.margin[0].half+1e-9 {
		out.fault("margin before %.5f, on the sheet %.5f", before, p.margin[0].v)
	}
	if p.dial == p.still {
		out.fault("a reading is promised: %v, and none: %v", p.dial, p.still)
	}
	if p.still {
		return out, out.stands(s, w.s)
	}
	if p.dial {
		was, err := look(s, p.bore, p.line)
		if err != nil {
			return out, err
		}
		out.readings(&p, was.off, got.off)
	}
	return out, nil
}

// shows is the least move of a bore that a dial could show.
const shows = 5e-4

// stands holds the box against the words that no bore moves that a dial could show: each support, from the main reference.
func (out *outcome) stands(before, after align.Stack) error {
	for _, q := range before.Shafts[0].Supports {
		was, err := look(before, q.Bore, before.References[0].Name)
		if err != nil {
			return err
		}
		is, err := look(after, q.Bore, before.References[0].Name)
		if err != nil {
			return err
		}
		const lever = 4 // the line is carried on from its two bores by as many of their distances
		if d := is.off.minus(was.off).size(); d > shows+lever*out.spread+model {
			out.fault("%s moves by %.5f, which a dial could show", q.Bore, d)
		}
	}
	return nil
}

// readings compares what the dial shows with what the paper expects.
func (out *outcome) readings(p *promise, was, is flat) {
	spread := out.spreadD
	// a bore seen from inside: nearer on the side from which it moved away; zero at 12 o'clock
	show := func(at float64) float64 { return is.dot(toClock(0, 1)) - is.dot(toClock(at, 1)) }
	promised := flat{(p.reads[2].v - p.reads[0].v) / 2, p.reads[1].v / 2}
	out.dial = is.minus(promised).size()
	out.dialAllow = 2*p.reads[0].half + spread + model
	for i, hour := range []float64{3, 6, 9} {
		if got := show(hour * math.Pi / 6); math.Abs(got-p.reads[i].v) > p.reads[i].half+2*spread+2*model {
			out.fault("the dial in %s reads %+.5f at %v o'clock, expected %+.5f, digits leave %.5f", p.bore, got, hour, p.reads[i].v, p.reads[i].half+2*spread)
		}
	}
	if tir := 2 * is.size(); math.Abs(tir-p.tir.v) > p.tir.half+2*spread+2*model {
		out.fault("TIR %.5f, expected %.5f", tir, p.tir.v)
	}
	vector := func(name string, v flat, size, at printed, spread float64) {
		if off := v.minus(toClock(at.v, v.size())).size(); math.Abs(v.size()-size.v) > size.half+spread+model || off > v.size()*at.half+spread+model {
			out.fault("%s is %.5f towards %.1f°, on the sheet %.5f towards %.1f°", name, v.size(), toDegrees(v), size.v, at.v*180/math.Pi)
		}
	}
	vector("the error before", was, p.error, p.errorAt, 0)
	vector("the move", is.minus(was), p.move, p.moveAt, spread)
	vector("what is left", is, printed{is.size(), 0}, p.centre, spread)
	if 2*was.size() > p.errTIR.v+p.errTIR.half+model || 2*was.size() < p.errTIR.v-p.errTIR.half-model {
		out.fault("TIR before %.5f, on the sheet %.5f", 2*was.size(), p.errTIR.v)
	}
	if p.ends != nil && (2*is.size() < p.ends[0].v-p.ends[0].half-2*spread-1e-3 || 2*is.size() > p.ends[1].v+p.ends[1].half+2*spread+1e-3) {
		out.fault("TIR at rest %.5f, as it may lie %.5f to %.5f", 2*is.size(), p.ends[0].v, p.ends[1].v)
	}
}

// job is a sheet for a box.
type job struct {
	box    advise.Box
	text   string
	kinds  []advise.Kind
	better bool // found by a search, and better than the box as it is before any tool rounds it
}

// fitterJob draws a box and the sheet of a correction of kind k, or of a pair, found by search or at random.
func fitterJob(rng *rand.Rand, k advise.Kind) (*job, error) {
	unit := Millimetres
	if rng.IntN(4) == 0 {
		unit = []Unit{Inches, Inches, Thousandths}[rng.IntN(3)]
	}
	for range 60 {
		b, registers := fitterBox(rng, k)
		if b.Stack.Validate() != nil {
			continue // drawn so that nothing holds a part
		}
		searched := k == advise.Push || rng.IntN(4) == 0
		var shop advise.Shop
		if searched {
			shop = searching(rng, k, registers)
		} else {
			shop = tools(rng)
		}
		a, err := advise.Correct(context.Background(), b, shop)
		if err != nil {
			return nil, err
		}
		var o *advise.Option
		if searched {
			if o = pickOption(rng, a, k); o == nil {
				continue
			}
		} else if o, err = a.Try(context.Background(), randomOrders(rng, k, registers)...); err != nil {
			continue
		}
		if !goesTogether(b.Stack) {
			continue // nothing can be felt of it
		}
		w, err := a.Sheet(context.Background(), o)
		if err != nil {
			return nil, err
		}
		var text strings.Builder
		if err := w.Page(unit).Text(&text); err != nil {
			return nil, err
		}
		j := &job{box: b, text: text.String()}
		if before, ok := a.Before.WorstMargin(); ok && searched {
			after, _ := o.After.WorstMargin()
			j.better = after > before
		}
		for _, c := range o.Corrections {
			j.kinds = append(j.kinds, c.Kind)
		}
		return j, nil
	}
	return nil, fmt.Errorf("no %v could be had", k)
}

// goesTogether reports whether every joint has somewhere to lie.
func goesTogether(s align.Stack) bool {
	a, err := s.Solve()
	if err != nil {
		return false
	}
	for i := range a.Joints {
		if !a.Joints[i].Assembles {
			return false
		}
	}
	return true
}

// pickOption takes one of the options that a search found that has a correction of kind k.
func pickOption(rng *rand.Rand, a *advise.Advice, k advise.Kind) *advise.Option {
	var some []*advise.Option
	for i := range a.Options {
		for _, c := range a.Options[i].Corrections {
			if c.Kind == k {
				some = append(some, &a.Options[i])
				break
			}
		}
	}
	if len(some) == 0 {
		return nil
	}
	return some[rng.IntN(len(some))]
}

// FITTER_BOXES=1000 tries that many boxes instead of the few of every run.
const fewBoxes = 72

func fitterBoxes(t *testing.T) int {
	if v := os.Getenv("FITTER_BOXES"); v != "" {
		n, err := strconv.Atoi(v)
		if err != nil {
			t.Fatalf("FITTER_BOXES: %v", err)
		}
		return n
	}
	if testing.Short() || !thorough {
		return 12
	}
	return fewBoxes
}

// A fitter who has the sheet's text and nothing else, and who works on the raw record by means of his own, gets the margin and the dial reading that the sheet promises, within the digits that it prints; what the search found better is not worse than the box as it was. Every kind, alone and in pairs; parts end for end, clocked, re-clocked, measured from the nose, points, tapered gaskets, states, inches.
func TestFitter_sheetsFollowed(t *testing.T) {
	boxes := fitterBoxes(t)
	kinds, pairs, better, apart := map[advise.Kind]int{}, 0, 0, 0
	var most, mostDial float64
	for n := range boxes {
		k := advise.Swap + advise.Kind(n%int(advise.Push))
		rng := rand.New(rand.NewPCG(1800, uint64(n)))
		j, err := fitterJob(rng, k)
		if err != nil {
			t.Fatalf("box %d, %v: %v", n, k, err)
		}
		got, err := follow(j.box.Stack, j.text, nil)
		if err != nil {
			t.Fatalf("box %d, %v: %v\n%s", n, j.kinds, err, j.text)
		}
		for _, f := range got.faults {
			t.Errorf("box %d, %v: %s", n, j.kinds, f)
		}
		if len(got.faults) > 0 {
			t.Log(j.text)
		}
		if got.apart {
			apart++
			continue
		}
		if j.better {
			better++
			neverWorse(t, n, j, got)
		}
		for _, k := range j.kinds {
			kinds[k]++
		}
		if len(j.kinds) > 1 {
			pairs++
		}
		most = math.Max(most, math.Abs(got.margin-got.promise))
		mostDial = math.Max(mostDial, got.dial)
	}
	if apart > boxes/8 {
		t.Errorf("%d of %d boxes do not go together when all is done as the sheets say", apart, boxes)
	}
	t.Logf("%d boxes, %d that do not go together afterwards, %d with pairs, %d found better by a search; kinds %v; greatest difference of the margin %.5f mm, of the dialled centre %.5f mm", boxes, apart, pairs, better, kinds, most, mostDial)
}

// neverWorse holds what a search found better against the box as it was, when a sheet's tools have rounded it.
func neverWorse(t *testing.T, n int, j *job, got outcome) {
	t.Helper()
	before, err := worstMargin(j.box.Stack)
	if err != nil {
		t.Fatal(err)
	}
	if got.margin < before-got.allowed && !strings.Contains(unwrapped(j.text), "not worth doing") {
		t.Errorf("box %d, %v: margin %.5f before, %.5f after\n%s", n, j.kinds, before, got.margin, j.text)
	}
}
