// Package chance is what the lesson shows of many boxes and of many plates rather than of one box: lengths and sizes
// added up three ways, what a sample is worth, what parts of one lot do, and what a batch of plates says of its maker.
//
// All lengths are millimetres, and all numbers are invented. The library works everything out; where a closed form is
// known, it stands beside what was sampled.
//
//   - ways.go: worst case, root sum of squares and Monte Carlo side by side; wayspicture.go: their picture
//   - count.go: how the error of a yield shrinks with the samples; countpicture.go: its picture
//   - lot.go: two parts of one lot; lotpicture.go: its picture
//   - maker.go: plates from a fixture, and plates of the same sizes from scatter; makerpicture.go: their pictures
//   - picture.go: what the pictures are made of
package chance
