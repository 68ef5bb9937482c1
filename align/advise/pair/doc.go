// Package pair says which part goes with which: bins of cases, plates and tails, measured one by one,
// are put together so that most boxes pass, and of all such ways so that the worst box is best.
//
// The bins of a record are its candidates: a part in its place is the first of its bin, its candidates
// are the others. [Try] works out every combination, each at the best of the clockings that a [Box]
// allows; [Table.Choose] picks boxes that share no part. The two are apart because the first takes
// nearly all the time, and because a part that arrives later needs only its own combinations
// ([Table.Extend]).
//
// A box counts as passing when [example.com/borestack/align/study.Origin.Passes] passes it, guard bands
// and doubts included. Judging is dear and few boxes are built, so combinations are first held against
// those limits without the gauge that none which passes can fail, and at the worst float only where they
// hold at rest. Of what is picked the joints are judged first, and in full, the tightest first, once all go
// together; what does not pass is ruled out before the next choice, with every box that has the parts that
// settled it, and of parts that fail in all their boxes so far more boxes are judged with them. A box whose
// best clocking does not pass is worth what the best one that does leaves. No pairing ever holds a box that
// does not pass. What was judged is known to the tables that this one is extended to afterwards.
//
// What is best is the worst margin of the box that has least: the radial room left for a straight shaft
// at the worst float, in millimetres; without shafts, what is left of the first limit on a number, in
// its base unit. One or two bins are solved exactly; three come with a bound that no choice can beat.
//
//   - layout.go: bins, clockings, and limits by state
//   - try.go: all combinations, on all workers
//   - worth.go: what one is worth, without the gauge
//   - choose.go: the choice, judged
//   - left.go: parts that are left over, and what would use them
//   - page.go: the sheet
package pair
