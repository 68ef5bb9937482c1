package advise_test

import (
	"math"
	"strconv"
	"strings"
)

// The literal fitter, beside reading: the sentences that he understands, order by order.

// frameLines may begin any order.
var frameLines = []line{
	form(`the NAME is mounted end for end in the box: its rear face as measured looks forward there`, func(r *sheetReader, m []string) {
		if r.o.zero != "" {
			r.fault("end for end is not said first")
		}
		r.o.over = append(r.o.over, m[1])
	}),
	form(`on the bench: clock positions are by the own marks of the NAME as measured, seen from its tail end, its 12 o'clock mark up; zero is NAME`, func(r *sheetReader, m []string) {
		r.o.bench, r.o.marksOf, r.o.zero = true, m[1], m[2]
	}),
	form(`in the box: clock positions are seen from the tail, as the box stands, 12 o'clock up; zero is NAME`, func(r *sheetReader, m []string) { r.o.zero = m[1] }),
	form(`in the box its 12 o'clock mark stands at CLOCK`, func(r *sheetReader, m []string) {
		at := r.clock(m[1])
		r.o.clockedAt = &at
	}),
}

var gasketLines = []line{
	form(`in place of the gasket that is there`, func(r *sheetReader, _ []string) { r.o.gasket = "in place" }),
	form(`beside the gasket that is there`, func(r *sheetReader, _ []string) { r.o.gasket = "beside" }),
}

func nothingMore(*sheetReader, []string) {}

var cutLines = []line{
	form(`cut the (front|rear) face of the NAME\. Datum: its (front|rear) face, down, clean and stoned; do not cut that one`, func(r *sheetReader, m []string) {
		r.o.face, r.o.part, r.o.datum = m[1], m[2], m[3]
		if m[1] == m[3] {
			r.fault("the datum is to be cut")
		}
	}),
	form(`take off AMOUNT at CLOCK, and AMOUNT opposite at CLOCK: a wedge of AMOUNT across SIZE`, func(r *sheetReader, m []string) {
		o := r.o
		o.amount, o.at, o.opposite, o.oppositeAt, o.rise, o.across = r.amount(m[1]), r.clock(m[2]), r.amount(m[3]), r.clock(m[4]), r.amount(m[5]), r.size(m[6], 0)
		if math.Abs(math.Abs(math.Remainder(o.at.v-o.oppositeAt.v, 2*math.Pi))-math.Pi) > 2.01*o.at.half {
			r.fault("opposite is not opposite")
		}
		if math.Abs(o.amount.v-o.opposite.v-o.rise.v) > o.amount.half+o.opposite.half+o.rise.half+1e-9 {
			r.fault("the wedge is not the difference of what comes off")
		}
	}),
	form(`take off AMOUNT all over, parallel to the face as it is`, func(r *sheetReader, m []string) { r.o.amount, r.o.parallel = r.amount(m[1]), true }),
	form(`set-up: a strip of SIZE under the datum face at CLOCK, SIZE from the edge opposite on which the part rests; cut level, the highest side first: when finished the part is thinnest over the strip`, func(r *sheetReader, m []string) {
		r.o.strip = &stripUnder{r.size(m[1], 1), r.clock(m[2]), r.size(m[3], 0)}
	}),
	form(`set-up: flat on the datum face, without a strip; cut level, the highest side first: when finished the faces are parallel`, func(r *sheetReader, _ []string) { r.o.flat = true }),
	form(`set-up: hold the face parallel to itself: shim the datum face until a dial reads the same at every mark of the (front|rear) face, then cut level; laid flat it would lose its wedge(?:; a strip of SIZE under the datum face at CLOCK, SIZE from the edge opposite on which the part rests, brings it near)?`, func(r *sheetReader, m []string) {
		if m[1] != r.o.face {
			r.fault("the dial is on the %s face, the cut on the %s", m[1], r.o.face)
		}
		if m[2] != "" {
			r.o.strip = &stripUnder{r.size(m[2], 1), r.clock(m[3]), r.size(m[4], 0)}
		}
	}),
	form(`(?:marks on a circle of SIZE; )?with that face up you look at it from the (tail|nose): take that column(?:; from there (?:most comes off at CLOCK)?(?:, and )?(?:the strip is at CLOCK)?)?`, func(r *sheetReader, m []string) {
		o := r.o
		if m[1] != "" {
			o.circle = r.size(m[1], 0)
		}
		o.eye = m[2]
		if (o.face == "rear") != (o.eye == "tail") {
			r.fault("the %s face is not seen from the %s", o.face, o.eye)
		}
		for i, p := range []**printed{&o.noseMost, &o.noseStrip} {
			if m[3+i] != "" {
				at := r.clock(m[3+i])
				*p = &at
			}
		}
	}),
	form(`nowhere thinner than SIZE; stop there whatever is left`, func(r *sheetReader, m []string) {
		stop := r.size(m[1], 0)
		r.o.stop = &stop
	}),
	form(`let the clamps off before the last cut and let the part take its shape; pilots, bores and dowel holes are not to be touched`, nothingMore),
}

