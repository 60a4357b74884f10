package app

import (
	"io"
	"net/http"
	"sync"
	"time"
)

// patient bounds the time in which a client must have sent its whole request.
// The server's own ReadTimeout would go on to count while an answer streams, and
// cut the streams that wait for what happens.
func patient(next http.Handler, limit time.Duration, now func() time.Time) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Body != nil && r.Body != http.NoBody {
			c := http.NewResponseController(w)
			// A writer without deadlines has nothing to wait for, such as in tests.
			if err := c.SetReadDeadline(now().Add(limit)); err == nil {
				r.Body = &timedBody{ReadCloser: r.Body, lift: sync.OnceFunc(func() { _ = c.SetReadDeadline(time.Time{}) })}
			}
		}
		next.ServeHTTP(w, r)
	})
}

// timedBody lifts the deadline when all is read.
type timedBody struct {
	io.ReadCloser
	lift func()
}

func (b *timedBody) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p)
	if err == io.EOF {
		b.lift()
	}
	return n, err
}
