package drawing

import (
	"math"
	"strconv"
)

// Viridis returns the colour of t on the viridis map, 0 low to 1 high; values
// outside are held at the ends, a NaN gives the low end.
func Viridis(t float64) Colour {
	if !(t > 0) {
		t = 0
	}
	i := int(math.Min(t, 1)*255 + 0.5)
	v, err := strconv.ParseUint(viridisHex[6*i:6*i+6], 16, 32)
	if err != nil {
		panic("drawing: the viridis table is damaged") // a programming error; a test reads all steps
	}
	return Colour{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v)}
}

// OnColour returns ink or white, whichever stands out better on a background.
// Relative luminance weights: ITU-R BT.709.
func OnColour(c Colour) Colour {
	if 0.2126*float64(c.R)+0.7152*float64(c.G)+0.0722*float64(c.B) > 140 {
		return Ink
	}
	return White
}

func trimNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
