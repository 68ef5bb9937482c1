package main

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
)

// demo is a short study of the demonstration.
func demo() plan {
	return plan{Record: demonstration, Samples: 5*stackup.BlockSize + 100, Seed: 3, Shards: 4}
}

func ran(t *testing.T, p plan, boxes int) string {
	t.Helper()
	var out strings.Builder
	if err := run(context.Background(), "direct", p, boxes, "", &out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// The pipeline's bytes are those of one machine, whatever the shards, and whatever happens to them on the way.
//
// Source: study.Vary, a second way through the same study.
func TestStudy_sameBytes(t *testing.T) {
	p := demo()
	rec, err := record.Decode(bytes.NewReader(p.Record))
	if err != nil {
		t.Fatal(err)
	}
	v, err := study.Vary(t.Context(), rec, stackup.Settings{Samples: p.Samples, Seed: p.Seed, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	want, err := reported(t.Context(), rec, v)
	if err != nil {
		t.Fatal(err)
	}
	hurt, single := p, p
	hurt.Hurt, single.Shards = true, 1
	for name, q := range map[string]plan{"four shards": p, "lost, twice and in another order": hurt, "one shard": single} {
		if got := strings.TrimRight(ran(t, q, 0), "\n"); got != strings.TrimRight(want, "\n") {
			t.Errorf("%s: other bytes than one machine's", name)
		}
	}
}

// A shard that comes back twice and not alike is an error, and so is one that never comes.
func TestOnce_refuses(t *testing.T) {
	rows := [][]byte{[]byte("a"), []byte("b")}
	next := func(to *[]byte) bool {
		if len(rows) == 0 {
			return false
		}
		*to, rows = rows[0], rows[1:]
		return true
	}
	if err := (&onceFn{}).ProcessElement(7, next, func(int, []byte) {}); err == nil {
		t.Error("two shards of the same blocks that differ were taken for one")
	}
	p := demo()
	if _, err := (&mergeFn{p}).ProcessElement(t.Context(), 0, func(*[]byte) bool { return false }); err == nil {
		t.Error("no shards made a study")
	}
}

// Every box of a fleet is counted once with each candidate, whatever the machines.
func TestFleet(t *testing.T) {
	const boxes = 12
	got := ran(t, demo(), boxes)
	var as, first int
	for _, line := range strings.Split(strings.TrimSpace(got), "\n") {
		n := 0
		for _, c := range strings.TrimSpace(line) {
			if c < '0' || c > '9' {
				break
			}
			n = 10*n + int(c-'0')
		}
		if strings.Contains(line, "as it is: ") && !strings.Contains(line, "first") {
			as += n
		}
		if strings.Contains(line, "first that passes") || strings.Contains(line, "none passes") {
			first += n
		}
	}
	if as != boxes || first != boxes {
		t.Errorf("%d boxes as they are, %d with a first, of %d:\n%s", as, first, boxes, got)
	}
	if again := ran(t, demo(), boxes); again != got {
		t.Errorf("another run:\n%s\nbefore:\n%s", again, got)
	}
}
