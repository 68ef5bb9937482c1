package advise

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/sheet"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Gauge is a gauge as found in a workshop, and the standard uncertainty that one reading with it usually has. The numbers are a place to start: a gauge's own certificate and a few repeats go before them.
type Gauge struct {
	Name string
	U    tolerance.Length
}

// gauges lists what is used for a task, the plainest first.
//
// Source: common practice, no published source.
func (t take) gauges() []Gauge {
	if t == takeThickness {
		return []Gauge{
			{"outside micrometer, 0.01 mm, same hand, ratchet", 4 * tolerance.Micrometre},
			{"outside micrometer, 0.001 mm, same hand, ratchet", 1.5 * tolerance.Micrometre},
			{"the part on three feet under a 0.001 mm dial, set against a gauge block", 1 * tolerance.Micrometre},
		}
	}
	return []Gauge{
		{"dial indicator, 0.01 mm, on a stiff mandrel", 5 * tolerance.Micrometre},
		{"lever indicator, 0.002 mm, stylus nearly level, on a stiff mandrel", 2 * tolerance.Micrometre},
		{"electronic probe, 0.0001 mm, on a stiff mandrel", 0.7 * tolerance.Micrometre},
	}
}

// take is a way of measuring.
type take uint8

// The ways.
const (
	takeThickness take = iota // a micrometer round the part
	takeFace                  // a dial on a face
	takeSweep                 // a dial on a register or in a bore
)

// Task is one set of readings to take.
type Task struct {
	Part     string
	What     string // in words
	At       string // pointer to it in the blank record; to the number, of a single size
	Stations []tolerance.Angle
	FromNose bool
	About    string // bore whose axis the dial turns about; empty: the part's z axis
	Gauge    Gauge
	Repeats  int                                  // of each station, taken afresh
	Enough   bool                                 // gauge and repeats reach Needed
	Needed   tolerance.Optional[tolerance.Length] // standard uncertainty of a station's mean that is good enough; absent where it does not reach the result
	Share    float64                              // of the variance of the result, were every set read equally well

	take  take
	blank *record.Readings // its readings in the blank record
}

// Programme is what to measure on a stack, in order, and the blank record that takes the readings. The zero value is empty.
type Programme struct {
	Title  string
	For    align.Output     // the result that decides how good readings must be
	Wanted tolerance.Length // its standard uncertainty that is wanted, in its base unit: of a slope a ratio
	Tasks  []Task
	Blank  *record.Record
	Keep   []string // numbers of the record that stay as they are and are to be confirmed
}

// Bounds of a programme.
const (
	mostRepeats    = 5
	usualRepeats   = 2
	tenth          = 10 // the guard band is to be no more than a tenth of the tolerance
	usualTolerance = 0.02 * tolerance.Millimetre
)

// Measure plans the readings of a record's stack: what, where, from which side, in which order, with which gauge, how often, and how good they must be so that the guard band is a tenth of the least radial clearance (without shafts, of the first limit). The record may be an old one: its readings say where the sensitive places are, and are left out of the blank. When ctx ends the error wraps its cause.
func Measure(ctx context.Context, rec *record.Record) (*Programme, error) {
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	b, err := FromRecord(rec)
	if err != nil {
		return nil, err
	}
	if err := b.Stack.Validate(); err != nil {
		return nil, err
	}
	p := &Programme{Title: rec.Title}
	tol, err := p.aim(b)
	if err != nil {
		return nil, err
	}
	p.Wanted = tol / tenth / tolerance.GuardFactor95
	if err := p.blank(rec); err != nil {
		return nil, err
	}
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	if err := p.weigh(b.Stack); err != nil {
		return nil, err
	}
	p.sizes(rec)
	return p, nil
}

