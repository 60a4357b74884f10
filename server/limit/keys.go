package limit

import (
	"container/list"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Keys is one rate limit per key, such as a token or an address. It remembers
// the keys used last: one that is forgotten begins with a full burst.
type Keys struct {
	What string // what is limited, for people

	per   rate.Limit
	burst int
	most  int

	mu    sync.Mutex
	byKey map[string]*list.Element
	order list.List // used last in front
}

type keyed struct {
	key string
	lim *rate.Limiter
}

// NewKeys returns a limit of so many events a second per key, with bursts up to
// burst, which remembers at most so many keys.
func NewKeys(what string, perSecond float64, burst, most int) *Keys {
	return &Keys{What: what, per: rate.Limit(perSecond), burst: max(burst, 1), most: max(most, 1), byKey: map[string]*list.Element{}}
}

// Take counts one event of a key; *Exceeded when it is beyond the limit.
func (k *Keys) Take(key string, now time.Time) error {
	r := k.of(key).ReserveN(now, 1)
	if !r.OK() {
		return &Exceeded{What: k.What, Retry: time.Second}
	}
	if wait := r.DelayFrom(now); wait > 0 {
		r.CancelAt(now)
		return &Exceeded{What: k.What, Retry: wait}
	}
	return nil
}

func (k *Keys) of(key string) *rate.Limiter {
	k.mu.Lock()
	defer k.mu.Unlock()
	if e, ok := k.byKey[key]; ok {
		k.order.MoveToFront(e)
		return e.Value.(*keyed).lim
	}
	if len(k.byKey) == k.most {
		last := k.order.Back()
		delete(k.byKey, last.Value.(*keyed).key)
		k.order.Remove(last)
	}
	lim := rate.NewLimiter(k.per, k.burst)
	k.byKey[key] = k.order.PushFront(&keyed{key, lim})
	return lim
}

// Remembered tells how many keys are remembered.
func (k *Keys) Remembered() int {
	k.mu.Lock()
	defer k.mu.Unlock()
	return len(k.byKey)
}
