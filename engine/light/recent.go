package light

import "sync"

// recent keeps the values used last by their keys, for several at once. When half
// of the bound is new, what nobody asked for since the last such time is
// forgotten. The zero value is empty and ready.
type recent[K comparable, V any] struct {
	mu         sync.Mutex
	young, old map[K]V
}

// of returns the value of a key, made where none is kept; at most bound are kept,
// 2 at least. What is asked for by two at once may be made twice.
func (r *recent[K, V]) of(key K, bound int, make func() V) V {
	if v, ok := r.get(key, bound); ok {
		return v
	}
	v := make()
	r.mu.Lock()
	defer r.mu.Unlock()
	r.put(key, bound, v)
	return v
}

func (r *recent[K, V]) get(key K, bound int) (V, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	v, ok := r.young[key]
	if ok {
		return v, true
	}
	if v, ok = r.old[key]; ok {
		r.put(key, bound, v)
	}
	return v, ok
}

func (r *recent[K, V]) put(key K, bound int, v V) {
	if _, ok := r.young[key]; !ok && len(r.young) >= max(1, bound/2) {
		r.old, r.young = r.young, nil
	}
	if r.young == nil {
		r.young = map[K]V{}
	}
	r.young[key] = v
}