var boreLines = []line{
	form(`set up on the old bore NAME, move AMOUNT towards CLOCK, bore, sleeve, and bore the sleeve to size there`, func(r *sheetReader, m []string) {
		r.sameBore(m[1])
		r.o.amount, r.o.at = r.amount(m[2]), r.clock(m[3])
	}),
	form(`bore to at least SIZE, so that the old bore of SIZE cleans up and the sleeve keeps a wall of AMOUNT`, func(r *sheetReader, m []string) {
		opened, wall := r.size(m[1], 0), r.amount(m[3])
		r.o.opened, r.o.wall = &opened, &wall
		if old := r.size(m[2], 0); opened.v < old.v+2*r.o.amount.v+2*wall.v-2*(opened.half+r.o.amount.half+wall.half) {
			r.fault("bored to %v mm a bore of %v mm, moved by %v mm, leaves no wall of %v mm", opened.v, old.v, r.o.amount.v, wall.v)
		}
	}),
	form(`leave a sound wall round it; stop when the casting is too thin`, nothingMore),
	form(`fit a bush in NAME that is bored off centre by SIZE \(centre to centre\), its bore towards CLOCK; press first, then bore to size, concentric to nothing but this`, func(r *sheetReader, m []string) {
		r.sameBore(m[1])
		r.o.amount, r.o.at = r.size(m[2], 1), r.clock(m[3])
	}),
}

func (r *sheetReader) sameBore(name string) {
	if name != r.o.place {
		r.fault("the heading says %s, the order %s", r.o.place, name)
	}
}

var shimLines = append([]line{
	form(`fit a parallel shim or gasket of SIZE between the NAME and the NAME; measure the pack, not its marking`, func(r *sheetReader, m []string) {
		r.o.amount, r.o.part, r.o.behind = r.size(m[1], 1), m[2], m[3]
	}),
	form(`make a tapered shim for between the NAME and the NAME: AMOUNT at its thinnest, AMOUNT at its thickest, at CLOCK; the rise is AMOUNT across SIZE`, func(r *sheetReader, m []string) {
		o := r.o
		o.part, o.behind, o.opposite, o.amount, o.at, o.rise, o.across = m[1], m[2], r.amount(m[3]), r.amount(m[4]), r.clock(m[5]), r.amount(m[6]), r.size(m[7], 0)
		if math.Abs(o.amount.v-o.opposite.v-o.rise.v) > o.amount.half+o.opposite.half+o.rise.half+1e-9 {
			r.fault("the rise is not the difference")
		}
	}),
	form(`fit it by the marks of the NAME: in the box its thickest side stands at CLOCK`, func(r *sheetReader, m []string) {
		r.o.inBox = r.clock(m[2])
		if m[1] != r.o.part || r.o.marksOf != r.o.part {
			r.fault("marks of %s, of %s and of %s", m[1], r.o.part, r.o.marksOf)
		}
	}),
	form(`thickness at the marks of the NAME, within ± AMOUNT:`, func(r *sheetReader, m []string) { r.o.within = r.amount(m[2]) }),
}, gasketLines...)

