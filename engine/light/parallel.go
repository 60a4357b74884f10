package light

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// parallel calls do for 0..n−1 on every core. Each call writes only what belongs
// to its number, and sums are taken afterwards in order, so that the answer does
// not depend on the number of cores. A panic in a call comes up in the caller,
// who can catch it, once the others have ended.
func parallel(n int, do func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers <= 1 {
		for i := range n {
			do(i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	var failed atomic.Pointer[any]
	for range workers {
		wg.Go(func() {
			defer func() {
				if r := recover(); r != nil {
					failed.CompareAndSwap(nil, &r)
				}
			}()
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				do(i)
			}
		})
	}
	wg.Wait()
	if r := failed.Load(); r != nil {
		panic(*r)
	}
}
