// Package teach is the lesson's words: steps that each show one thing on the box of package box, and exercises with numbers from a seed.
//
//   - steps.go: the guided steps; words.go: how lengths are said in them
//   - exercise.go: an exercise, and how an answer is marked; exercises.go: the exercises
package teach
