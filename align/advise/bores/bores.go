// Package bores says how to bring the bores of one casting into line: the best common axis, how far and
// which way each bore moves, what it must be bored to, and what wall a sleeve is left with.
//
// Every bore may move by its slack: half of what it may be bored out beyond what it is, less a clean cut. Where the
// casting leaves no wall for a sleeve, the slack is what the bore's own finished size takes with it, or none but
// what no bore gauge tells. The axis is the one that takes the least share of that slack where it takes most,
//
//	λ = least over lines ℓ of the greatest |p_i − ℓ(z_i)| / slack_i ,
//
// and among those the one of least Σ|p_i − ℓ(z_i)|²: the shaft line of package align, whose clearances
// are twice the slack. Bores that must stay are respected: two of them are the axis; through a single one
// the axis is found by reflecting all others in it, because the best line of a figure that is its own
// reflection may be taken through the middle; where three or more stay, the axis is the best of theirs
// alone, and what each is off it is said.
//
// A bore that moves by e is bored to at least its diameter now + 2 (e + clean), so that the cut is whole
// all round. A sleeve of the finished diameter then has a wall of half the difference.
//
// Positions are in the frame of the casting, seen from the tail, clock positions clockwise from 12.
//
// Source: hand calculation; common practice, no published source, for the rule of the cut.
package bores

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Bore is one bore as measured, and what may be done to it.
type Bore struct {
	Name     string
	Centre   align.Vec3       // at the middle of its length
	Diameter tolerance.Length // as it is, at its widest
	Finished tolerance.Length // as it has to be; 0: as it is. Of a bore that stays it says nothing
	Most     tolerance.Length // what the casting may be bored out to; 0: it stays
}

// stays says whether nothing may be done to it.
func (b *Bore) stays() bool { return b.Most == 0 }

// Casting is what is asked about. The zero value has no bores, which is refused.
type Casting struct {
	Bores []Bore
	Clean tolerance.Length // least depth that a cut takes all round, radial
	Wall  tolerance.Length // least wall of a sleeve
}

// Deed is what is done to a bore.
type Deed uint8

// The deeds.
const (
	Keep   Deed = iota // nothing
	Rebore             // bored out on the axis, to its finished size
	Sleeve             // bored out on the axis and sleeved back to its finished size
	Reject             // cannot be brought to the axis within what the casting allows
)

func (d Deed) String() string { return [...]string{"keep", "rebore", "sleeve", "reject"}[d] }

// Move is what a bore needs.
type Move struct {
	Name string
	Deed Deed
	By   align.Vec2       // from where it is to the axis
	To   tolerance.Length // diameter to bore to; 0: none
	Wall tolerance.Length // of the sleeve; 0: none
	Left tolerance.Length // what the casting would still allow, in diameter; below 0: how much it lacks
}

// Line is the answer.
type Line struct {
	AtZero align.Vec2 // the axis: AtZero + Slope·z
	Slope  align.Slope
	Share  float64  // λ: the greatest share of its slack that a bore takes; above 1 one is rejected
	Govern []string // the bores that take it
	Moves  []Move   // one a bore, in order
	along  []int    // the moves in their order along the axis
}

// Passes says whether every bore can be brought to the axis.
func (l *Line) Passes() bool {
	for i := range l.Moves {
		if l.Moves[i].Deed == Reject {
			return false
		}
	}
	return true
}

// farthest is more than any casting measures.
const farthest = 100 * tolerance.Metre

// steepest is how much the axis of a line of bores may lean: more is a slip, or bores side by side.
const steepest = 0.1

// noShare is the share of its slack below which a bore is on the axis but for rounding, and sameShare the share
// of the greatest by which one that takes as much may differ from it for the same reason.
const (
	noShare   = 1e-9
	sameShare = 1e-4
)

// sliver is what sizes differ by through rounding alone.
const sliver = 1e-9 * tolerance.Millimetre

// atRest is how far a bore may be off the axis and still count as on it: the last digit of a bore gauge.
const atRest = 0.0005 * tolerance.Millimetre

