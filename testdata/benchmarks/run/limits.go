//go:build unix

package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"time"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// patience is how long a record of any size that is read may take to be solved, or refused.
const patience = 2 * time.Second

// mostBytes is the longest record that is read.
const mostBytes = 12 << 20

// greatest are boxes at the limits of what a record may hold: each limit alone, and many at once.
var greatest = []struct {
	what string
	size tower
}{
	{"40 parts, joints at rest", tower{parts: 40, pins: 1, shafts: 1, supports: 5}},
	{"40 parts, joints anywhere", tower{parts: 40, loose: 39, pins: 1, shafts: 1, supports: 25}},
	{"64 pins a joint, anywhere", tower{parts: 6, loose: 5, pins: 64, shafts: 1, supports: 6}},
	{"64 pins a joint, at rest", tower{parts: 40, pins: 64, shafts: 1, supports: 5}},
	{"one shaft on 32 supports, at rest", tower{parts: 4, pins: 1, shafts: 1, supports: 32}},
	{"one shaft on 32 supports, anywhere", tower{parts: 4, loose: 3, pins: 19, shafts: 1, supports: 32}},
	{"one shaft on 33 supports", tower{parts: 4, loose: 3, pins: 1, shafts: 1, supports: 33}},
	{"20 shafts on 100 supports, anywhere", tower{parts: 4, loose: 3, pins: 5, shafts: 20, supports: 100}},
	{"20 shafts on 100 supports, 100 sections and loads each", tower{parts: 4, loose: 3, pins: 1, shafts: 20, supports: 100, bends: 100}},
	{"a shaft on 32 supports, 100 sections and loads", tower{parts: 4, loose: 3, pins: 1, shafts: 1, supports: 32, bends: 100}},
	{"200 chains of 200 links", tower{parts: 4, loose: 3, pins: 1, shafts: 1, supports: 5, chains: 200}},
	{"20000 points a face", tower{parts: 6, pins: 1, shafts: 1, supports: 5, points: 20000}},
	{"20000 points a face, of more parts", tower{parts: 9, pins: 1, shafts: 1, supports: 5, points: 20000}},
	{"20000 points a face, seated on", tower{parts: 2, pins: 1, shafts: 1, supports: 5, points: 20000, seat: true}},
	{"4400 points a face, seated on", tower{parts: 2, loose: 1, pins: 1, shafts: 1, supports: 5, points: 4400, seat: true}},
	{"700 points a face, seated on", tower{parts: 40, loose: 39, pins: 1, shafts: 1, supports: 5, points: 700, seat: true}},
	{"100 candidates", tower{parts: 4, loose: 3, pins: 1, shafts: 1, supports: 5, candidates: 100, readings: 100}},
	{"all of it at rest", tower{parts: 40, pins: 64, shafts: 20, supports: 100, readings: 1000}},
	{"all of it, anywhere", tower{parts: 40, loose: 39, pins: 64, shafts: 20, supports: 100, readings: 1000}},
}

// limits reads and solves records of the greatest sizes.
func limits(t *table) error {
	t.line("\nRecords of the greatest size, read and solved or refused   goal %v", patience)
	for _, c := range greatest {
		text, err := c.size.text()
		if err != nil {
			return err
		}
		did := "solved"
		used, err := took(processorTime, func() error { return solved(t.ctx, text) })
		var f *fault.FieldError
		switch {
		case errors.As(err, &f):
			did = "refused at " + f.Path
		case err != nil && len(text) > mostBytes:
			did = "refused for its length"
		case err != nil:
			return fmt.Errorf("%s: %w", c.what, err)
		}
		t.line("  %-50s %6.1f kB  %-8v %s", c.what, float64(len(text))/1e3, rounded(used), did)
		if used > patience {
			t.wrong = append(t.wrong, fmt.Sprintf("%s: %v", c.what, used))
		}
	}
	return nil
}

// solved reads a record and solves its box.
func solved(ctx context.Context, text []byte) error {
	rec, err := record.Decode(bytes.NewReader(text))
	if err != nil {
		return err
	}
	s, err := rec.Stack()
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	_, err = s.Solve()
	return err
}
