// Package render encodes drawings and sheets that the engine has laid out: PDF,
// SVG, CSV and a text of all values; it decides nothing about what they say.
package render
