package advise

// How a work sheet is worded. A fitter has the paper and nothing else, so the paper is complete: every
// order names its frame, its zero, its amounts and its directions in the forms below, and a reader of
// the text alone can carry it out.
//
// # Layout
//
// A sheet is a title, one section an order ("1. Skim by a wedge of plate/rear": number, kind, place),
// then "Before and after" and "Cautions". A section is a list of items. In text an item begins with
// "  - ", goes on in lines that begin with four blanks, and is one sentence once these are joined by
// single blanks; in Markdown it is one line that begins with "- ". A table is indented by four blanks,
// its columns two blanks or more apart. Lines that begin with six blanks and a bar are a picture; they
// repeat what the items say (in Markdown they are fenced).
//
// # Words
//
//   - AMOUNT: a number and its unit, "0.160 mm"; other units have millimetres behind them in brackets,
//     "0.0063 in (0.160 mm)". SIGNED: the same with + or - before it. SIZE: a dimension, "184 mm".
//   - CLOCK: a direction, "half past 4 (140°)": the degrees count, clockwise from 12 o'clock.
//   - words of care ("leave a sound wall round it", "let the clamps off before the last cut", "the two parts are
//     then a matched set") name no amount, and may stand beside the forms below
//   - PART, FACE, JOINT, BORE, DOWEL: names as in the record. FACE is "front" or "rear", always as the
//     part was measured. FRONT and BEHIND are the part before a joint and the part behind it.
//
// # Frames
//
// The first items of an order, in this order:
//
//   - "the PART is mounted end for end in the box: its rear face as measured looks forward there": only
//     for a part that is so mounted when the order is carried out
//   - "on the bench: clock positions are by the own marks of the PART as measured, seen from its tail
//     end, its 12 o'clock mark up; zero is ZERO", or
//   - "in the box: clock positions are seen from the tail, as the box stands, 12 o'clock up; zero is
//     ZERO". The box stands as its first part does: the first part's 12 o'clock is up.
//   - "in the box its 12 o'clock mark stands at CLOCK": bench orders alone, of a part that is clocked
//
// Own marks stay with the metal: those of a part that is end for end or clocked are where its own
// measuring put them, not where a clock on the wall would. Mark θ of a part end for end stands at -θ
// in the box, before any clocking.
//
// # Orders
//
// Another part (in the box; zero is "the place of the PART that was measured"):
//
//   - "fit PART in place of the PART that was measured, its 12 o'clock mark where that of the old one
//     was"
//
// Turn end for end (in the box; zero is "as it was mounted"):
//
//   - "turn the PART over about the line through its 12 and 6 o'clock marks: its 12 o'clock mark stays
//     where it is, its 3 o'clock mark goes where its 9 o'clock mark was, and the face that looked
//     forward looks to the tail"
//
// Re-clock (in the box; zero is "as it stood"):
//
//   - "turn the PART by DEGREES° clockwise; the parts behind it stay as they are"
//   - "the tapered gasket behind it turns with it: lay it by the marks of the PART", where there is one
//   - "the tapered gasket in front of it stays by the marks of the FRONT", where there is one
//   - "set it in the middle of what its pilots let it move, and drill its dowel holes anew in place:
//     those of DOWEL and DOWEL": with new holes
//
// Skims (on the bench; zero is "the FACE face as it is"):
//
//   - "cut the FACE face of the PART. Datum: its FACE face, down, clean and stoned; do not cut that one"
//   - "take off AMOUNT at CLOCK, and AMOUNT opposite at CLOCK: a wedge of AMOUNT across SIZE", or "take
//     off AMOUNT all over, parallel to the face as it is"
//   - by a wedge: "set-up: a strip of SIZE under the datum face at CLOCK, SIZE from the edge opposite on
//     which the part rests; cut level, the highest side first: when finished the part is thinnest over
//     the strip". The strip tilts the datum face by its thickness over that distance; a level cut makes
//     the finished wedge just that, whatever the part was before. Or "set-up: flat on the datum face,
//     without a strip; cut level, the highest side first: when finished the faces are parallel"
//   - parallel: "set-up: hold the face parallel to itself: shim the datum face until a dial reads the
//     same at every mark of the FACE face, then cut level; laid flat it would lose its wedge", and where
//     the part has a wedge "a strip of SIZE under the datum face at CLOCK, SIZE from the edge opposite on
//     which the part rests, brings it near"
//   - "marks on a circle of SIZE; with that face up you look at it from the EYE: take that column",
//     and of a front face "; from there most comes off at CLOCK, and the strip is at CLOCK", the same
//     directions seen from the nose
//   - the table: mark, from tail, from nose, is, take off, finish, from, to
//   - "nowhere thinner than SIZE; stop there whatever is left"
//
// Bore and sleeve (on the bench; zero is "the centre of the bore as it is"):
//
//   - "set up on the old bore BORE, move AMOUNT towards CLOCK, bore, sleeve, and bore the sleeve to size
//     there"
//   - "bore to at least SIZE, so that the old bore of SIZE cleans up and the sleeve keeps a wall of
//     AMOUNT"
//
// Bush off centre (on the bench; zero is "the centre of the bore that it is pressed in"):
//
//   - "fit a bush in BORE that is bored off centre by SIZE (centre to centre), its bore towards CLOCK;
//     press first, then bore to size, concentric to nothing but this"
//
// Shim (in the box; zero is "what is between the FRONT and the BEHIND now"):
//
//   - "fit a parallel shim or gasket of SIZE between the FRONT and the BEHIND; measure the pack, not its
//     marking"
//   - "in place of the gasket that is there" or "beside the gasket that is there", where there is one
//
// Tapered shim (on the bench, by the marks of FRONT; zero is the same):
//
//   - "make a tapered shim for between the FRONT and the BEHIND: AMOUNT at its thinnest, AMOUNT at its
//     thickest, at CLOCK; the rise is AMOUNT across SIZE"
//   - "fit it by the marks of the FRONT: in the box its thickest side stands at CLOCK"
//   - "thickness at the marks of the FRONT, within ± AMOUNT:" and the table: mark, from tail, from nose, from
//     centre, shim, from, to
//   - the same line of the gasket
//
// Offset dowels (in the box; zero is "straight dowels"):
//
//   - "fit offset dowels of SIZE (centre to centre, that is SIZE TIR) between the FRONT and the BEHIND:
//     DOWEL and DOWEL, all pointing the same way"
//   - "their rear ends, and with them the BEHIND, go towards CLOCK"
//
// Ream and re-dowel (in the box; zero is "the middle of what it can be pushed with its dowels in, on the
// dials"):
//
//   - "leave the dowels in (DOWEL, DOWEL), bolts snug; ZEROING" with
//   - ZEROING: "set a dial at 3 o'clock and one at 12 o'clock on the rim of the BEHIND, plungers towards
//     its centre, plus as they go in; push it both ways along each dial and set zero halfway: it travels
//     AMOUNT along the one, AMOUNT along the other"
//   - "take the dowels out and move the BEHIND on the FRONT, without turning it, until the dial at 3
//     o'clock reads SIGNED and the dial at 12 o'clock SIGNED: AMOUNT towards CLOCK from zero"
//   - "tighten, read both dials again, dial it as below, ream the holes through both parts and fit new
//     pins of SIZE"
//
// Push (in the box; zero is "the middle of what each joint can be pushed, on the dials"), for each joint:
//
//   - "joint JOINT: bolts snug; ZEROING"
//   - in place of "AMOUNT towards CLOCK from zero", here and above, "in the middle both ways" where both
//     dials read 0
//   - "joint JOINT: hold it where the dial at 3 o'clock reads SIGNED and the dial at 12 o'clock SIGNED:
//     AMOUNT towards CLOCK from zero, TURN; tighten the bolts nearest the dowels first, and read both
//     dials again", with TURN "in the middle of what it turns" or "turned AMOUNT clockwise (or
//     anticlockwise) at SIZE from its centre, from the middle of what it turns"; no TURN where the bolts
//     set the clock
//
// # Before and after
//
//   - "verdict before: WORD; after, with the amounts as printed: WORD"
//   - "margin of the shaft line at the worst float, radial: AMOUNT before, AMOUNT after with the amounts
//     as printed", and where it matters "strips and dials as they are cost AMOUNT of it", and
//     "not worth doing: they take more than it gives; leave it, or use finer ones"
//   - the frame "in the box: …; zero is LINE"
//   - "error before: BORE stands off LINE by AMOUNT towards CLOCK, a TIR of AMOUNT"
//   - "move: AMOUNT towards CLOCK"
//   - "fit, dial again at BORE, zero at 12 o'clock, plus as the plunger goes in: expect SIGNED at 3
//     o'clock, SIGNED at 6 o'clock and SIGNED at 9 o'clock, a TIR of AMOUNT ± AMOUNT, its centre towards
//     CLOCK; if it moves the other way, stop"
//   - "that is with the joints where they rest; as they may lie, it reads AMOUNT to AMOUNT"
//
// # Amounts as printed
//
// What the tool in hand cannot do is not printed: strips come from the shop's stock, pushes and dial
// readings in its dial's divisions. The sheet is made for the amounts as they are printed: its marks, its
// promised margin and its reading to expect are worked out again from them.
