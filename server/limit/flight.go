package limit

import (
	"errors"
	"sync"
)

// errPanicked is what those get who waited for a task that panicked.
var errPanicked = errors.New("the task that was waited for panicked")

// Flight does the same task once for all who ask for it while it runs. The zero
// value is ready.
type Flight[V any] struct {
	mu    sync.Mutex
	tasks map[string]*task[V]
}

type task[V any] struct {
	done  chan struct{}
	value V
	err   error
	wait  int
}

// Do returns what do returns; of callers with the same key at the same time
// only the first calls it.
func (f *Flight[V]) Do(key string, do func() (V, error)) (V, error) {
	f.mu.Lock()
	if t, ok := f.tasks[key]; ok {
		t.wait++
		f.mu.Unlock()
		<-t.done
		return t.value, t.err
	}
	if f.tasks == nil {
		f.tasks = map[string]*task[V]{}
	}
	t := &task[V]{done: make(chan struct{}), err: errPanicked}
	f.tasks[key] = t
	f.mu.Unlock()
	defer func() {
		f.mu.Lock()
		delete(f.tasks, key)
		f.mu.Unlock()
		close(t.done)
	}()
	t.value, t.err = do()
	return t.value, t.err
}

// Waiting tells how many wait for the task of a key now.
func (f *Flight[V]) Waiting(key string) int {
	f.mu.Lock()
	defer f.mu.Unlock()
	if t, ok := f.tasks[key]; ok {
		return t.wait
	}
	return 0
}
