package render

import (
	"bytes"
	"fmt"
	"strconv"

	"roodbeam/engine/drawing"
	"roodbeam/engine/sheet"
)

// Type sizes, em height in mm.
const (
	sizeTitle   = 6.4
	sizeHeading = 4.2
	sizeBody    = 3.2
	sizeTable   = 2.75
	sizeSmall   = 2.3
	leading     = 1.38 // line feed over em height
	columnGap   = 9.0
	// measure is the widest line of running text; longer lines are hard to read.
	measure = 205.0
)

// PDF returns the packet as one file, each sheet from a new page. The same
// packet gives the same bytes.
func PDF(p sheet.Packet) ([]byte, error) {
	// A first run, which draws nothing, finds how each sheet is best set and counts
	// the pages, which the title blocks name.
	fits, of := fitAll(p)
	f := newFile(p.Paper, stamp(p.Date))
	layOut(f, p, fits, of)
	var b bytes.Buffer
	if err := f.pdf.Output(&b); err != nil {
		return nil, fmt.Errorf("write the PDF: %w", err)
	}
	return b.Bytes(), nil
}

// layOut places every sheet as it was fitted.
func layOut(f *file, p sheet.Packet, fits []fit, of int) {
	f.pdf.SetTitle(printable(p.Church+" "+p.Revision), true)
	total := 0
	for i, s := range p.Sheets {
		fl := newFlow(f, p, s, fits[i])
		fl.first, fl.pages, fl.of = total, fits[i].pages, of
		fl.place()
		total += fl.page
	}
	if len(p.Sheets) == 0 {
		f.pdf.AddPage()
	}
}

func newFlow(f *file, p sheet.Packet, s sheet.Sheet, ft fit) *flow {
	fl := &flow{file: f, packet: p, sheet: s, scale: s.TextScale, fit: ft}
	if fl.scale <= 0 {
		fl.scale = 1
	}
	fl.scale *= ft.size()
	return fl
}

// place sets all blocks of the sheet.
func (f *flow) place() {
	f.newPage()
	for j, b := range f.sheet.Blocks {
		f.next = nil
		if j+1 < len(f.sheet.Blocks) {
			f.next = &f.sheet.Blocks[j+1]
		}
		f.block(b)
	}
}

// flow places the blocks of one sheet.
type flow struct {
	*file
	packet      sheet.Packet
	sheet       sheet.Sheet
	scale       float64
	first       int // pages before this sheet
	page, pages int
	of          int

	fit  fit
	next *sheet.Block // the block after the one being placed

	column int
	y      float64
	top    float64 // where the columns of this stretch begin
	low    float64 // lowest point any column of this stretch reached
	whole  bool    // the block being placed runs over all columns
}

func (f *flow) columns() int { return max(1, f.sheet.Columns) }

// left and width of the column in use, or of the whole frame for a spanning block.
func (f *flow) left(span bool) float64 {
	x, _, _, _ := f.file.page.Frame()
	if span {
		return x
	}
	return x + float64(f.column)*(f.width(false)+columnGap)
}

func (f *flow) width(span bool) float64 {
	_, _, w, _ := f.file.page.Frame()
	if span {
		return w
	}
	n := float64(f.columns())
	return (w - (n-1)*columnGap) / n
}

func (f *flow) bottom() float64 {
	_, y, _, h := f.file.page.Frame()
	return y + h*f.fit.depth()
}

func (f *flow) newPage() {
	f.pdf.AddPage()
	f.page++
	if f.page == 1 {
		f.pdf.Bookmark(printable(f.sheet.Code+" "+f.sheet.Title), 0, 0)
	}
	_, y, _, _ := f.file.page.Frame()
	f.column, f.y, f.top, f.low = 0, y, y, y
	f.head()
	f.titleBlock()
}

// nextColumn goes to the top of the next column, or to a new page.
func (f *flow) nextColumn() {
	if f.column+1 < f.columns() && !f.whole {
		f.low = max(f.low, f.y)
		f.column++
		f.y = f.top
		return
	}
	f.newPage()
}

