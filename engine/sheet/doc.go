// Package sheet says what stands on each sheet of a packet, independent of the
// file format that carries it: it formats results and computes none.
//
// Every sheet is one file, sheet_<code>_<name>.go, which registers itself:
//
//	var _ = register(Kind{
//		Code: "P9", Order: 90, Title: "House lights", Reader: "electrician",
//		Words: electricalWords,
//		Fill: func(in *Input, page Page) Sheet { return Sheet{Blocks: []Block{…}} },
//	})
//
// Order decides the place in the packet. Fill gets the input with its look-ups
// and the page, whose Frame gives the room a drawing may take; code, title,
// reader and words are filled in from the Kind where Fill leaves them empty. A
// table with a Name is also written as a CSV file. A sheet must stand any valid
// project: no units, no screens, unknown heights.
package sheet
