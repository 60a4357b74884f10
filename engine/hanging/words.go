package hanging

import (
	"fmt"

	"roodbeam/engine/si"
)

// forceWords writes a force, N, for people: pound-force first where they read US units.
func forceWords(n float64, d si.Display) string {
	if d == si.US {
		return fmt.Sprintf("%.0f lbf (%.0f N)", n/poundForce, n)
	}
	return fmt.Sprintf("%.0f N", n)
}

// momentWords writes a moment, N·m, for people: foot-pounds first where they read US
// units.
func momentWords(nm float64, d si.Display) string {
	if d == si.US {
		return fmt.Sprintf("%.0f ft·lbf (%.0f N·m)", nm/poundForce/si.Foot.Metres(), nm)
	}
	return fmt.Sprintf("%.0f N·m", nm)
}