var dowelLines = []line{
	form(`fit offset dowels of SIZE \(centre to centre, that is SIZE TIR\) between the NAME and the NAME: NAME, all pointing the same way`, func(r *sheetReader, m []string) {
		o := r.o
		o.amount, o.tir, o.part, o.behind, o.pins = r.size(m[1], 1), r.size(m[2], 1), m[3], m[4], names(m[5])
		if math.Abs(o.tir.v-2*o.amount.v) > o.tir.half+2*o.amount.half+1e-9 {
			r.fault("the TIR is not twice the offset")
		}
	}),
	form(`their rear ends, and with them the NAME, go towards CLOCK`, func(r *sheetReader, m []string) { r.o.at = r.clock(m[2]) }),
}

const zeroingWords = `set a dial at 3 o'clock and one at 12 o'clock on the rim of the NAME, plungers towards its centre, plus as they go in; push it both ways along each dial and set zero halfway: it travels AMOUNT along the one, AMOUNT along the other`

const readsWords = `the dial at 3 o'clock reads SIGNED and the dial at 12 o'clock SIGNED: (?:AMOUNT towards CLOCK from zero|(in the middle both ways))`

// division is what a dial is held at: where it shows no finer than hundredths of a millimetre, that is a division and not a rounded number.
func division(p printed, s string) printed {
	if strings.HasSuffix(s, " mm") && p.half > 4e-3 {
		p.half = 1e-6
	}
	return p
}

// zeroed and reads fill in a joint on the dials from the groups of the words above.
func (r *sheetReader) zeroed(h *held, m []string) {
	h.part, h.travel = m[0], [2]printed{r.amount(m[1]), r.amount(m[2])}
}

func (r *sheetReader) reads(h *held, m []string) {
	x, y := r.amount(m[0]), r.amount(m[1])
	h.at = [2]printed{division(x, m[0]), division(y, m[1])}
	if h.middle = m[4] != ""; h.middle {
		if math.Hypot(x.v, y.v) > x.half+y.half {
			r.fault("in the middle both ways, at %v and %v", x.v, y.v)
		}
		return
	}
	h.sum, h.sumAt = r.amount(m[2]), r.clock(m[3])
	off := math.Hypot(x.v-h.sum.v*math.Sin(h.sumAt.v), y.v-h.sum.v*math.Cos(h.sumAt.v))
	if off > x.half+y.half+h.sum.half+h.sum.v*h.sumAt.half+1e-9 {
		r.fault("the dials read %v and %v, which is not %v towards %.1f°", x.v, y.v, h.sum.v, h.sumAt.v*180/math.Pi)
	}
}

var redowelLines = []line{
	form(`leave the dowels in \(NAME\), bolts snug; `+zeroingWords, func(r *sheetReader, m []string) {
		h := &held{joint: r.o.place}
		r.o.pins = names(m[1])
		r.zeroed(h, m[2:])
		r.o.behind, r.o.holds = h.part, append(r.o.holds, h)
	}),
	form(`take the dowels out and move the NAME on the NAME, without turning it, until `+readsWords, func(r *sheetReader, m []string) {
		h := r.o.holds[len(r.o.holds)-1]
		if m[1] != h.part {
			r.fault("dials on %s, and %s is moved", h.part, m[1])
		}
		r.o.part = m[2]
		r.reads(h, m[3:])
	}),
	rightLine, stuckLine, againLine,
	form(`dial it as below, ream the holes through both parts and fit new pins(?: of SIZE)?`, func(r *sheetReader, m []string) {
		if m[1] != "" {
			pin := r.size(m[1], 0)
			r.o.pin = &pin
		}
	}),
	form(`the two parts are then a matched set: mark both`, nothingMore),
}

