package fits

import (
	"fmt"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// What the tables of ISO 286 reach here.
const (
	leastGrade    = 4
	greatestGrade = 11
	greatestSize  = 500 // mm
)

const isoSizes = "the nominal sizes of ISO 286 up to 500 mm"

// micrometres returns the length of um micrometres: the float64 nearest the decimal number of
// millimetres, so that 35 µm is the same as 0.035 in the source.
func micrometres(um float64) tolerance.Length { return tolerance.Length(um / 1000) }

// mainStep is the row of a table that a size belongs to. A step goes from over one end up to and
// including the other.
func mainStep(mm float64) int {
	ends := [...]float64{3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500}
	i, _ := slices.BinarySearch(ends[:], mm)
	return i
}

// fineStep is the row of the finer steps by which the deviations r and s go.
func fineStep(mm float64) int {
	ends := [...]float64{3, 6, 10, 14, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450, 500}
	i, _ := slices.BinarySearch(ends[:], mm)
	return i
}

// standardTolerance is IT in micrometres: the table, not the formula behind it, which the standard itself rounds
// unevenly.
//
// Source: ISO 286-1:2010, Table 1 (from memory; every cell found identical in two independent
// public transcriptions).
func standardTolerance(step, grade int) float64 {
	table := [...][greatestGrade - leastGrade + 1]float64{
		{3, 4, 6, 10, 14, 25, 40, 60},
		{4, 5, 8, 12, 18, 30, 48, 75},
		{4, 6, 9, 15, 22, 36, 58, 90},
		{5, 8, 11, 18, 27, 43, 70, 110},
		{6, 9, 13, 21, 33, 52, 84, 130},
		{7, 11, 16, 25, 39, 62, 100, 160},
		{8, 13, 19, 30, 46, 74, 120, 190},
		{10, 15, 22, 35, 54, 87, 140, 220},
		{12, 18, 25, 40, 63, 100, 160, 250},
		{14, 20, 29, 46, 72, 115, 185, 290},
		{16, 23, 32, 52, 81, 130, 210, 320},
		{18, 25, 36, 57, 89, 140, 230, 360},
		{20, 27, 40, 63, 97, 155, 250, 400},
	}
	return table[step][grade-leastGrade]
}

// outside is the fault of a size in millimetres that a table does not reach; nil within.
func outside(path string, mm, over, to float64, of string) error {
	want := fmt.Sprintf("over %v mm, up to and including %v mm (%s)", over, to, of)
	switch {
	case !ieee.Finite(mm):
		return fault.At(path, fmt.Sprint(mm), want, fault.ErrNotFinite)
	case mm <= over || mm > to:
		return fault.At(path, fmt.Sprintf("%v mm", mm), want, fault.ErrOutOfRange)
	}
	return nil
}

// shaftDeviation is the fundamental deviation of a shaft in micrometres: the upper limit deviation
// for d to h, the lower one for j to s. The letter js has none: it lies evenly about zero.
//
// Source: ISO 286-1:2010, Tables 4 and 5. e to h and k to s: from memory, every cell found
// identical in two independent public transcriptions. d and j (grades 5 and 6): from memory; d up
// to 80 mm, j up to 120 mm, and both from 180 to 500 mm found in public tables of bearing makers,
// in JIS B 0401:1999 or in a public textbook on machine drawing.
func shaftDeviation(letter string, mm float64) float64 {
	if row, coarse := map[string][13]float64{
		"d": {-20, -30, -40, -50, -65, -80, -100, -120, -145, -170, -190, -210, -230},
		"e": {-14, -20, -25, -32, -40, -50, -60, -72, -85, -100, -110, -125, -135},
		"f": {-6, -10, -13, -16, -20, -25, -30, -36, -43, -50, -56, -62, -68},
		"g": {-2, -4, -5, -6, -7, -9, -10, -12, -14, -15, -17, -18, -20},
		"h": {},
		"j": {-2, -2, -2, -3, -4, -5, -7, -9, -11, -13, -16, -18, -20},
		"k": {0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5},
		"m": {2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23},
		"n": {4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40},
		"p": {6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68},
	}[letter]; coarse {
		return row[mainStep(mm)]
	}
	return map[string][25]float64{
		"r": {10, 15, 19, 23, 23, 28, 28, 34, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84, 94, 98, 108, 114, 126, 132},
		"s": {14, 19, 23, 28, 28, 35, 35, 43, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140, 158, 170, 190, 208, 232, 252},
	}[letter][fineStep(mm)]
}

// holeJ is the upper limit deviation of J6 and J7, which no rule gives from a shaft.
//
// Source: ISO 286-1:2010, Table 2 (from memory; both up to 250 mm found in public tables of bearing
// and tool makers).
func holeJ(mm float64, grade int) float64 {
	row := [...]float64{4, 6, 8, 10, 12, 14, 18, 22, 26, 30, 36, 39, 43}
	if grade == 6 {
		row = [...]float64{2, 5, 5, 6, 8, 10, 13, 16, 18, 22, 25, 29, 33}
	}
	return row[mainStep(mm)]
}

// interval is a tolerance interval in micrometres; halves occur in js and JS.
type interval struct{ lower, upper float64 }

// shaftInterval is the interval of a shaft: d to h hang below their deviation, j to s stand on theirs.
func shaftInterval(letter string, grade int, mm float64) interval {
	it := standardTolerance(mainStep(mm), grade)
	if letter == "js" {
		return interval{-it / 2, it / 2}
	}
	v := shaftDeviation(letter, mm)
	if letter <= "h" {
		return interval{v - it, v}
	}
	return interval{v, v + it}
}

// holeInterval is the interval of a hole. D to H mirror the shaft. K, M, N up to grade 8 and P, R,
// S up to grade 7 mirror it with the shift Δ = IT(n) - IT(n-1) over 3 mm, so that a hole of grade n
// with the shaft h of the grade below fits as H with the shaft of the same letter; other grades
// mirror it plainly.
//
// Source: ISO 286-1:2010, 4.3.2.5 and Tables 2 and 3 (rules from memory; all Δ of grades 6, 7 and 8
// recomputed, the classes J6 to S7 that public tables give up to 250 mm compared). The exception M6
// over 250 to 315 mm: ISO 286-1:2010, Table 2 (from memory).
func holeInterval(letter string, grade int, mm float64) interval {
	it := standardTolerance(mainStep(mm), grade)
	switch letter {
	case "JS":
		return interval{-it / 2, it / 2}
	case "J":
		v := holeJ(mm, grade)
		return interval{v - it, v}
	}
	v := shaftDeviation(string(letter[0]+'a'-'A'), mm)
	if letter <= "H" {
		return interval{0 - v, it - v} // 0 - v: no negative zero
	}
	shifted := grade <= 8 && letter <= "N" || grade <= 7
	upper := 0 - v
	if shifted && mm > 3 {
		upper += it - standardTolerance(mainStep(mm), grade-1)
	}
	if letter == "M" && grade == 6 && mm > 250 && mm <= 315 {
		upper = -9
	}
	return interval{upper - it, upper}
}

// grades returns the grades that the tables here give for a letter; false for a letter they do not
// carry.
func grades(letter string) (least, greatest int, known bool) {
	switch letter {
	case "d", "e", "f", "g", "h", "js", "m", "n", "p", "r", "s", "D", "E", "F", "G", "H", "JS":
		return leastGrade, greatestGrade, true
	case "j":
		return 5, 6, true
	case "k": // other grades have another deviation
		return 4, 7, true
	case "J":
		return 6, 7, true
	case "K", "M", "N": // beyond grade 8 other rules hold; Δ of grade 4 needs IT3
		return 5, 8, true
	case "P", "R", "S":
		return 5, greatestGrade, true
	}
	return 0, 0, false
}
