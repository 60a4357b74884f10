package light

import (
	"sync"
	"testing"
)

// What is asked for again is not made again, never more than the bound is kept,
// and after more keys than that a new one still is.
func TestRecentForgetsTheOldest(t *testing.T) {
	var r recent[int, int]
	const bound = 8
	made := map[int]int{}
	ask := func(k int) {
		t.Helper()
		if v := r.of(k, bound, func() int { made[k]++; return 10 * k }); v != 10*k {
			t.Fatalf("%d of %d", v, k)
		}
		if n := len(r.young) + len(r.old); n > bound {
			t.Fatalf("%d kept", n)
		}
	}
	for k := range 100 {
		ask(k)
		ask(k)
		ask(0)
		if made[k] != 1 {
			t.Fatalf("%d made %d times at once", k, made[k])
		}
	}
	if made[0] != 1 {
		t.Errorf("asked for all along and made %d times", made[0])
	}
	if ask(1); made[1] != 2 {
		t.Errorf("long forgotten and made %d times", made[1])
	}
}

func TestRecentAtOnce(t *testing.T) {
	var r recent[int, int]
	var all sync.WaitGroup
	for g := range 8 {
		all.Go(func() {
			for k := range 200 {
				if v := r.of((k*7+g)%50, 16, func() int { return (k*7 + g) % 50 }); v != (k*7+g)%50 {
					t.Errorf("%d", v)
				}
			}
		})
	}
	all.Wait()
}