// Align finds the axis. Errors name the bore.
func (c Casting) Align() (*Line, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	var staying []int
	for i := range c.Bores {
		if c.Bores[i].stays() {
			staying = append(staying, i)
		}
	}
	var stations []station
	middle := -1
	if len(staying) >= 2 {
		for _, i := range staying {
			stations = append(stations, station{c.Bores[i].Centre, tolerance.Millimetre})
		}
	} else {
		for i := range c.Bores {
			if b := &c.Bores[i]; !b.stays() {
				stations = append(stations, station{b.Centre, c.slack(b)})
			}
		}
		if len(staying) == 1 {
			middle = staying[0]
			stations = reflected(stations, c.Bores[middle].Centre)
		}
	}
	l, err := bestLine(stations)
	if err != nil {
		return nil, err
	}
	if lean := l.Slope.Size(); lean > steepest {
		return nil, fault.At("bores", fmt.Sprintf("an axis that leans %.3g to 1", lean), "bores one behind the other, whose centres are nearly in one line along z", fault.ErrOutOfRange)
	}
	if middle >= 0 { // of the best lines, the one through the middle
		p := c.Bores[middle].Centre
		l.AtZero = align.Vec2{X: p.X - tolerance.Length(l.Slope.X)*p.Z, Y: p.Y - tolerance.Length(l.Slope.Y)*p.Z}
	}
	c.moves(l)
	for i := range c.Bores {
		l.along = append(l.along, i)
	}
	slices.SortStableFunc(l.along, func(i, k int) int { return cmp.Compare(c.Bores[i].Centre.Z, c.Bores[k].Centre.Z) })
	return l, nil
}

// whole is how far the centre of a bore may move and still be cut whole all round within its greatest size.
func (c *Casting) whole(b *Bore) tolerance.Length { return (b.Most-b.Diameter)/2 - c.Clean }

// slack is how far it may move and be brought to its finished size again.
func (c *Casting) slack(b *Bore) tolerance.Length {
	finished := cmp.Or(b.Finished, b.Diameter)
	if finished+2*c.Wall <= b.Most {
		return max(atRest, c.whole(b))
	}
	return max(atRest, (finished-b.Diameter)/2-c.Clean) // no sleeve: bored to its size, or left as it is
}

// station is a centre that the axis passes, and how far it may be off.
type station struct {
	at    align.Vec3
	slack tolerance.Length
}

// reflected adds the reflection of every station in a point.
func reflected(s []station, p align.Vec3) []station {
	for _, b := range s[:len(s):len(s)] {
		b.at = align.Vec3{X: 2*p.X - b.at.X, Y: 2*p.Y - b.at.Y, Z: 2*p.Z - b.at.Z}
		s = append(s, b)
	}
	return s
}

// bestLine is the shaft line of package align, with a clearance of twice its slack at every station.
func bestLine(stations []station) (*Line, error) {
	group := []int{0}
	s := shaftline.Solver{Groups: [][]int{group}, Shafts: 1}
	low, high := math.Inf(1), math.Inf(-1)
	for i, b := range stations {
		low, high = min(low, float64(b.at.Z)), max(high, float64(b.at.Z))
		s.Circles = append(s.Circles, shaftline.Circle{Other: -1, Holder: i, Z: float64(b.at.Z), X: float64(b.at.X), Y: float64(b.at.Y), Radius: float64(b.slack)})
	}
	if low == high {
		return nil, fault.At("bores", "those that set the axis all at z "+tolerance.Length(low).String(), "bores at two places along the axis", fault.ErrTooFew)
	}
	share, err := s.Utilisation()
	if err != nil {
		return nil, err
	}
	best, err := s.BestLines(group, share, share)
	if err != nil {
		return nil, err
	}
	return &Line{AtZero: align.Vec2{X: tolerance.Length(best[0].X), Y: tolerance.Length(best[0].Y)}, Slope: align.Slope{X: best[0].SX, Y: best[0].SY}}, nil
}

