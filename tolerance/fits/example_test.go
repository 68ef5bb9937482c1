package fits_test

import (
	"fmt"

	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

func ExampleParseFit() {
	fit, err := fits.ParseFit("72 H7/k6")
	if err != nil {
		fmt.Println(err)
		return
	}
	l, err := fit.Limits()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("hole ", l.Hole.Lower, "to", l.Hole.Upper)
	fmt.Println("shaft", l.Shaft.Lower, "to", l.Shaft.Upper)
	fmt.Println(l.Kind, "fit,", l.Clearance.Least, "to", l.Clearance.Greatest)
	// Output:
	// hole  0 mm to 0.03 mm
	// shaft 0.002 mm to 0.021 mm
	// transition fit, -0.021 mm diametral to 0.028 mm diametral
}

func ExampleParseClass_unknown() {
	_, err := fits.ParseClass("t6")
	fmt.Println(err)
	// Output: class: "t6": unknown class: want the letters carried here, d, e, f, g, h, j, js, k, m, n, p, r, s for shafts or the same in capitals for holes
}

func ExampleClass_At() {
	h7 := fits.Class{Letter: "H", Grade: 7}
	for _, size := range []tolerance.Length{50, 50.001} {
		d, err := h7.At(size)
		fmt.Println(size, d.Lower, d.Upper, err)
	}
	// Output:
	// 50 mm 0 mm 0.025 mm <nil>
	// 50.001 mm 0 mm 0.03 mm <nil>
}

func ExampleInternalClearance() {
	c, err := fits.InternalClearance(fits.DeepGroove, 35*tolerance.Millimetre, fits.C3)
	fmt.Println(c.Least, "to", c.Greatest, err)
	// Output: 0.015 mm diametral to 0.033 mm diametral <nil>
}

func ExampleShaftSeat() {
	l, err := fits.ShaftSeat(30*tolerance.Millimetre, fits.Class{Letter: "k", Grade: 6})
	least, greatest := l.Clearance.Interference()
	fmt.Println(l.Kind, "fit,", least, "to", greatest, err)
	// Output: interference fit, 0.002 mm interference to 0.025 mm interference <nil>
}

// A bronze bush in a boss of cast aluminium: how far it closes, and when it comes loose.
func ExamplePressFit_Solve() {
	of := func(name string, inner, outer tolerance.Length) fits.Ring {
		m, err := tolerance.MaterialNamed(name)
		if err != nil {
			panic(err)
		}
		r, err := fits.RingOf(m, inner, outer)
		if err != nil {
			panic(err)
		}
		return r
	}
	fit := fits.PressFit{Inner: of("tin bronze", 32, 40), Outer: of("A356", 40, 70), Interference: 0.040}
	p, err := fit.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	t, _ := fit.LetsGo().Get()
	fmt.Printf("%v: %.1f N/mm², comes loose at %.0f °C\n", p.Diameter, p.Pressure, t)
	fmt.Printf("the bush closes by %v; hoop stress in the boss %.0f N/mm²\n", -p.Inner.Bore.Total(), p.Outer.HoopBore)
	// Output:
	// 40 mm: 13.9 N/mm², comes loose at 306 °C
	// the bush closes by 0.0235 mm; hoop stress in the boss 27 N/mm²
}

// The clearance left in a C3 bearing of 30 × 72 mm on a k6 shaft in an aluminium boss bored to K7, at work.
func ExampleMounting_Range() {
	const steel, boss = 12e-6, 21.5e-6
	m := fits.Mounting{
		Shaft:   fits.Ring{Outer: 30, Modulus: 206000, Poisson: 0.29, Expansion: 11.5e-6}.At(70),
		Inner:   fits.Ring{Inner: 30, Outer: 39.4, Modulus: 208000, Poisson: 0.3, Expansion: steel}.At(70),
		Outer:   fits.Ring{Inner: 62.6, Outer: 72, Modulus: 208000, Poisson: 0.3, Expansion: steel}.At(62),
		Housing: fits.Ring{Inner: 72, Outer: 100, Modulus: 72400, Poisson: 0.33, Expansion: boss}.At(55),
	}
	group, err := fits.InternalClearance(fits.DeepGroove, 30, fits.C3)
	if err != nil {
		fmt.Println(err)
		return
	}
	shaft, err := fits.ShaftSeat(30, fits.Class{Letter: "k", Grade: 6})
	if err != nil {
		fmt.Println(err)
		return
	}
	housing, err := fits.HousingSeat(72, fits.Class{Letter: "K", Grade: 7})
	if err != nil {
		fmt.Println(err)
		return
	}
	least, greatest, err := m.Range(group, shaft.Clearance, housing.Clearance)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("bearing by itself:", group.Least, "to", group.Greatest)
	fmt.Println("at work:          ", least.Clearance, "to", greatest.Clearance)
	fmt.Println("at the tightest:  ", least.ByShaft, "shaft,", least.ByHousing, "housing,", least.ByHeat, "heat")
	// Output:
	// bearing by itself: 0.013 mm diametral to 0.028 mm diametral
	// at work:           -0.0116 mm diametral to 0.0222 mm diametral
	// at the tightest:   0.0184 mm shaft, 0.0013 mm housing, 0.0049 mm heat
}
