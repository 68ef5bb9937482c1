// Package seat finds how a body with measured heights comes to lie on another: heights in, seat
// out.
//
// Where both have heights h_A, h_B at stations (x, y), B comes down on A by the plane shift
// w = w0 + wx x + wy y with
//
//	gap = h_B + w − h_A ≥ 0   at every station,
//
// and the least w at the point where the clamping force acts: a linear program of three unknowns
// whose optimum touches at three stations round that point. It is solved by exchange of contacts,
// the dual simplex method: the three contacts carry the force in shares that are not negative, and
// a station inside the other body takes the place of the contact that keeps it so. Where one or two
// contacts carry all, the body rocks, and settles where Σ gap² is least.
//
// On a foundation that only presses, every station carries k max(0, −gap), and the seat is the
// least of
// ½ Σ k max(0, −gap)² + F w at the clamping point, which is convex: force and both moments balance.
//
// Lengths are millimetres, slopes ratios, forces newtons. A [Solver] keeps its memory and is for
// one goroutine; nothing of one answer is carried to the next.
package seat
