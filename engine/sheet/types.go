// Package sheet says what stands on each sheet of a packet, independent of the
// file format that carries it.
package sheet

import "roodbeam/engine/drawing"

// Sheet is one or more pages for one reader.
type Sheet struct {
	Code   string // P1, P3 …
	Title  string
	Reader string // leadership, electrician, rigger, volunteer, all
	Blocks []Block
}

// Block is one part of a sheet, top to bottom; exactly one field is set.
type Block struct {
	Heading   string
	Text      string
	Bullets   []string
	Table     *Table
	Drawing   *drawing.Scene
	Caution   string
	SignOff   *SignOff
	PageBreak bool
}

// Table has column heads and rows of text; numbers are already formatted.
type Table struct {
	Name   string // for the CSV of the schedule; empty: none
	Heads  []string
	Align  string    // one letter per column: l, r, c
	Widths []float64 // relative; empty: by content
	Rows   [][]string
	Note   string
}

// SignOff is a place to sign.
type SignOff struct {
	Role string
	Text string
}

// Packet is every sheet of one issue.
type Packet struct {
	Church   string
	Revision string
	Date     string // as given by the caller
	Status   string // for approval, for pricing, for construction, as built
	Paper    string // A3, Tabloid
	Sheets   []Sheet
}
