// Package box is the reduction box of the lesson: what can be turned and pushed on it, the stack that this makes, and what is seen of it.
//
// The box is the invented two-speed reduction box of a harbour launch: crank carrier, case, plate and tail, an input shaft and a main shaft that meet in a pocket. All its numbers are invented. Everything is true but what the [Knobs] put out, so that one cause is seen at a time.
//
//   - knobs.go: what can be changed, within which bounds; plates.go: the four plates
//   - stack.go: the stack that the knobs make
//   - view.go: verdict and numbers, rows.go: the same in words; sketch.go: the box, its errors enlarged
//   - batch.go: many such boxes; sum.go: eccentric parts added up
package box
