package light

// DiscShare returns the illuminance on the axis of a diffuse disc over that of
// a point of the same intensity, E/E₀ = 1/(1 + (D/2d)²), for the diameter D and
// the distance d in metres: 0.99 at five diameters, the rule for taking a
// source as a point. A distance of 0 gives 0 unless the disc is a point.
// Source: configuration factor of a disc on its axis, closed form.
func DiscShare(diameterM, distanceM float64) float64 {
	if diameterM == 0 {
		return 1
	}
	k := diameterM / 2 / distanceM
	return 1 / (1 + k*k)
}