// moves says what every bore needs.
func (c *Casting) moves(l *Line) {
	share := make([]float64, len(c.Bores))
	for i := range c.Bores {
		b := &c.Bores[i]
		m := Move{Name: b.Name, By: align.Vec2{
			X: l.AtZero.X + tolerance.Length(l.Slope.X)*b.Centre.Z - b.Centre.X,
			Y: l.AtZero.Y + tolerance.Length(l.Slope.Y)*b.Centre.Z - b.Centre.Y,
		}}
		e := m.By.Size()
		finished := cmp.Or(b.Finished, b.Diameter)
		if !b.stays() {
			share[i] = float64(e / c.slack(b))
		}
		clean := b.Diameter + 2*(e+c.Clean)                        // the least that is cut all round
		small := b.Diameter < finished && clean <= finished+sliver // and can be cut to its size, even where it stands
		switch {
		case e <= atRest && (b.stays() || b.Diameter <= finished && !small):
			m.Deed = Keep
			if m.Left = b.Most - b.Diameter; b.stays() {
				m.Left = 0
			}
		case b.stays():
			m.Deed, m.Left = Reject, -2*e
		case clean <= finished+sliver:
			m.Deed, m.To, m.Left = Rebore, finished, b.Most-finished
		default:
			m.Deed, m.To = Sleeve, max(clean, finished+2*c.Wall)
			m.Wall, m.Left = (m.To-finished)/2, b.Most-m.To
		}
		if m.Left < -sliver {
			m.Deed = Reject
		} else {
			m.Left = max(0, m.Left)
		}
		l.Moves = append(l.Moves, m)
	}
	if l.Share = slices.Max(share); l.Share <= noShare {
		l.Share = 0
		return
	}
	for i := range c.Bores {
		if share[i] >= l.Share*(1-sameShare) {
			l.Govern = append(l.Govern, c.Bores[i].Name)
		}
	}
}

// check names the first thing that is wrong with each bore.
func (c *Casting) check() error {
	var wrong rules.List
	if wrong.Need(len(c.Bores) >= 2, "bores", len(c.Bores), "at least two bores", fault.ErrMissing); len(wrong) > 0 {
		return wrong.Err()
	}
	wrong.Need(rules.NotNegative(c.Clean), "clean", c.Clean, "zero or more", fault.ErrOutOfRange)
	wrong.Need(rules.NotNegative(c.Wall), "wall", c.Wall, "zero or more", fault.ErrOutOfRange)
	seen := map[string]bool{}
	for i := range c.Bores {
		b, at := &c.Bores[i], fmt.Sprintf("bores/%d/", i)
		var own rules.List
		own.Need(strings.TrimSpace(b.Name) != "" && !seen[b.Name], at+"name", strconv.Quote(b.Name), "a name of its own", fault.ErrRepeated)
		own.Need(ieee.Finite(b.Centre.X, b.Centre.Y, b.Centre.Z), at+"centre", b.Centre, "finite numbers", fault.ErrNotFinite)
		own.Need(rules.Positive(b.Diameter), at+"diameter", b.Diameter, "more than 0", fault.ErrOutOfRange)
		own.Need(rules.NotNegative(b.Finished), at+"finished", b.Finished, "more than 0, or nothing: as it is", fault.ErrOutOfRange)
		own.Need(ieee.Finite(b.Most) && (b.stays() || c.whole(b) > 0), at+"most", b.Most, "more than the diameter and a clean cut all round, or nothing: the bore stays", fault.ErrOutOfRange)
		own.Need(b.stays() || b.Finished <= b.Most, at+"finished", b.Finished, "at most what the casting may be bored out to, "+b.Most.String(), fault.ErrOutOfRange)
		for _, v := range []struct {
			key string
			is  tolerance.Length
		}{{"centre", b.Centre.X}, {"centre", b.Centre.Y}, {"centre", b.Centre.Z}, {"diameter", b.Diameter}, {"finished", b.Finished}, {"most", b.Most}} {
			own.Need(max(v.is, -v.is) <= farthest, at+v.key, v.is, "at most "+farthest.String(), fault.ErrOutOfRange)
		}
		wrong = append(wrong, own[:min(len(own), 1)]...)
		seen[b.Name] = true
	}
	return wrong.Err()
}