// room makes sure that h mm are free, going on where there are; a block taller
// than any column starts at the top of one.
func (f *flow) room(h float64) {
	if f.y+h > f.bottom()+1e-6 && f.y > f.top+1e-6 {
		f.nextColumn()
		if f.y+h > f.bottom()+1e-6 && f.y > f.top+1e-6 {
			f.newPage()
		}
	}
	// A stretch of columns below a spanning block may itself be too short.
	_, y, _, _ := f.file.page.Frame()
	if f.y+h > f.bottom()+1e-6 && f.top > y+1e-6 {
		f.newPage()
	}
}

func (f *flow) span() {
	f.low = max(f.low, f.y)
	f.column, f.y, f.top = 0, f.low, f.low
}

func (f *flow) block(b sheet.Block) {
	if b.Span && f.columns() > 1 {
		f.span()
		f.whole = true
		defer func() { f.whole, f.low, f.top = false, f.y, f.y }()
	}
	wide := b.Span || f.columns() == 1
	switch {
	case b.PageBreak:
		f.newPage()
	case b.ColumnBreak:
		// What overflowed the first column stands in the next already.
		if f.column == 0 {
			f.nextColumn()
		}
	case b.Heading != "":
		f.heading(b.Heading, wide)
	case b.Text != "":
		f.text(b.Text, wide)
		f.y += 1.6 * f.scale * f.fit.air()
	case len(b.Bullets) > 0:
		for _, s := range b.Bullets {
			f.bullet(s, wide)
		}
		f.y += 1.6 * f.scale * f.fit.air()
	case b.Caution != "":
		f.caution(b.Caution, wide)
	case b.SignOff != nil:
		f.signOff(*b.SignOff, wide)
	case len(b.Facts) > 0:
		f.facts(b.Facts, wide)
	case b.Table != nil:
		f.table(*b.Table, wide)
	case b.Drawing != nil:
		f.room(b.Drawing.HeightMM)
		f.scene(b.Drawing, f.left(wide), f.y)
		f.y += b.Drawing.HeightMM + 3*f.fit.air()
	}
	f.low = max(f.low, f.y)
}

func (f *flow) heading(text string, wide bool) {
	size := sizeHeading * f.scale
	lines := drawing.Wrap(text, f.width(wide), size, true)
	if f.y > f.top {
		f.y += 2.4 * f.scale * f.fit.air()
	}
	// A heading keeps a few lines, or the first row, of what follows with it.
	keep := 16 * f.scale
	if f.next != nil && f.next.Table != nil {
		_, _, _, full := f.file.page.Frame()
		keep = max(keep, min(f.tableStart(*f.next.Table, wide), full/2))
	}
	f.room(float64(len(lines))*size*leading + keep)
	for _, l := range lines {
		f.room(size * leading)
		f.y += size * leading
		f.write(f.left(wide), f.y-0.35*size, drawing.Text{Value: l, Size: size, Bold: true, Colour: drawing.Slate})
	}
	f.y += 0.9 * f.scale * f.fit.air()
}

func (f *flow) text(text string, wide bool) {
	size := sizeBody * f.scale
	f.lines(drawing.Wrap(text, min(f.width(wide), measure*f.scale), size, false), 0, size, wide)
}

// together is the number of lines of a paragraph that stand together at least,
// before and after a break.
const together = 2

// lines sets a paragraph. It breaks where at least two lines stand on either side,
// and a short one stays whole.
func (f *flow) lines(lines []string, indent, size float64, wide bool) {
	for i, l := range lines {
		keep := 1
		switch left := len(lines) - i; {
		case i == 0 && left < 2*together:
			keep = left
		case i == 0, left == together:
			keep = together
		}
		f.room(float64(keep) * size * leading)
		f.y += size * leading
		f.write(f.left(wide)+indent, f.y-0.35*size, drawing.Text{Value: l, Size: size, Colour: drawing.Ink})
	}
}

func (f *flow) bullet(text string, wide bool) {
	size := sizeBody * f.scale
	const indent = 4.0
	lines := drawing.Wrap(text, min(f.width(wide), measure*f.scale)-indent*f.scale, size, false)
	f.room(size * leading)
	f.write(f.left(wide)+0.6*f.scale, f.y+size*leading-0.35*size, drawing.Text{Value: "–", Size: size, Colour: drawing.Clay})
	f.lines(lines, indent*f.scale, size, wide)
	f.y += 0.7 * f.scale * f.fit.air()
}

