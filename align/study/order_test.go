package study_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// standings are every verdict with numbers that are alike, near, far, absent and none at all.
func standings() []study.Standing {
	var out []study.Standing
	for w := tolerance.NoLimit; w <= tolerance.Fail; w++ {
		out = append(out, study.Standing{Word: w})
		for _, v := range []float64{0, -0.0018, -0.0092, 0.01, 0.01 + 1e-18, math.Nextafter(0.01, 1), math.Inf(1), math.Inf(-1), math.NaN()} {
			out = append(out, study.Standing{Word: w, Left: tolerance.Given(v)})
		}
	}
	return out
}

func TestStanding_Compare_totalOrder(t *testing.T) {
	all := standings()
	for _, a := range all {
		for _, b := range all {
			if a.Compare(b) != -b.Compare(a) {
				t.Fatalf("%v and %v: %d, %d", a, b, a.Compare(b), b.Compare(a))
			}
			for _, c := range all {
				if a.Compare(b) <= 0 && b.Compare(c) <= 0 && a.Compare(c) > 0 {
					t.Fatalf("%v, %v, %v: not transitive", a, b, c)
				}
			}
		}
	}
	// Any order to begin with ends in the same.
	sorted := func(seed uint64) []study.Standing {
		list := slices.Clone(all)
		rand.New(rand.NewPCG(seed, 1)).Shuffle(len(list), func(i, k int) { list[i], list[k] = list[k], list[i] })
		slices.SortStableFunc(list, study.Standing.Compare)
		return list
	}
	want := sorted(0)
	for seed := range uint64(50) {
		for i, s := range sorted(seed + 1) {
			if s.Compare(want[i]) != 0 {
				t.Fatalf("place %d: %v, want %v", i, s, want[i])
			}
		}
	}
}

// The order that a builder expects. Source: decided here; see Word.Rank.
func TestStanding_Compare(t *testing.T) {
	given := func(w tolerance.Decision, v float64) study.Standing {
		return study.Standing{Word: w, Left: tolerance.Given(v)}
	}
	list := []study.Standing{
		given(tolerance.Pass, 0.01), given(tolerance.Pass, 0.001),
		{Word: tolerance.Pass},
		given(tolerance.Depends, 0.002), given(tolerance.Undecided, -0.0018), given(tolerance.Depends, -0.0092), given(tolerance.Undecided, -0.01),
		given(tolerance.Fail, 0.5), given(tolerance.Fail, -0.02),
		{Word: tolerance.Fail},
	}
	for i := range list {
		for k := range list {
			want := 0
			if i < k {
				want = -1
			} else if i > k {
				want = 1
			}
			if got := list[i].Compare(list[k]); got != want {
				t.Errorf("%v against %v: %d, want %d", list[i], list[k], got, want)
			}
		}
	}
}

// Random results: the ranking goes by verdict and then by what is left, and parts that stand alike keep the record's order.
func TestResult_Ranked(t *testing.T) {
	r := rand.New(rand.NewPCG(44, 1))
	for range 300 {
		box := func() (*align.Assembly, []study.Verdict, tolerance.Decision) {
			a := &align.Assembly{}
			left := float64(r.IntN(5)-2) / 100
			word := tolerance.Decision(r.IntN(5))
			if r.IntN(2) == 0 {
				a.Line = &align.ShaftLine{Margin: tolerance.Length(left)}
				if r.IntN(2) == 0 {
					a.Line.Margin, a.Line.OverFloat = 1, &align.LineRange{WorstMargin: tolerance.Length(left)}
				}
				return a, nil, word
			}
			return a, []study.Verdict{
				{Limit: record.Limit{State: "warm", Limits: tolerance.AtLeast(0)}, Room: tolerance.Given(9.0)},
				{Limit: record.Limit{Limits: tolerance.AtLeast(0)}, Room: tolerance.Given(left)},
			}, word
		}
		res := &study.Result{}
		res.Assembly, res.Verdicts, res.Word = box()
		for n := range 1 + r.IntN(7) {
			c := study.CandidateResult{Place: "plate", Name: fmt.Sprint(n)}
			c.Assembly, c.Verdicts, c.Word = box()
			res.Candidates = append(res.Candidates, c, study.CandidateResult{Place: "tail", Assembly: c.Assembly})
		}
		got := res.Ranked("plate")
		if len(got) != 1+len(res.Candidates)/2 {
			t.Fatalf("%d ranked of %d", len(got), len(res.Candidates))
		}
		for i := 1; i < len(got); i++ {
			a, b := got[i-1].Standing(), got[i].Standing()
			switch {
			case a.Word.Rank() > b.Word.Rank(), a.Word.Rank() == b.Word.Rank() && a.Left.Value < b.Left.Value:
				t.Fatalf("%v before %v", a, b)
			case a.Compare(b) == 0 && got[i-1].Name > got[i].Name: // the one in place has no name
				t.Fatalf("%q before %q, which stands alike and is named first", got[i-1].Name, got[i].Name)
			}
		}
	}
}

// Boxes without shafts are compared by the first limit on a number: whether they assemble tells none apart.
func TestCompared(t *testing.T) {
	limit := func(what align.Quantity, state string, l tolerance.Limits) study.Verdict {
		return study.Verdict{Limit: record.Limit{Output: align.Output{What: what}, State: state, Limits: l}}
	}
	list := []study.Verdict{
		limit(align.Assembles, "", tolerance.AtLeast(1)), limit(align.OffsetSize, "", tolerance.Limits{}),
		limit(align.OffsetSize, "warm", tolerance.AtMost(1)), limit(align.OffsetSize, "", tolerance.AtMost(1)),
	}
	if i := study.Compared(list); i != 3 {
		t.Error(i)
	}
	if i := study.Compared(list[:3]); i != -1 {
		t.Error(i)
	}
}
