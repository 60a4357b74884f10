package planner

import (
	"crypto/sha256"
	"sync"
)

// key is the hash of all that a kept thing rests on.
type key = [sha256.Size]byte

// kept keeps what was made last, by what it rests on.
type kept[T any] struct {
	mu    sync.Mutex
	made  map[key]func() T
	order []key // oldest use first
}

// of returns what stands under a key, made by whoever asks first; others wait.
// No more than most stay.
func (c *kept[T]) of(k key, most int, do func() T) T { return c.entry(k, most, do)() }

func (c *kept[T]) entry(k key, most int, do func() T) func() T {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.made == nil {
		c.made = map[key]func() T{}
	}
	made, ok := c.made[k]
	if !ok {
		made = sync.OnceValue(do)
		c.made[k] = made
	}
	for i, o := range c.order {
		if o == k {
			c.order = append(c.order[:i], c.order[i+1:]...)
			break
		}
	}
	c.order = append(c.order, k)
	if len(c.order) > most {
		delete(c.made, c.order[0])
		c.order = c.order[1:]
	}
	return made
}
