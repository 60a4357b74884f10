package sheet

import "roodbeam/engine/drawing"

// Sheet is one or more pages for one reader.
type Sheet struct {
	Code   string // P1, P3 …
	Title  string
	Reader string // leadership, electrician, rigger, volunteer, all
	Blocks []Block
	// Columns is how many columns the page flows in, 0 for one.
	Columns int
	// TextScale enlarges the type of a sheet that hangs on a wall; 0 is 1.
	TextScale float64
	// Scale is what the title block says, "1:50" or "no scale".
	Scale string
	// Words stand in every page's title block: what is proposed and who approves.
	Words string
}

// Block is one part of a sheet, top to bottom; exactly one of the content
// fields is set.
type Block struct {
	Heading   string
	Text      string
	Bullets   []string
	Table     *Table
	Drawing   *drawing.Scene
	Caution   string
	SignOff   *SignOff
	Facts     []Fact
	PageBreak bool
	// ColumnBreak leaves the first column; nothing changes beyond it.
	ColumnBreak bool
	// Span lets the block run over all columns; not content of its own.
	Span bool
}

// Fact is one number that stands out, with what it is.
type Fact struct {
	Label string
	Value string
}

// Table has column heads and rows of text; numbers are already formatted.
type Table struct {
	Name   string // for the CSV of the schedule; empty: none
	Heads  []string
	Align  string    // one letter per column: l, r, c
	Widths []float64 // relative; empty: by content
	Rows   [][]string
	Note   string
	// WriteIn names the heads of columns that people fill in by hand.
	WriteIn []string
}

// SignOff is a place to sign.
type SignOff struct {
	Role string
	Text string
}

// Packet is every sheet of one issue.
type Packet struct {
	Church   string
	Town     string
	Revision string
	Date     string // as given by the caller
	Status   string // for approval, for pricing, for construction, as built
	Paper    string // A3, Tabloid
	Edition  string // of the region profile
	Units    string // "feet and inches (metres in brackets)"
	Author   string
	Checked  string
	// OpenStops is how many findings keep the packet from construction.
	OpenStops int
	Sheets    []Sheet
}
