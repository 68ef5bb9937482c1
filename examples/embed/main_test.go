package main

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

func post(ctx context.Context, url string, body []byte) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	handler().ServeHTTP(w, httptest.NewRequest(http.MethodPost, url, bytes.NewReader(body)).WithContext(ctx))
	return w
}

func TestHandler_answers(t *testing.T) {
	w := post(context.Background(), "/report", demonstration)
	var doc struct{ Format, Verdict string }
	if err := json.Unmarshal(w.Body.Bytes(), &doc); err != nil || w.Code != http.StatusOK || doc.Format != "borestack-report/1" || doc.Verdict != "pass" {
		t.Errorf("%d %+v %v", w.Code, doc, err)
	}
}

func TestHandler_refuses(t *testing.T) {
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	for _, c := range []struct {
		name string
		ctx  context.Context
		url  string
		body []byte
		code int
		word string
	}{
		{"faulty record", context.Background(), "/report", []byte(`{"format": "borestack-record/1"}`), http.StatusUnprocessableEntity, "/units"},
		{"too large", context.Background(), "/report", []byte(`{"note": "` + strings.Repeat("x", mostBytes) + `"}`), http.StatusRequestEntityTooLarge, "too large"},
		{"samples", context.Background(), "/report?samples=many", demonstration, http.StatusUnprocessableEntity, "samples"},
		{"client gone", gone, "/report", demonstration, http.StatusServiceUnavailable, "canceled"},
		{"not a post", context.Background(), "/elsewhere", nil, http.StatusNotFound, ""},
	} {
		if w := post(c.ctx, c.url, c.body); w.Code != c.code || !strings.Contains(w.Body.String(), c.word) {
			t.Errorf("%s: %d %.200s", c.name, w.Code, w.Body.String())
		}
	}
}
