package app

import (
	"context"
	"time"
)

// Pieces of uploads nobody finished within a day are abandoned; they are looked
// for at the start and every hour.
const (
	abandonedAfter = 24 * time.Hour
	sweepEvery     = time.Hour
)

// sweep forgets abandoned pieces until the server stops.
func (s *Server) sweep(cfg Config) {
	ctx, cancel := context.WithCancel(context.Background())
	tick, stop := cfg.Tick(sweepEvery)
	ended := make(chan struct{})
	s.swept = func() { cancel(); <-ended }
	go func() {
		defer close(ended)
		defer stop()
		for {
			n, err := s.store.SweepPieces(ctx, cfg.Now().Add(-abandonedAfter))
			switch {
			case ctx.Err() != nil:
				return
			case err != nil:
				cfg.Log.Warn().Err(err).Msg("abandoned uploads stay for now")
			case n > 0:
				cfg.Log.Info().Int64("pieces", n).Msg("forgot abandoned uploads")
			}
			select {
			case <-tick:
			case <-ctx.Done():
				return
			}
		}
	}()
}
