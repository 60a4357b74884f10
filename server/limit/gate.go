package limit

import (
	"context"
	"sync/atomic"
	"time"
)

// Gate lets in a number of tasks at once and keeps a number of others waiting.
type Gate struct {
	What  string        // the tasks, for people
	Retry time.Duration // told to those who are turned away

	slots   chan struct{}
	waiting atomic.Int64
	queue   int64
}

// NewGate returns a gate for as many tasks at once and as many that wait.
func NewGate(what string, at, queue int, retry time.Duration) *Gate {
	return &Gate{What: what, Retry: retry, slots: make(chan struct{}, max(at, 1)), queue: int64(queue)}
}

// Enter waits until there is room and returns what makes room again, which may
// be called several times. *Exceeded when too many wait already; the context's
// error when it ends before there is room.
func (g *Gate) Enter(ctx context.Context) (leave func(), err error) {
	select {
	case g.slots <- struct{}{}:
		return g.leave(), nil
	default:
	}
	if g.waiting.Add(1) > g.queue {
		g.waiting.Add(-1)
		return nil, &Exceeded{What: g.What, Retry: g.Retry}
	}
	defer g.waiting.Add(-1)
	select {
	case g.slots <- struct{}{}:
		return g.leave(), nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (g *Gate) leave() func() {
	var left atomic.Bool
	return func() {
		if !left.Swap(true) {
			<-g.slots
		}
	}
}

// Waiting tells how many wait now.
func (g *Gate) Waiting() int { return int(g.waiting.Load()) }
