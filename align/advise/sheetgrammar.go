package advise

// How a work sheet is worded. A fitter has the paper and nothing else, so the paper is complete: every
// order names its frame, its zero, its amounts and its directions in the forms below, and a reader of
// the text alone can carry it out.
//
// # Words
//
// What is to be done stands in one form a kind of correction, which sheettext.go writes and nothing
// else does. An amount has its unit behind it, and millimetres in brackets behind inches; of a
// direction the degrees count, clockwise from 12 o'clock; names are those of the record, and "front"
// and "rear" those of the part as measured. Words of care ("let the clamps off before the last cut")
// name no amount. Pictures repeat what the items say.
//
// # Frames
//
// The first items of an order say which of its parts are end for end, in which frame the order is and
// from which zero its amounts count, and where the 12 o'clock mark of a part that is clocked stands.
// The box stands as its first part does: the first part's 12 o'clock is up.
//
// Own marks stay with the metal: those of a part that is end for end or clocked are where its own
// measuring put them, not where a clock on the wall would. Mark θ of a part end for end stands at -θ
// in the box, before any clocking.
//
// # Orders
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
