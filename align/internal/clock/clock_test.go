package clock

import (
	"math"
	"testing"
)

// Source: hand calculation: 30° an hour, half a degree a minute.
func TestParse(t *testing.T) {
	for text, want := range map[string]float64{"3:00": 90, "12:00": 0, "0:30": 15, "4:30": 135, "11:59": 359.5} {
		if got, isTime, wrong := Parse(text); got != want || !isTime || wrong {
			t.Error(text, got, isTime, wrong)
		}
	}
	for _, bad := range []string{"13:00", "3:60", "3:", ":30", "-3:00", "3:1.5", ":", "1:2:3"} {
		if _, isTime, wrong := Parse(bad); !isTime || !wrong {
			t.Error(bad, isTime, wrong)
		}
	}
	if _, isTime, _ := Parse("90"); isTime {
		t.Error("degrees are no time")
	}
}

// Source: hand calculation: the arc is a turn less the widest gap; 12° is all of a clock's face in degrees.
func TestAreHours(t *testing.T) {
	for _, c := range []struct {
		degrees []float64
		want    bool
	}{
		{[]float64{12, 3, 6, 9}, true},
		{[]float64{0, 6, 12}, true},
		{[]float64{5, 5, 5}, true},
		{[]float64{355, 0, 7}, true},
		{[]float64{-5, 0, 367}, true},
		{[]float64{0, 6, 12.001}, false},
		{[]float64{3, 9}, false},
		{nil, false},
		{[]float64{0, 90, 180}, false},
		{[]float64{0, 120, 240}, false},
	} {
		theta := make([]float64, len(c.degrees))
		for i, d := range c.degrees {
			theta[i] = d * math.Pi / 180
		}
		if got := AreHours(theta); got != c.want {
			t.Errorf("%v: %v", c.degrees, got)
		}
	}
}
