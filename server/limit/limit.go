// Package limit bounds work: how much of it runs and waits at once, how often
// one caller asks for it, and that the same work is not done twice at a time.
package limit

import (
	"fmt"
	"time"
)

// Exceeded says that something is beyond its limit and when to try again.
type Exceeded struct {
	What  string        // for people, such as "calls with this token"
	Retry time.Duration // after which it is worth another try
}

func (e *Exceeded) Error() string {
	return fmt.Sprintf("too many %s at once; try again in %v", e.What, e.Retry.Round(time.Millisecond))
}
