package box

import "example.com/borestack/tolerance"

// Plate is one of the plates on the shelf, and what is to be known of it.
type Plate struct {
	Name, Says string
	Set        func(Knobs) Knobs // puts it in the box
}

// Plates returns the plates on the shelf. They are rounded from the demonstration record, which is invented.
func Plates() []Plate {
	plate := func(name, says string, wedge tolerance.Length, wedgeAt float64, offset tolerance.Offset, offsetAt float64, pilot tolerance.Diametral) Plate {
		return Plate{name, says, func(k Knobs) Knobs {
			k.Wedge, k.WedgeClock = wedge, tolerance.Angle(wedgeAt)*tolerance.Degree
			k.Offset, k.OffsetClock = offset, tolerance.Angle(offsetAt)*tolerance.Degree
			k.Pilot, k.Bow, k.Turn = pilot, 0, 0
			return k
		}}
	}
	return []Plate{
		plate("Plate A", "good", 0.012, 200, 0.004, 209, 0.022),
		plate("Plate B", "as sound, but its peg hole is in the wrong place: its thick side adds to what the case is out", 0.064, 105, 0.014, 126, 0.022),
		plate("Plate C", "off the mill thick on one side", 0.185, 150, 0.006, 237, 0.022),
		plate("Plate D", "register turned undersize: it walks in the case", 0.022, 300, 0.004, 235, 0.212),
	}
}
