package fits

import (
	"errors"
	"fmt"
	"math"

	"example.com/borestack/fault"
)

// Classes of faults of this package, for errors.Is; the others are those of package fault.
var (
	ErrUnknownClass = errors.New("unknown class")
)

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
