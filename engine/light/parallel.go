package light

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// parallel calls do for 0..n−1 on every core. Each call writes only what belongs
// to its number, and sums are taken afterwards in order, so that the answer does
// not depend on the number of cores.
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
	for range workers {
		wg.Go(func() {
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
}