// aim chooses the result that decides how good readings must be, and returns its tolerance.
func (p *Programme) aim(b Box) (tolerance.Length, error) {
	switch {
	case len(b.Stack.Shafts) > 0:
		p.For = align.Output{What: align.Margin}
		return max(leastRadial(b.Stack), tolerance.Micrometre), nil
	case len(b.Limits) > 0:
		l := b.Limits[0]
		p.For = l.Output
		if l.Greatest.Given && l.Greatest.Value != 0 {
			return tolerance.Length(math.Abs(l.Greatest.Value)), nil
		}
		return usualTolerance, nil
	}
	return 0, fault.At("accept", "", "a shaft or a limit: without one no reading is better than another", fault.ErrMissing)
}

// leastRadial is the least radial clearance of a stack's supports; infinite without shafts.
func leastRadial(s align.Stack) tolerance.Length {
	least := tolerance.Length(math.Inf(1))
	for _, shaft := range s.Shafts {
		for _, p := range shaft.Supports {
			least = min(least, p.Clearance.Radial().Length())
		}
	}
	return least
}

// weigh works out how much each set of readings counts, how good it must be, and with what it is taken: shares of the wanted variance are equal, as in a budget.
//
// Source: JCGM 100:2008, 5.1.2; the equal shares are common practice, no published source.
func (p *Programme) weigh(s align.Stack) error {
	const unit = tolerance.Micrometre
	s = s.Clone()
	s.Candidates, s.States = nil, nil
	forgetPoints(s.Parts)
	study.EachReadings(&s, func(_ int, _ string, r *align.Readings, _ func(*align.Stack) *align.Readings) {
		r.Uncertainty, r.SharedUncertainty = tolerance.Given(unit), tolerance.Optional[tolerance.Length]{}
		r.Closing = tolerance.Optional[tolerance.Length]{} // of the old round
		for k, v := range r.Values {                       // a station's mean is what counts
			if len(v) > 1 {
				r.Values[k] = []tolerance.Length{mean(v)}
			}
		}
	})
	sources := study.GaugeSources(&s)
	e, err := study.GaugeEffects(s, sources, []align.Output{p.For})
	if err != nil {
		return err
	}
	gain := map[string]float64{} // variance of the result for one micrometre on each reading
	var total float64
	for i := range sources {
		d := e[0][i] * e[0][i]
		gain[sources[i].Set] += d
		total += d
	}
	felt := 0
	for _, g := range gain {
		if g > unfelt*total {
			felt++
		}
	}
	for i := range p.Tasks {
		t := &p.Tasks[i]
		t.Gauge, t.Repeats, t.Enough = t.take.gauges()[0], usualRepeats, true
		g := gain[t.Part+": "+t.What]
		if total == 0 || g <= unfelt*total {
			continue
		}
		t.Share = g / total
		t.Needed = tolerance.Given(unit * p.Wanted / tolerance.Length(math.Sqrt(g*float64(felt))))
		t.choose()
		if r := t.blank; r.Uncertainty == nil { // in the readings' unit or else the record's
			if u, err := tolerance.ParseUnit(cmp.Or(r.Unit, p.Blank.Units.Length)); err == nil {
				n := record.Num(math.Round(t.Gauge.U.In(u)*1e6) / 1e6)
				r.Uncertainty = &n
			}
		}
	}
	return nil
}

// forgetPoints leaves out what is uncertain about features measured as points, which no round of readings
// changes.
func forgetPoints(parts []align.Part) {
	for i := range parts {
		p := &parts[i]
		for _, f := range []*align.Face{p.Front, p.Rear} {
			if f != nil && f.Pilot != nil {
				f.Pilot.Errors = nil
			}
		}
		for b := range p.Bores {
			p.Bores[b].Errors = nil
		}
	}
}

// unfelt is the share of the result's variance below which a set of readings does not count.
const unfelt = 1e-6

// choose takes the plainest gauge that is good enough with few repeats, or the best there is.
func (t *Task) choose() {
	list := t.take.gauges()
	for i, g := range list {
		t.Gauge = g
		ratio := float64(g.U / t.Needed.Value)
		n := int(min(math.Ceil(ratio*ratio-whole), mostRepeats+1)) // which are too many, and still a whole number
		t.Repeats = max(usualRepeats, min(n, mostRepeats))
		t.Enough = n <= mostRepeats
		if n <= usualRepeats || (t.Enough && i == len(list)-1) {
			return
		}
	}
}

