// Package convert carries documents between API messages and engine values, both ways, and results from the
// engine to the API, one way.
//
// The two sides name their fields alike (see names.go), so one walker serves every type: encode and decode in
// mirror.go. What a field holds decides how it is carried: a typed quantity becomes a Quantity, a word becomes
// an enum value, an unknown (NaN) becomes an absent field. Nothing is carried by hand but findings, whose texts
// are rendered here. The test lists every engine field that has no place in the API, and fails.
//
// Normalise reads what people typed and is to be called on every request before its documents are used.
package convert
