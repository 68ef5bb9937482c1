// Package batch says what measured parts of one kind have in common: which clamping did it, whether the
// process is steady, what share of such parts leaves the limit, whether the gauge will do, and what a
// sampling plan lets through.
//
// It works on signed vectors, wedges and offsets with their directions, because magnitudes hide what
// matters: thirty plates that all lean one way and thirty that lean every way can have the same mean
// wedge. The fixture can explain a vector that keeps its clock position there, the part one that turns with
// it, a cut that wears one that wanders steadily; what differs by a label comes with that clamping, side,
// machine or supplier. [Find] tries these in turn and says how surely each is there. Of clean batches one in twenty is
// told of a cause at most, where they scatter alike in all directions; where they scatter three times as far
// along one line, two kinds mixed explain that too, and are named.
//
// Lengths are millimetres, vectors in the frame of the part seen from the tail, clock positions clockwise
// from 12. A wedge is the rise across the part towards its thicker side.
//
//   - batch.go: parts and labels
//   - causes.go, wilks.go: explanations, how they share what may be told wrongly, and the chance that scatter
//     does as much
//   - region.go: confidence regions, scatter along one line
//   - find.go: the finding, and the share beyond a limit
//   - charts.go: control charts
//   - gauge.go: people by parts by repeats; plan.go: sampling plans
//   - table.go: parts as a table; page.go, pictures.go: the answer as a page
package batch