var pushLines = []line{
	form(`joint NAME: bolts snug; `+zeroingWords, func(r *sheetReader, m []string) {
		h := &held{joint: m[1]}
		r.zeroed(h, m[2:])
		r.o.holds = append(r.o.holds, h)
	}),
	form(`joint NAME: (?:push it towards CLOCK until|(leave it where)) `+readsWords+`(?:, (?:(in the middle of what it turns)|turned AMOUNT (clockwise|anticlockwise) at SIZE from its centre, from the middle of what it turns))?`, func(r *sheetReader, m []string) {
		h := r.o.holds[len(r.o.holds)-1]
		if m[1] != h.joint {
			r.fault("zero at joint %s, held at joint %s", h.joint, m[1])
		}
		r.reads(h, m[4:9])
		if h.middle != (m[3] != "") {
			r.fault("joint %s: pushed %q, left %q, and its dials read %v and %v", h.joint, m[2], m[3], h.at[0].v, h.at[1].v)
		}
		if m[2] != "" { // which way he pushes is what the dials say
			if to := r.clock(m[2]); math.Abs(math.Remainder(to.v-h.sumAt.v, 2*math.Pi)) > 1e-9 {
				r.fault("joint %s: pushed towards %s, the dials read %.1f°", h.joint, m[2], h.sumAt.v*180/math.Pi)
			}
		}
		if h.turns = m[9] != "" || m[10] != ""; m[10] != "" {
			h.turned, h.radius = division(r.amount(m[10]), m[10]), r.size(m[12], 0)
			if m[11] == "anticlockwise" {
				h.turned.v = -h.turned.v
			}
		}
	}),
	form(`joint NAME: `+rightWords, func(r *sheetReader, m []string) {
		if h := r.o.holds[len(r.o.holds)-1]; m[1] != h.joint {
			r.fault("held at joint %s, right at joint %s", h.joint, m[1])
		}
		r.right(m[2:])
	}),
	stuckLine, againLine,
}

// rightWords say within how much a part is right, and what its dials read when its bolts are tight.
const rightWords = `right when both are within ± SIZE of that; tighten the bolts nearest the dowels first; tight, the dial at 3 o'clock must read SIGNED and the dial at 12 o'clock SIGNED, within ± SIZE`

var (
	rightLine = form(rightWords, func(r *sheetReader, m []string) { r.right(m[1:]) })
	stuckLine = form(`if it does not come, or creeps as it is tightened: never draw it there with the bolts; slacken them all, free the dowels, clean burrs and dirt off, find zero again, and go past by what it crept`, func(r *sheetReader, _ []string) { r.o.stuck = true })
	againLine = form(`if it travels less than said above by more than SIZE, or does not come then: stop, measure its register and its dowels again, and make a new sheet`, func(r *sheetReader, m []string) { r.o.again = r.size(m[1], 1) })
)

// right reads within how much the last joint is right. Tight, its dials read what they read before, and no dial is asked for less than half of what its last digit stands for.
func (r *sheetReader) right(m []string) {
	h := r.o.holds[len(r.o.holds)-1]
	x, y := r.amount(m[1]), r.amount(m[2])
	h.within = r.size(m[0], 1)
	if tight := r.size(m[3], 1); tight != h.within || x.v != h.at[0].v || y.v != h.at[1].v {
		r.fault("joint %s: right at %v and %v within %v, tight at %v and %v within %v", h.joint, h.at[0].v, h.at[1].v, h.within.v, x.v, y.v, tight.v)
	}
	if h.within.v < x.half-h.within.half-1e-9 {
		r.fault("joint %s: within %v on a dial that shows %v", h.joint, h.within.v, 2*x.half)
	}
}

// careful holds an order of dials against what a fitter must know beside them: within how much each joint is right, and what to do when it does not come; a travel that is missed by less than that is no reason to stop.
func (r *sheetReader) careful(o *order) {
	for _, h := range o.holds {
		if h.within.v <= 0 || !o.stuck || o.again.v < h.within.v {
			r.fault("joint %s: right within %v, stuck %v, measured again from %v", h.joint, h.within.v, o.stuck, o.again.v)
		}
	}
}