func (f *flow) caution(text string, wide bool) {
	size := sizeBody * f.scale
	w := min(f.width(wide), measure*f.scale+8)
	lines := drawing.Wrap(text, w-8, size, false)
	for len(lines) > 0 {
		f.room(2*size*leading + 3)
		n := max(1, min(len(lines), int((f.bottom()-f.y-3)/(size*leading))))
		h := float64(n)*size*leading + 3
		x := f.left(wide)
		f.fill(drawing.Straw)
		f.pdf.Rect(x, f.y, w, h, "F")
		f.fill(drawing.Clay)
		f.pdf.Rect(x, f.y, 1.4, h, "F")
		f.y += 1.2
		for _, l := range lines[:n] {
			f.y += size * leading
			f.write(x+5, f.y-0.35*size, drawing.Text{Value: l, Size: size, Colour: drawing.Ink})
		}
		f.y += 1.8
		lines = lines[n:]
	}
	f.y += 1.8
}

func (f *flow) signOff(s sheet.SignOff, wide bool) {
	size := sizeBody * f.scale
	w := f.width(wide)
	lines := drawing.Wrap(s.Text, w-6, 0.9*size, false)
	if len(lines) > 12 {
		lines = lines[:12]
	}
	h := float64(len(lines)+1)*size*leading + 14
	f.room(h)
	x := f.left(wide)
	f.draw(drawing.Soft)
	f.pdf.SetLineWidth(0.2)
	f.pdf.Rect(x, f.y, w, h, "D")
	y := f.y + size*leading
	f.write(x+3, y, drawing.Text{Value: drawing.Shorten(s.Role, w-6, size, true), Size: size, Bold: true, Colour: drawing.Ink})
	for _, l := range lines {
		y += size * leading
		f.write(x+3, y, drawing.Text{Value: l, Size: 0.9 * size, Colour: drawing.Ink})
	}
	y = f.y + h - 4.6
	labels := []string{"name", "licence or authority", "date", "signature"}
	share := []float64{0.28, 0.24, 0.16, 0.32}
	at := x + 3
	for i, l := range labels {
		lw := share[i]*(w-6) - 4
		f.pdf.Line(at, y, at+lw, y)
		f.write(at, y+3, drawing.Text{Value: l, Size: sizeSmall, Colour: drawing.Soft})
		at += lw + 4
	}
	f.y += h + 2.5
}

func (f *flow) facts(facts []sheet.Fact, wide bool) {
	w := f.width(wide)
	const least = 44.0
	per := max(1, min(len(facts), int(w/least)))
	for len(facts) > 0 {
		n := min(per, len(facts))
		cell := w / float64(per)
		const h = 17.0
		f.room(h + 3)
		for i, c := range facts[:n] {
			x := f.left(wide) + float64(i)*cell
			f.fill(drawing.Slate)
			f.pdf.Rect(x, f.y, cell-3, 0.7, "F")
			size := 6.0
			for size > 2.4 && drawing.TextWidth(c.Value, size, true) > cell-4 {
				size -= 0.2
			}
			f.write(x, f.y+8.6, drawing.Text{Value: drawing.Shorten(c.Value, cell-4, size, true), Size: size, Bold: true, Colour: drawing.Ink})
			for j, l := range drawing.Wrap(c.Label, cell-4, sizeTable, false) {
				if j > 1 {
					break
				}
				f.write(x, f.y+12.4+float64(j)*sizeTable*leading, drawing.Text{Value: l, Size: sizeTable, Colour: drawing.Soft})
			}
		}
		f.y += h + 3
		facts = facts[n:]
	}
}

