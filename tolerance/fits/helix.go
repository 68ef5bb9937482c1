package fits

import (
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Ranges of reference diameters and face widths, in mm, over the first and up to and including the next.
//
// Source: ISO 1328-1:1995, tables (from memory).
var (
	helixDiameters = [...]float64{5, 20, 50, 125, 280, 560}
	helixWidths    = [...]float64{4, 10, 20, 40, 80, 160}
)

// Grades of ISO 1328-1:1995.
const (
	leastHelixGrade = 0
	mostHelixGrade  = 12
)

// HelixTolerance returns the total helix deviation F_β allowed to a gear of that reference diameter, face width and accuracy grade: for grade 5 F_β = 0.1 √d + 0.63 √b + 4.2 in µm, d and b the geometric means of their ranges in mm, times √2 for each grade more; rounded to whole micrometres above 10 µm, and to half ones up to that. It returns a [fault.FieldError] for sizes and grades outside the ranges carried.
//
// Source: ISO 1328-1:1995, annex (formula found in public rating programs; ranges and rounding from memory).
func HelixTolerance(diameter, width tolerance.Length, grade int) (tolerance.Length, error) {
	d, err := meanOfRange("diameter", diameter, helixDiameters[:])
	if err != nil {
		return 0, err
	}
	b, err := meanOfRange("width", width, helixWidths[:])
	if err != nil {
		return 0, err
	}
	if grade < leastHelixGrade || grade > mostHelixGrade {
		return 0, fault.At("grade", fmt.Sprint(grade), fmt.Sprintf("a grade from %d to %d", leastHelixGrade, mostHelixGrade), ErrUnknownClass)
	}
	raw := helixFormula(d, b, grade)
	step := 1.0
	if raw <= 10 {
		step = 0.5
	}
	return tolerance.Length(math.Round(raw/step)*step) * tolerance.Micrometre, nil
}

// helixFormula is F_β in µm before rounding.
func helixFormula(d, b float64, grade int) float64 {
	return (0.1*math.Sqrt(d) + 0.63*math.Sqrt(b) + 4.2) * math.Pow(2, 0.5*float64(grade-5))
}

// meanOfRange is the geometric mean of the range that holds a size.
func meanOfRange(path string, size tolerance.Length, edges []float64) (float64, error) {
	for i := 1; i < len(edges); i++ {
		if v := size.Millimetres(); v > edges[i-1] && v <= edges[i] {
			return math.Sqrt(edges[i-1] * edges[i]), nil
		}
	}
	return 0, fault.At(path, size.String(), fmt.Sprintf("over %g up to %g mm", edges[0], edges[len(edges)-1]), fault.ErrOutOfRange)
}
