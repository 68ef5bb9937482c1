// Package fits says how two round parts go together: fits of ISO 286 from the tables, the clearance
// groups and ring tolerances of rolling bearings, press fits by thick ring theory, and the running
// clearance that a bearing has left when it is mounted and warm.
//
// # From tables
//
// A [Class] such as H7 or k6 has limit deviations at a nominal size ([Class.At]); a [Fit] such as
// 72 H7/k6 has a greatest and a least clearance ([Fit.Limits]). [InternalClearance] gives the
// groups C2 to C5 of bearings, [ShaftSeat] and [HousingSeat] how rings of class Normal fit a shaft
// and a housing. Every value is the float64 nearest its decimal number of millimetres. A step of a
// table goes over its lower end, up to and including its upper one. What a table does not hold is
// an error that says what it does; nothing is extrapolated.
//
// # Press fits
//
// A [PressFit] is one ring in another with an interference. [PressFit.Solve] gives pressure, hoop
// stresses and changes of diameter (an interface never pulls: it opens), [PressFit.LetsGo] the
// temperature at which it lets go. A [Mounting] is a bearing between two such fits, and
// [Mounting.Running] its clearance at work.
//
// # Signs and units
//
// A clearance is bore less shaft on diameters, [tolerance.Diametral]; negative is interference. An
// [Interference] is the same with the other sign, as a type of its own. Sizes are at 20 °C (ISO 1).
// Stresses and moduli are in N/mm² (MPa), tension positive; forces in N, torques in N·m, expansion
// in 1/K.
//
// # Where the numbers are from
//
// Tables name their standard. "From memory" beside one means that the standard itself was not at
// hand; what public tables confirmed is said there too.
//
// # Map
//
//   - grade.go: the tables of ISO 286; class.go, fit.go: classes and fits by name, clearances
//   - bearing.go: bearings by themselves, and on their seats
//   - ring.go: one ring, and one in another; mounting.go: running clearance
//
// # Non-goals
//
// No advice which fit to choose, no strength of materials beyond stresses, no load on the bearing,
// no roughness or form of seats. A computed press fit is an estimate with the assumptions stated,
// not permission to run.
package fits