// orderLines are the items of each kind of order, by the words of its heading.
var orderLines = map[string][]line{
	"Another part": {form(`fit NAME in place of the NAME that was measured, its 12 o'clock mark where that of the old one was`, func(r *sheetReader, m []string) { r.o.candidate, r.o.part = m[1], m[2] })},
	"Turn end for end": {form(`turn the NAME over about the line through its 12 and 6 o'clock marks: its 12 o'clock mark stays where it is, its 3 o'clock mark goes where its 9 o'clock mark was, and the face that looked forward looks to the tail`, func(r *sheetReader, m []string) {
		r.o.part = m[1]
	})},
	"Re-clock": {
		form(`turn the NAME by DEGREES clockwise; the parts behind it stay as they are`, func(r *sheetReader, m []string) {
			deg, _ := strconv.ParseFloat(strings.TrimSuffix(m[2], "°"), 64)
			r.o.part, r.o.turn = m[1], printed{deg * math.Pi / 180, 0.05 * math.Pi / 180}
		}),
		form(`the tapered gasket behind it turns with it: lay it by the marks of the NAME`, func(r *sheetReader, m []string) { r.o.lies = m[1] }),
		form(`the tapered gasket in front of it stays by the marks of the NAME`, func(r *sheetReader, m []string) { r.o.stays = m[1] }),
		form(`set it in the middle of what its pilots let it move, and drill its dowel holes anew in place(?:: those of NAME)?`, func(r *sheetReader, m []string) {
			r.o.drilled, r.o.pins = true, names(m[1])
		}),
	},
	"Skim parallel":              cutLines,
	"Skim by a wedge":            cutLines,
	"Bore and sleeve":            boreLines,
	"Bush off centre":            boreLines,
	"Shim":                       shimLines,
	"Tapered shim":               shimLines,
	"Offset dowels":              dowelLines,
	"Ream and re-dowel in place": redowelLines,
	"Push before tightening":     pushLines,
}

var promiseLines = []line{
	form(`verdict before: ([a-z]+); after, with the amounts as printed: ([a-z]+)`, func(r *sheetReader, m []string) { r.promise.before, r.promise.after = m[1], m[2] }),
	form(`margin of the shaft line at the worst float, radial: AMOUNT before, AMOUNT after with the amounts as printed`, func(r *sheetReader, m []string) {
		r.promise.margin, r.promise.given = [2]printed{r.amount(m[1]), r.amount(m[2])}, true
	}),
	form(`strips and dials as they are cost AMOUNT of it`, func(r *sheetReader, m []string) { r.promise.cost = r.amount(m[1]) }),
	form(`not worth doing: they take more than it gives; leave it, or use finer ones`, func(r *sheetReader, _ []string) { r.promise.notWorth = true }),
	form(`no bore moves that a dial could show: check the amounts themselves`, func(r *sheetReader, _ []string) { r.promise.still = true }),
	form(`in the box: clock positions are seen from the tail, as the box stands, 12 o'clock up; zero is NAME`, func(r *sheetReader, m []string) { r.promise.line = m[1] }),
	form(`error before: NAME stands off NAME by AMOUNT towards CLOCK, a TIR of AMOUNT`, func(r *sheetReader, m []string) {
		p := &r.promise
		p.bore, p.error, p.errorAt, p.errTIR = m[1], r.amount(m[3]), r.clock(m[4]), r.amount(m[5])
		if m[2] != p.line {
			r.fault("zero is %s, the error from %s", p.line, m[2])
		}
	}),
	form(`move: AMOUNT towards CLOCK`, func(r *sheetReader, m []string) { r.promise.move, r.promise.moveAt = r.amount(m[1]), r.clock(m[2]) }),
	form(`fit, dial again at NAME, zero at 12 o'clock, plus as the plunger goes in: expect SIGNED at 3 o'clock, SIGNED at 6 o'clock and SIGNED at 9 o'clock, a TIR of AMOUNT ± AMOUNT, its centre towards CLOCK; if it moves the other way, stop`, func(r *sheetReader, m []string) {
		p := &r.promise
		p.dial, p.reads, p.tir, p.centre = true, [3]printed{r.amount(m[2]), r.amount(m[3]), r.amount(m[4])}, r.amount(m[5]), r.clock(m[7])
		if m[1] != p.bore {
			r.fault("error of %s, to be dialled at %s", p.bore, m[1])
		}
	}),
	form(`that is with the joints where they rest; as they may lie, it reads AMOUNT to AMOUNT`, func(r *sheetReader, m []string) {
		r.promise.ends = &[2]printed{r.amount(m[1]), r.amount(m[2])}
	}),
	form(`WORSE: .+`, func(r *sheetReader, _ []string) { r.promise.worse++ }),
	form(`.+: from .+ to .+`, nothingMore),
	form(`do not touch: .+`, nothingMore),
}
