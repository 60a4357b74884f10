// Package colour holds chromaticity and colour temperature of light and the
// mixing of coloured emitters at most flux.
package colour
