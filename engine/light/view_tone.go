package light

import "math"

// greyKey is the brightness to which a picture's mean is brought.
// Source: Reinhard et al. 2002, 0.18 for middle key, up to 0.72 for bright ones; a
// little over the middle, as rooms at night look too dark on paper.
const greyKey = 0.28

// LogMean returns the log-average luminance of a frame in cd/m².
// Source: Reinhard et al., Photographic tone reproduction for digital images,
// SIGGRAPH 2002, eq. 1.
func (f Frame) LogMean() float64 {
	const dark = 1e-2 // cd/m², keeps black pixels out of the logarithm
	sum := 0.0
	for _, c := range f.cd {
		sum += math.Log(dark + luminance(c))
	}
	return math.Exp(sum / math.Max(1, float64(len(f.cd))))
}

// luminance weighs linear sRGB. Source: IEC 61966-2-1.
func luminance(c radiance) float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }

// Tone maps a frame to sRGB with the exposure of a log-average luminance in
// cd/m² and a luminance that becomes white: with L = key·Y/mean,
//
//	Ld = L·(1 + L/Lwhite²)/(1 + L)
//
// Two frames with the same arguments can be compared by eye.
// Source: Reinhard et al. 2002, eq. 2 and 4; sRGB curve IEC 61966-2-1.
func (f Frame) Tone(meanCdM2, whiteCdM2 float64) Shot {
	s := Shot{Name: f.View.Name, Title: f.View.Title, Cols: f.View.Cols, Rows: f.View.Rows, RGB: make([]uint8, 3*len(f.cd))}
	if !(meanCdM2 > 0) {
		meanCdM2 = 1
	}
	white := math.Max(1, greyKey*whiteCdM2/meanCdM2)
	parallel(s.Rows, func(y int) {
		for i := y * s.Cols; i < (y+1)*s.Cols; i++ {
			Y := luminance(f.cd[i])
			if !(Y > 0) {
				continue
			}
			L := greyKey * Y / meanCdM2
			k := L * (1 + L/(white*white)) / (1 + L) / Y
			for c := range 3 {
				s.RGB[3*i+c] = encode(f.cd[i][c] * k)
			}
		}
	})
	return s
}

// encode returns the sRGB byte of a linear value, 0 for NaN.
func encode(v float64) uint8 {
	if !(v > 0) {
		return 0
	}
	v = math.Min(1, v)
	b := firstBytes[int(v*float64(len(firstBytes)-1))]
	for b < 255 && v >= fromBytes[b+1] {
		b++
	}
	return b
}

// fromBytes holds from which linear value on a byte is the nearest; firstBytes
// the byte at the lower end of each of many equal steps. A picture asks for a
// million bytes, and a power for each would take longer than its rays.
var fromBytes, firstBytes = func() (from [256]float64, first [4097]uint8) {
	for b := 1; b < 256; b++ {
		if v := (float64(b) - 0.5) / 255; v <= 12.92*0.0031308 {
			from[b] = v / 12.92
		} else {
			from[b] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	b := uint8(0)
	for i := range first {
		for b < 255 && float64(i)/float64(len(first)-1) >= from[b+1] {
			b++
		}
		first[i] = b
	}
	return from, first
}()
