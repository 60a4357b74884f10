package wake

import (
	"context"
	"errors"
	"sync"
	"testing"

	"github.com/google/uuid"

	"roodbeam/server/store"
)

// TestRace publishes from several goroutines while watchers read, leave and come: each that stays sees rising
// revisions up to the last.
func TestRace(t *testing.T) {
	const last, watchers = 2000, 8
	var h Hub
	project := uuid.New()
	var readers, writers sync.WaitGroup
	for range watchers {
		ch, _, err := h.Watch(t.Context(), project, 0)
		if err != nil {
			t.Fatal(err)
		}
		readers.Go(func() {
			seen := store.Revision(0)
			for seen < last {
				r, ok := <-ch
				if !ok || r <= seen {
					t.Errorf("revision %d (open %v) after %d", r, ok, seen)
					return
				}
				seen = r
			}
		})
		writers.Go(func() {
			for r := store.Revision(1); r <= last; r++ {
				h.Publish(project, r)
			}
		})
		writers.Go(func() {
			for range 200 {
				ctx, end := context.WithCancel(t.Context())
				ch, cancel, err := h.Watch(ctx, project, 0)
				if err != nil {
					t.Error(err)
				}
				end()
				cancel()
				for range ch { // until it closes
				}
			}
		})
	}
	writers.Wait()
	readers.Wait()
	if n := len(h.waiting[project]); n != watchers {
		t.Errorf("%d watchers are left, want %d", n, watchers)
	}
	h.Close()
	h.Close()
	h.Publish(project, last+1)
	if _, _, err := h.Watch(t.Context(), project, 0); !errors.Is(err, store.ErrClosed) {
		t.Errorf("watch of a closed hub: error %v", err)
	}
}

func TestProjects(t *testing.T) {
	var h Hub
	a, b := uuid.UUID{1}, uuid.UUID{2}
	for _, p := range []uuid.UUID{b, a, b} {
		if _, _, err := h.Watch(t.Context(), p, 0); err != nil {
			t.Fatal(err)
		}
	}
	if got := h.Projects(); len(got) != 2 || got[0] != a || got[1] != b {
		t.Errorf("projects %v", got)
	}
}
