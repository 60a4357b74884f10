package app

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"testing"
	"time"
)

// writer records the read deadlines it is given.
type writer struct {
	*httptest.ResponseRecorder
	deadlines []time.Time
	fails     error
}

func (w *writer) SetReadDeadline(t time.Time) error {
	w.deadlines = append(w.deadlines, t)
	return w.fails
}

// TestPatient: the time to send a request is bounded until all of it is read,
// and an answer may then stream for as long as it takes.
func TestPatient(t *testing.T) {
	now := time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC)
	set, lifted := now.Add(time.Minute), time.Time{}
	read := func(n int) http.HandlerFunc {
		return func(_ http.ResponseWriter, r *http.Request) {
			if n < 0 {
				_, _ = io.ReadAll(r.Body)
				_, _ = io.ReadAll(r.Body)
				return
			}
			_, _ = io.ReadFull(r.Body, make([]byte, n))
		}
	}
	for _, c := range []struct {
		name    string
		body    io.Reader
		handler http.HandlerFunc
		fails   error
		want    []time.Time
	}{
		{"read whole", bytes.NewReader([]byte("abc")), read(-1), nil, []time.Time{set, lifted}},
		{"read in part", bytes.NewReader([]byte("abc")), read(2), nil, []time.Time{set}},
		{"no body", nil, read(-1), nil, nil},
		{"no deadlines there", bytes.NewReader([]byte("abc")), read(-1), errors.New("no"), []time.Time{set}},
	} {
		w := &writer{ResponseRecorder: httptest.NewRecorder(), fails: c.fails}
		r := httptest.NewRequest(http.MethodPost, "/", c.body)
		if c.body == nil {
			r.Body = http.NoBody
		}
		patient(c.handler, time.Minute, func() time.Time { return now }).ServeHTTP(w, r)
		if !slices.Equal(w.deadlines, c.want) {
			t.Errorf("%s: deadlines %v, want %v", c.name, w.deadlines, c.want)
		}
	}
}

// TestPatientEnds: a client that stops in the midst of a request is let go, and
// one that has sent all of it is waited on by a stream beyond that time.
func TestPatientEnds(t *testing.T) {
	past := func() time.Time { return time.Now().Add(-2 * time.Minute) } // the deadline is over at once
	got := make(chan error, 1)
	s := httptest.NewServer(patient(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		_, err := io.ReadAll(r.Body)
		got <- err
	}), time.Minute, past))
	defer s.Close()
	body, hold := io.Pipe()
	defer hold.Close()
	req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, s.URL, body)
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		if resp, err := s.Client().Do(req); err == nil {
			resp.Body.Close()
		}
	}()
	if err := <-got; err == nil {
		t.Error("a request that never ended was read to its end")
	}
}
