// Package wake hands new revisions of projects to those who wait for them.
package wake

import (
	"context"
	"slices"
	"sync"

	"github.com/google/uuid"

	"roodbeam/server/store"
)

// Hub knows who waits for which project. The zero Hub is ready.
type Hub struct {
	mu      sync.Mutex
	closed  bool
	waiting map[uuid.UUID]map[*watcher]struct{}
}

type watcher struct {
	ch   chan store.Revision // holds one: the newest not received yet
	last store.Revision      // put into ch last
}

// Watch returns a channel of revisions of the project above after, closed when ctx ends, cancel is called or the
// hub closes.
func (h *Hub) Watch(ctx context.Context, project uuid.UUID, after store.Revision) (ch <-chan store.Revision, cancel func(), err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return nil, nil, store.ErrClosed
	}
	if h.waiting == nil {
		h.waiting = map[uuid.UUID]map[*watcher]struct{}{}
	}
	w := &watcher{ch: make(chan store.Revision, 1), last: after}
	if h.waiting[project] == nil {
		h.waiting[project] = map[*watcher]struct{}{}
	}
	h.waiting[project][w] = struct{}{}
	cancel = func() { h.drop(project, w) }
	context.AfterFunc(ctx, cancel)
	return w.ch, cancel, nil
}

// drop closes the watcher's channel, once.
func (h *Hub) drop(project uuid.UUID, w *watcher) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if _, ok := h.waiting[project][w]; !ok {
		return
	}
	delete(h.waiting[project], w)
	if len(h.waiting[project]) == 0 {
		delete(h.waiting, project)
	}
	close(w.ch)
}

// Publish tells those who wait for the project that it has reached revision r; it never blocks.
func (h *Hub) Publish(project uuid.UUID, r store.Revision) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for w := range h.waiting[project] {
		if r <= w.last {
			continue
		}
		select {
		case <-w.ch: // not received yet, and older
		default:
		}
		w.ch <- r // has room: every sender holds the lock
		w.last = r
	}
}

// Projects returns the projects somebody waits for, sorted.
func (h *Hub) Projects() []uuid.UUID {
	h.mu.Lock()
	defer h.mu.Unlock()
	var ps []uuid.UUID
	for p := range h.waiting {
		ps = append(ps, p)
	}
	slices.SortFunc(ps, func(a, b uuid.UUID) int { return slices.Compare(a[:], b[:]) })
	return ps
}

// Close closes all channels. Later calls of Watch return store.ErrClosed.
func (h *Hub) Close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = true
	for _, ws := range h.waiting {
		for w := range ws {
			close(w.ch)
		}
	}
	h.waiting = nil
}
