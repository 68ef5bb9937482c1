package tolerance

// TIR is a total indicator reading: what a dial shows in one turn about an axis that is off centre,
// twice the [Offset]. Base millimetre; the zero value is no runout.
type TIR float64

// Offset is the distance of one centre from another, half the [TIR]. Base millimetre; the zero
// value is concentric.
type Offset float64

// Diametral is a clearance measured on diameters: bore minus shaft. Base millimetre; the zero value
// is size for size.
type Diametral float64

// Radial is a clearance measured on radii, half the [Diametral] one. Base millimetre; the zero
// value is size for size.
type Radial float64

// Offset returns half the reading.
func (t TIR) Offset() Offset { return Offset(t / 2) }

// TIR returns twice the offset.
func (o Offset) TIR() TIR { return TIR(2 * o) }

// Radial returns half the diametral clearance.
func (d Diametral) Radial() Radial { return Radial(d / 2) }

// Length returns the reading as a length.
func (t TIR) Length() Length { return Length(t) }

// Length returns the offset as a length.
func (o Offset) Length() Length { return Length(o) }

// Length returns the clearance on diameter as a length.
func (d Diametral) Length() Length { return Length(d) }

// Length returns the clearance on radius as a length.
func (r Radial) Length() Length { return Length(r) }

// String says what it is: "0.024 mm TIR".
func (t TIR) String() string { return t.Length().String() + " TIR" }

// String says what it is: "0.012 mm offset".
func (o Offset) String() string { return o.Length().String() + " offset" }

// String says what it is: "0.05 mm diametral".
func (d Diametral) String() string { return d.Length().String() + " diametral" }

// String says what it is: "0.025 mm radial".
func (r Radial) String() string { return r.Length().String() + " radial" }
