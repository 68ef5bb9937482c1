package advise

// What tests from outside carry out: the data behind a work sheet's words.
type (
	WorkOrder = workOrder
	Mark      = mark
	Hold      = hold
)

func (w *WorkSheet) Orders() []WorkOrder { return w.orders }

func (a *Advice) Expect(o *Option) (*Dial, error) { return a.expect(o) }

func (o *workOrder) Pins() []string { return o.pins(jointNamed(o.before, o.Correction.Place)) }
