package main

import (
	"testing"

	"example.com/borestack/examples/internal/wasmpage/pagetest"
)

func TestPage(t *testing.T) { pagetest.Check(t, page()) }