// head writes the sheet's code and title and the church over the frame.
func (f *flow) head() {
	x, _, w, _ := f.file.page.Frame()
	y := sheet.MarginTop + sheet.HeadBand - 4
	code := f.sheet.Code
	f.write(x, y, drawing.Text{Value: code, Size: sizeTitle, Bold: true, Colour: drawing.Clay})
	cw := drawing.TextWidth(code, sizeTitle, true) + 4
	f.write(x+cw, y, drawing.Text{Value: drawing.Shorten(f.sheet.Title, w*0.62-cw, sizeTitle, false), Size: sizeTitle, Colour: drawing.Ink})
	f.write(x+w, y, drawing.Text{Value: drawing.Shorten("for: "+f.sheet.Reader, w*0.34, sizeBody, false), Size: sizeBody, Anchor: "end", Colour: drawing.Soft})
	f.draw(drawing.Ink)
	f.pdf.SetDashPattern(nil, 0)
	f.pdf.SetLineWidth(0.35)
	f.pdf.Line(x, y+2.6, x+w, y+2.6)
}

// titleBlock writes the band at the foot of every page.
func (f *flow) titleBlock() {
	x, _, w, _ := f.file.page.Frame()
	y := f.file.page.HeightMM - sheet.MarginBottom - sheet.TitleBand
	p, s := f.packet, f.sheet
	scale := s.Scale
	if scale == "" {
		scale = "no drawing"
	}
	status := p.Status
	if p.OpenStops > 0 {
		status += "; not for construction until signed"
	}
	number := "page " + strconv.Itoa(f.page)
	if f.pages > 0 {
		number = fmt.Sprintf("page %d of %d (%d of %d in the packet)", f.page, f.pages, f.first+f.page, f.of)
	}
	cells := []struct {
		label, value string
		share        float64
		strong       bool
	}{
		{"church", joinText(", ", p.Church, p.Town), 0.17, true},
		{"sheet", s.Code + "  " + s.Title, 0.15, true},
		{"revision · date", joinText(" · ", p.Revision, p.Date), 0.115, true},
		{"status", status, 0.165, true},
		{"scale · paper", scale + " · " + p.Paper, 0.14, false},
		{"rules · units", joinText(" · ", p.Edition, p.Units), 0.14, false},
		{"by · checked · page", joinText(" · ", p.Author, orBlank(p.Checked), number), 0.12, false},
	}
	f.draw(drawing.Ink)
	f.pdf.SetDashPattern(nil, 0)
	f.pdf.SetLineWidth(0.35)
	f.pdf.Line(x, y, x+w, y)
	f.pdf.SetLineWidth(0.12)
	f.draw(drawing.Faint)
	at := x
	for i, c := range cells {
		cw := c.share * w
		if i > 0 {
			f.pdf.Line(at, y+1.5, at, y+12.5)
			at += 1.6
			cw -= 1.6
		}
		f.write(at, y+3.4, drawing.Text{Value: c.label, Size: 1.9, Colour: drawing.Soft})
		size := 2.6
		lines := drawing.Wrap(c.value, cw-1.6, size, c.strong)
		for len(lines) > 2 && size > 1.7 {
			size -= 0.1
			lines = drawing.Wrap(c.value, cw-1.6, size, c.strong)
		}
		if len(lines) > 3 {
			lines = append(lines[:2:2], drawing.Shorten(lines[2]+"…", cw-1.6, size, c.strong))
		}
		step := min(3.6, 9.0/float64(len(lines)))
		for j, l := range lines {
			f.write(at, y+6.8+float64(j)*step, drawing.Text{Value: l, Size: size, Bold: c.strong, Colour: drawing.Ink})
		}
		at += cw
	}
	f.draw(drawing.Ink)
	f.pdf.Line(x, y+14, x+w, y+14)
	size := 2.35
	lines := drawing.Wrap(s.Words, w, size, false)
	for len(lines) > 2 && size > 1.5 {
		size -= 0.1
		lines = drawing.Wrap(s.Words, w, size, false)
	}
	for j, l := range lines {
		f.write(x, y+17+float64(j)*3, drawing.Text{Value: l, Size: size, Colour: drawing.Clay})
	}
}

func orBlank(s string) string {
	if s == "" {
		return "not yet checked"
	}
	return s
}

func joinText(sep string, parts ...string) string {
	out := ""
	for _, p := range parts {
		if p == "" {
			continue
		}
		if out != "" {
			out += sep
		}
		out += p
	}
	return out
}
