package hanging

import (
	"math"

	"roodbeam/engine/survey"
)

// LongestThatTurns returns the length, m, of the longest rectangle of a width that
// can be moved on the level round a right-angled corner from a corridor of width a
// into one of width b, all in m (survey.LongestThatTurns).
func LongestThatTurns(width, a, b float64) float64 { return survey.LongestThatTurns(width, a, b) }

// SweptWidth returns the width, m, that a rectangle of width w and length l
// sweeps on a curve of inner radius r with its inner side's middle on the inner
// edge: √((r + w)² + (l/2)²) − r, all in m.
//
// Source: plane geometry.
func SweptWidth(w, l, r float64) float64 { return math.Hypot(r+w, l/2) - r }
