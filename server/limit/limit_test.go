package limit_test

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"roodbeam/server/limit"
)

// patience bounds waits for what happens at once on an idle machine.
const patience = 30 * time.Second

// until waits for other goroutines to get somewhere.
func until(t *testing.T, what string, there func() bool) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	for !there() {
		if ctx.Err() != nil {
			t.Fatalf("never %s", what)
		}
		runtime.Gosched()
	}
}

func TestGate(t *testing.T) {
	g := limit.NewGate("plans", 2, 1, 3*time.Second)
	first, err := g.Enter(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	second, err := g.Enter(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	third := make(chan func())
	go func() {
		leave, err := g.Enter(context.Background())
		if err != nil {
			t.Error(err)
		}
		third <- leave
	}()
	until(t, "waiting", func() bool { return g.Waiting() == 1 })
	_, err = g.Enter(t.Context())
	var over *limit.Exceeded
	if !errors.As(err, &over) || over.Retry != 3*time.Second || over.What != "plans" {
		t.Errorf("beyond the queue: %v, want *Exceeded", err)
	}
	select {
	case <-third:
		t.Error("three are in at once")
	default:
	}
	first()
	leave := <-third
	first() // again: makes no more room
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := g.Enter(ended); !errors.Is(err, context.Canceled) {
		t.Errorf("a caller who went away: %v", err)
	}
	if g.Waiting() != 0 {
		t.Errorf("%d wait", g.Waiting())
	}
	second()
	leave()
	for range 2 {
		if _, err := g.Enter(t.Context()); err != nil {
			t.Error(err)
		}
	}
}

func TestFlight(t *testing.T) {
	var f limit.Flight[int]
	var runs atomic.Int32
	gate := make(chan struct{})
	got := make([]int, 10)
	var wg sync.WaitGroup
	for i := range got {
		wg.Go(func() {
			got[i], _ = f.Do("a", func() (int, error) { runs.Add(1); <-gate; return 7, nil })
		})
	}
	until(t, "all there", func() bool { return f.Waiting("a") == len(got)-1 })
	if v, err := f.Do("b", func() (int, error) { return 8, errors.New("no") }); v != 8 || err == nil {
		t.Errorf("another key: %d, %v", v, err)
	}
	close(gate)
	wg.Wait()
	for i, v := range got {
		if v != 7 {
			t.Errorf("caller %d got %d", i, v)
		}
	}
	if runs.Load() != 1 {
		t.Errorf("%d runs, want one", runs.Load())
	}
	if v, _ := f.Do("a", func() (int, error) { return 9, nil }); v != 9 {
		t.Errorf("a later call got %d: nothing is kept", v)
	}
}

// TestFlightPanics: those who wait for a task that panics get an error.
func TestFlightPanics(t *testing.T) {
	var f limit.Flight[int]
	gate := make(chan struct{})
	failed := make(chan error)
	go func() {
		defer func() { failed <- fmt.Errorf("%v", recover()) }()
		f.Do("a", func() (int, error) {
			close(gate)
			until(t, "waited for", func() bool { return f.Waiting("a") == 1 })
			panic("4711")
		})
	}()
	<-gate
	if _, err := f.Do("a", func() (int, error) { return 0, nil }); err == nil {
		t.Error("no error")
	}
	if err := <-failed; err.Error() != "4711" {
		t.Errorf("the first caller: %v", err)
	}
}

func TestKeys(t *testing.T) {
	now := time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC)
	k := limit.NewKeys("calls", 2, 3, 2)
	for i := range 3 {
		if err := k.Take("a", now); err != nil {
			t.Errorf("call %d of the burst: %v", i, err)
		}
	}
	var over *limit.Exceeded
	for range 5 { // being turned away costs nothing
		if err := k.Take("a", now); !errors.As(err, &over) || over.Retry != 500*time.Millisecond {
			t.Errorf("beyond the burst: %v (%v), want half a second", err, over)
		}
	}
	if err := k.Take("b", now); err != nil {
		t.Errorf("another key: %v", err)
	}
	if err := k.Take("a", now.Add(499*time.Millisecond)); err == nil {
		t.Error("too early")
	}
	if err := k.Take("a", now.Add(500*time.Millisecond)); err != nil {
		t.Errorf("in time: %v", err)
	}
	for i := range 100 {
		if err := k.Take(fmt.Sprint(i), now); err != nil {
			t.Error(err)
		}
	}
	if n := k.Remembered(); n != 2 {
		t.Errorf("%d keys are remembered, want two", n)
	}
	// The one used last stays remembered.
	for range 3 {
		_ = k.Take("98", now)
	}
	_ = k.Take("new", now)
	if err := k.Take("98", now); err == nil {
		t.Error("the key used last was forgotten")
	}
}
