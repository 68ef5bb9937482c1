// Command embed shows the library inside a server: a record in, a report out, with bounds on size, time and how many run at once.
//
// Usage:
//
//	embed [-listen ADDRESS]
//
// Without -listen it puts the record that it carries through its own handler and prints what a client would see. With it, POST a record to /report; ?samples=N studies what varies in it.
package main

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"log"
	"net/http"
	"net/http/httptest"
	"os"
	"strconv"
	"time"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
)

//go:embed harbour-launch.json
var demonstration []byte

// Bounds of one request, and of all together.
const (
	mostBytes   = 1 << 20
	mostTime    = 20 * time.Second
	mostSamples = 100_000
	atOnce      = 2
)

// handler answers POST /report. A request that is given up stops its study within a block of samples; one that finds no free place in time is told to come back.
func handler() http.Handler {
	places := make(chan struct{}, atOnce)
	mux := http.NewServeMux()
	mux.HandleFunc("POST /report", func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), mostTime)
		defer cancel()
		rec, err := record.Decode(http.MaxBytesReader(w, r.Body, mostBytes))
		if err != nil {
			status := http.StatusUnprocessableEntity
			var large *http.MaxBytesError
			if errors.As(err, &large) {
				status = http.StatusRequestEntityTooLarge
			}
			refuse(w, status, err)
			return
		}
		select {
		case places <- struct{}{}:
			defer func() { <-places }()
		case <-ctx.Done():
			refuse(w, http.StatusServiceUnavailable, ctx.Err())
			return
		}
		var out bytes.Buffer
		if err := answer(ctx, rec, r.URL.Query().Get("samples"), &out); err != nil {
			status := http.StatusUnprocessableEntity
			if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
				status = http.StatusServiceUnavailable
			}
			refuse(w, status, err)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		_, _ = out.WriteTo(w) // a client that is gone needs no answer
	})
	return mux
}

// answer writes the report of a record, and the study of what varies in it when samples are asked for.
func answer(ctx context.Context, rec *record.Record, samples string, out *bytes.Buffer) error {
	res, err := study.Run(ctx, rec)
	if err != nil {
		return err
	}
	if samples != "" {
		n, err := strconv.Atoi(samples)
		if err != nil || n < 1 || n > mostSamples {
			return fmt.Errorf("samples=%q: want 1 to %d", samples, mostSamples)
		}
		if res.Variations, err = study.Vary(ctx, rec, stackup.Settings{Samples: n, Seed: 1}); err != nil {
			return err
		}
	}
	return report.JSON(out, rec, res)
}

// refuse says what is wrong, and nothing of the server.
func refuse(w http.ResponseWriter, status int, err error) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(map[string]string{"error": err.Error()})
}

func main() {
	listen := flag.String("listen", "", "address to serve, such as localhost:8080; empty: one request to itself")
	flag.Parse()
	if *listen != "" {
		server := &http.Server{Addr: *listen, Handler: handler(), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: mostTime, WriteTimeout: 3 * mostTime}
		log.Fatal(server.ListenAndServe())
	}
	w := httptest.NewRecorder()
	handler().ServeHTTP(w, httptest.NewRequest(http.MethodPost, "/report", bytes.NewReader(demonstration)))
	fmt.Println("POST /report:", w.Code, http.StatusText(w.Code))
	_, _ = w.Body.WriteTo(os.Stdout)
}
