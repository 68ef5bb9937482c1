package fits

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
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

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// outside is the fault of a size in millimetres that a table does not reach; nil within.
func outside(path string, mm, over, to float64, of string) error {
	want := fmt.Sprintf("over %v mm, up to and including %v mm (%s)", over, to, of)
	switch {
	case !finite(mm):
		return fault.At(path, fmt.Sprint(mm), want, fault.ErrNotFinite)
	case mm <= over || mm > to:
		return fault.At(path, fmt.Sprintf("%v mm", mm), want, fault.ErrOutOfRange)
	}
	return nil
}
