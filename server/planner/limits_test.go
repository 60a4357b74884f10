package planner

import (
	"context"
	"errors"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/engine/plan"
	"roodbeam/server/document"
	"roodbeam/server/limit"
	"roodbeam/server/store"
)

// patience bounds waits for what happens at once on an idle machine.
const patience = 30 * time.Second

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

// held is a planner whose engine works only when it is let.
func held(t *testing.T) (p *Planner, proj *document.Project, runs *atomic.Int32, let chan struct{}) {
	t.Helper()
	p = New(nil, func() time.Time { return time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC) })
	runs, let = &atomic.Int32{}, make(chan struct{})
	p.run = func(plan.Documents, *finding.Book) plan.Results { runs.Add(1); <-let; return plan.Results{} }
	proj, err := document.Assemble(store.State{Project: uuid.New()})
	if err != nil {
		t.Fatal(err)
	}
	proj.File.Brief = &pb.Brief{Region: "us"}
	return p, proj, runs, let
}

// TestOneRunForAllReaders: ten who read the same at once cause one run.
func TestOneRunForAllReaders(t *testing.T) {
	p, proj, runs, let := held(t)
	s := &pb.Scheme{Name: "a"}
	hash, err := inputHash(proj, s, p.Now())
	if err != nil {
		t.Fatal(err)
	}
	got := make([]*Run, 10)
	var wg sync.WaitGroup
	for i := range got {
		wg.Go(func() {
			r, err := p.RunWith(proj, s)
			if err != nil {
				t.Error(err)
			}
			got[i] = r
		})
	}
	until(t, "ten readers", func() bool { return p.flight.Waiting(hash) == len(got)-1 })
	close(let)
	wg.Wait()
	for i, r := range got {
		if r == nil || r != got[0] {
			t.Errorf("reader %d got another run", i)
		}
	}
	if r, err := p.RunWith(proj, s); err != nil || r != got[0] || runs.Load() != 1 {
		t.Errorf("%d runs, %v, want one that is kept", runs.Load(), err)
	}
}

// TestTooManyRuns: what is beyond the queue is turned away and told when to
// come again; those who wait get their turn.
func TestTooManyRuns(t *testing.T) {
	p, proj, runs, let := held(t)
	p.gate = limit.NewGate("plans", 1, 1, 5*time.Second)
	errs := make(chan error, 2)
	plan := func(name string) error { _, err := p.RunWith(proj, &pb.Scheme{Name: name}); return err }
	go func() { errs <- plan("a") }()
	until(t, "the first runs", func() bool { return runs.Load() == 1 })
	go func() { errs <- plan("b") }()
	until(t, "the second waits", func() bool { return p.gate.Waiting() == 1 })
	var over *limit.Exceeded
	if err := plan("c"); !errors.As(err, &over) || over.Retry <= 0 {
		t.Errorf("the third: %v, want *limit.Exceeded", err)
	}
	close(let)
	for range 2 {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}
	if err := plan("c"); err != nil || runs.Load() != 3 {
		t.Errorf("later: %v after %d runs", err, runs.Load())
	}
}

// TestSearchesLeaveRoom: however many search, a reader gets a turn.
func TestSearchesLeaveRoom(t *testing.T) {
	p, _, _, _ := held(t)
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	searches := 0
	for ; ; searches++ {
		if _, err := p.EnterLong(ended); err != nil {
			break
		}
	}
	if want := max(runtime.GOMAXPROCS(0), 2) - 1; searches != want {
		t.Errorf("%d searches at once, want %d", searches, want)
	}
	if _, err := p.Enter(ended); err != nil {
		t.Errorf("a reader beside them: %v", err)
	}
	if _, err := p.Enter(ended); err == nil {
		t.Error("more than there is room for")
	}
}