// Page is the measuring sheet for printing, lengths in the unit: a line for every station, to be filled in by hand.
func (p *Programme) Page(unit tolerance.Unit) *sheet.Page {
	s := draftOf("Measuring sheet", p.Title, unit)
	s.heading("before", "Before you begin")
	// Source: common practice, no published source.
	for _, line := range []string{
		"clean every face, stone off nicks, replace missing or damaged dowels; let parts and gauges lie 2 to 4 hours in the same room, and write the room's temperature down: ______ °C",
		"mark 12 o'clock on every part; stations run clockwise seen from the tail end looking forward, unless the task says nose",
		"turn by hand alone what is dialled; the pointer must come back to its first reading, or the round is void",
		"take a round, take the dial off, set it up again, take the round again: repeats that are not taken afresh say nothing",
	} {
		s.Item("%s", line)
	}
	s.Item("wanted: the result (%s) to a standard uncertainty of %s, so that its guard band is a tenth of the tolerance", outputWords(Effect{Output: p.For}), s.value(Effect{Output: p.For}, tolerance.Given(float64(p.Wanted))))
	for i := range p.Tasks {
		s.task(i+1, &p.Tasks[i])
	}
	if len(p.Keep) > 0 {
		s.heading("sizes", "Sizes in the record: measure or confirm, diameters first")
		for _, k := range p.Keep {
			s.Item("%s   measured: ________", k)
		}
	}
	s.heading("care", "Where care pays")
	heaviest := slices.SortedStableFunc(slices.Values(p.Tasks), func(x, y Task) int { return cmp.Compare(y.Share, x.Share) })
	for _, t := range heaviest[:min(len(heaviest), 3)] {
		s.When(t.Share > 0, "%s of the %s: %.0f %% of the result's variance, were all read equally well", t.What, t.Part, 100*t.Share)
	}
	return s.done("borestack-measure/1")
}

// task writes one task with its blanks.
func (s *draft) task(n int, t *Task) {
	s.heading("task", "%d. %s: %s", n, spell.Upper(t.Part), t.What)
	s.Item("gauge: %s, about %s standard uncertainty a reading; %d times each", t.Gauge.Name, s.Both(t.Gauge.U), t.Repeats)
	switch {
	case !t.Needed.Given:
		s.Item("the result hardly feels it: once round is enough to find a slip")
	case t.Enough:
		s.Item("good enough when the mean of a station is known to %s", s.Both(t.Needed.Value))
	default:
		s.Item("wanted to %s, which this gauge does not reach: expect a wider guard band", s.Both(t.Needed.Value))
	}
	switch t.take {
	case takeThickness:
		s.Item("front face is the datum, micrometer square to it, at the marked stations; it sees wedge and thickness, not bow")
	case takeFace:
		s.Item("end float taken up the same way at every station; plunger in is positive")
	default:
		s.Item("read the dial's droop on a stiff mandrel first (half the 12-to-6 difference): ________; plunger in is positive")
	}
	s.When(t.About != "", "the dial turns about the axis of %s", t.About)
	head := []string{"station", "seen from the " + spell.Either(t.FromNose, "nose", "tail")}
	for k := range t.Repeats {
		head = append(head, fmt.Sprintf("reading %d", k+1))
	}
	table := s.Table(paper.Words(head...))
	line := func(name, at string) {
		row := paper.Cells(name, at)
		for range t.Repeats {
			row = append(row, paper.Cell{Text: "________"})
		}
		table.Row(nil, row...)
	}
	for k, a := range t.Stations {
		line(fmt.Sprint(k+1), spell.Direction(a))
	}
	line("closing", "the first again")
	s.Item("goes to %s of the record", t.At)
}
