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
// What is to be done stands in one form a kind of correction, which sheettext.go writes and nothing else
// does. What the forms do not say of themselves:
//
//   - a strip tilts the datum face by its thickness over the distance to the edge on which the part
//     rests; a level cut makes the finished wedge just that, whatever the part was before. Of a front
//     face the directions are said once more as they are seen from the nose
//   - offset dowels turn none of the parts: their rear ends, and with them the part behind, all go the
//     same way
//   - the zero of two dials is found by pushing the part both ways along each, and halfway is zero; a
//     turn counts from the middle of what the part turns where it is then held. "in the middle both
//     ways" stands where both dials read 0, and no turn where the bolts set the clock
//   - a joint that is set on dials is set in this order: zero, which way to push, what the dials read,
//     within how much that is right, what they must read when the bolts are tight, and once for all
//     joints what to do when one does not come
//   - "if it moves the other way, stop" is said of the dial in the bore, whose zero is at 12 o'clock
//
// # Amounts as printed
//
// What the tool in hand cannot do is not printed: strips come from the shop's stock, pushes and dial
// readings in its dial's divisions. The sheet is made for the amounts as they are printed: its marks, its
// promised margin and its reading to expect are worked out again from them.
