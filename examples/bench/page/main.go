//go:build js && wasm

// Command page is the bench in the browser: it gives the page a few functions and keeps the draft. Arguments are strings; answers are JSON, and whatever cannot be answered is an object with an "error". It runs twice: in the page, where it answers every key, and beside it, where it works verdicts out in full.
package main

import (
	"context"
	"encoding/json"
	"strings"
	"syscall/js"

	"example.com/borestack/examples/bench/internal/draft"
	"example.com/borestack/examples/bench/internal/form"
)

func main() {
	b := &bench{}
	functions := map[string]any{}
	for name, f := range map[string]func(args []string) (any, error){
		"starts": b.starts, "start": b.start, "open": b.open, "form": b.form, "look": b.look, "set": b.set, "reshaped": b.reshaped,
		"act": b.act, "draft": b.draft, "record": b.record, "fill": b.fill, "full": b.full,
	} {
		functions[name] = js.FuncOf(func(_ js.Value, args []js.Value) any { return answer(f, args) })
	}
	js.Global().Set("borestack", functions)
	js.Global().Get("benchReady").Invoke()
	select {}
}

// answer calls one function and writes its answer as JSON.
func answer(f func(args []string) (any, error), args []js.Value) string {
	var texts []string
	for _, a := range args {
		texts = append(texts, a.String())
	}
	out, err := f(texts)
	if err == nil {
		var b []byte
		if b, err = json.Marshal(out); err == nil {
			return string(b)
		}
	}
	b, _ := json.Marshal(map[string]string{"error": err.Error()}) // two texts always encode
	return string(b)
}

// bench keeps the draft from one call to the next.
type bench struct{ page *form.Page }

// starts lists the skeletons.
func (b *bench) starts([]string) (any, error) { return draft.Starts(), nil }

// start(name) begins with a skeleton.
func (b *bench) start(args []string) (any, error) {
	d, err := draft.Skeleton(args[0])
	if err != nil {
		return nil, err
	}
	b.page = form.NewPage(d)
	return true, nil
}

// open(text) begins with a record, or with a draft of one.
func (b *bench) open(args []string) (any, error) {
	d, err := draft.Open(strings.NewReader(args[0]))
	if err != nil {
		return nil, err
	}
	b.page = form.NewPage(d)
	return true, nil
}

// form() is the form as HTML; reshaped() whether it is to be written anew.
func (b *bench) form([]string) (any, error)     { return b.page.Form(), nil }
func (b *bench) reshaped([]string) (any, error) { return b.page.Reshaped(), nil }

// look() is what is to be said and shown of the draft.
func (b *bench) look([]string) (any, error) { return b.page.Look(), nil }

// set(pointer, typed) puts what was typed into a field, and looks.
func (b *bench) set(args []string) (any, error) {
	b.page.Draft.Set(args[0], args[1])
	return b.page.Look(), nil
}

// act(verb, pointer, argument) changes the structure; the answer is the pointer that should have the focus.
func (b *bench) act(args []string) (any, error) { return b.page.Draft.Do(args[0], args[1], args[2]) }

// draft() is what the browser keeps; record() what is saved to a file.
func (b *bench) draft([]string) (any, error)  { return string(b.page.Draft.JSON()), nil }
func (b *bench) record([]string) (any, error) { return b.page.Record(), nil }

// fill(table) fills the draft with a table of readings.
func (b *bench) fill(args []string) (any, error) { return b.page.Fill(strings.NewReader(args[0])) }

// full(record) works a record out in full.
func (b *bench) full(args []string) (any, error) { return form.InFull(context.Background(), args[0]) }
