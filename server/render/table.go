package render

import (
	"math"
	"slices"
	"strings"

	"roodbeam/engine/drawing"
	"roodbeam/engine/sheet"
)

const (
	cellPad  = 1.45 // mm left and right
	rowPad   = 1.0  // mm above and below
	leastEm  = 1.7  // smallest type a crowded table may shrink to, mm
	wordsCap = 42.0
	stretch  = 3.0  // most that a column grows beyond its needs, mm
	writeIn  = 22.0 // least width of a column to write in, mm
)

// blankColumns returns the columns to write in by hand.
func blankColumns(t sheet.Table) []int {
	var out []int
	for i, h := range t.Heads {
		if slices.Contains(t.WriteIn, h) {
			out = append(out, i)
		}
	}
	return out
}

// columnWidths shares the width among the columns: what each needs where that
// fits, else at least its longest word; the type shrinks before words break.
func columnWidths(t sheet.Table, width, size float64) ([]float64, float64) {
	n := len(t.Heads)
	if len(t.Widths) == n && n > 0 {
		sum := 0.0
		for _, w := range t.Widths {
			sum += math.Max(w, 0.01)
		}
		out := make([]float64, n)
		for i, w := range t.Widths {
			out[i] = math.Max(w, 0.01) / sum * width
		}
		roomForHeads(out, t.Heads, size)
		return out, size
	}
	for ; ; size -= 0.1 {
		least, natural := make([]float64, n), make([]float64, n)
		sumLeast, sumNatural := 0.0, 0.0
		for i := range n {
			least[i], natural[i] = columnNeeds(t, i, size)
			sumLeast += least[i]
			sumNatural += natural[i]
		}
		switch {
		case sumNatural <= width:
			// What is left makes a crowded table airy and gives places to write
			// in more room, but never tears columns apart.
			grow := math.Min((width-sumNatural)/float64(n), stretch)
			for i := range natural {
				natural[i] += grow
			}
			if blanks := blankColumns(t); len(blanks) > 0 {
				left := width - sumNatural - grow*float64(n)
				for _, i := range blanks {
					natural[i] += math.Min(left/float64(len(blanks)), 2*writeIn)
				}
			}
			return natural, size
		case sumLeast <= width:
			k := (width - sumLeast) / (sumNatural - sumLeast)
			for i := range least {
				least[i] += k * (natural[i] - least[i])
			}
			return least, size
		case size <= leastEm:
			// Words must break now; a column still holds one character.
			floor := math.Min(size+2*cellPad+0.1, width/float64(n))
			k := (width - floor*float64(n)) / (sumLeast - floor*float64(n))
			for i := range least {
				least[i] = floor + k*(least[i]-floor)
			}
			return least, size
		}
	}
}

// roomForHeads widens columns whose head has a longer word than they are wide,
// and takes that from the widest column.
func roomForHeads(widths []float64, heads []string, size float64) {
	for i, h := range heads {
		least := 0.0
		for _, word := range strings.Fields(h) {
			least = math.Max(least, drawing.TextWidth(word, size, true)+2*cellPad+0.1)
		}
		widest := slices.Index(widths, slices.Max(widths))
		if more := least - widths[i]; more > 0 && widest != i && widths[widest]-more > least {
			widths[i] += more
			widths[widest] -= more
		}
	}
}

func columnNeeds(t sheet.Table, i int, size float64) (least, natural float64) {
	measureCell := func(text string, bold bool) {
		for _, line := range strings.Split(text, "\n") {
			natural = math.Max(natural, drawing.TextWidth(line, size, bold))
			for _, word := range strings.Split(line, " ") {
				least = math.Max(least, math.Min(drawing.TextWidth(word, size, bold), wordsCap))
			}
		}
	}
	measureCell(t.Heads[i], true)
	for _, row := range t.Rows {
		if i < len(row) {
			measureCell(row[i], false)
		}
	}
	for _, b := range blankColumns(t) {
		if b == i {
			natural = math.Max(natural, writeIn)
		}
	}
	natural = math.Min(natural, 95)
	least = math.Max(least, size)
	return least + 2*cellPad + 0.1, math.Max(natural, least) + 2*cellPad + 0.1
}

// tableStart returns the height of a table's head with its first row.
func (f *flow) tableStart(t sheet.Table, wide bool) float64 {
	if len(t.Heads) == 0 {
		return 0
	}
	widths, size := columnWidths(t, f.width(wide), sizeTable*f.scale)
	lines := tallest(wrapRow(t.Heads, widths, size, true)) + 1
	if len(t.Rows) > 0 {
		lines += tallest(wrapRow(t.Rows[0], widths, size, false)) - 1
	}
	return float64(lines)*size*leading + 4*f.rowPad()
}

func (f *flow) table(t sheet.Table, wide bool) {
	if len(t.Heads) == 0 {
		return
	}
	widths, size := columnWidths(t, f.width(wide), sizeTable*f.scale)
	x := f.left(wide)
	total := 0.0
	for _, w := range widths {
		total += w
	}
	feed := size * leading
	head := wrapRow(t.Heads, widths, size, true)
	headHeight := float64(tallest(head))*feed + 2*f.rowPad()
	startHead := func() {
		x = f.left(wide)
		f.fill(drawing.Wash)
		f.pdf.Rect(x, f.y, total, headHeight, "F")
		f.cells(head, widths, t.Align, x, size, true)
		f.y += headHeight
		f.rule(x, total, drawing.Ink, 0.3)
	}
	blanks := blankColumns(t)
	first := feed + 2*f.rowPad()
	if len(t.Rows) > 0 {
		first = float64(tallest(wrapRow(t.Rows[0], widths, size, false)))*feed + 2*f.rowPad()
	}
	_, _, _, full := f.file.page.Frame()
	if f.room(headHeight + max(min(first, full-headHeight), 0)); headHeight > (f.bottom()-f.y)/2 {
		// Heads that fill half the page would leave no room for rows.
		head = wrapRow(make([]string, len(t.Heads)), widths, size, true)
		headHeight = feed + 2*f.rowPad()
	}
	startHead()
	tall := func(cells [][]string) float64 { return float64(tallest(cells))*feed + 2*f.rowPad() }
	for i, row := range t.Rows {
		cells := wrapRow(row, widths, size, false)
		if i > 0 && i == len(t.Rows)-2 {
			// The last row never stands alone under a head of its own.
			h := tall(cells)
			both := h + tall(wrapRow(t.Rows[i+1], widths, size, false))
			if free := f.bottom() - f.y; h <= free && both > free && both <= full-headHeight {
				f.nextColumn()
				if f.bottom()-f.y < headHeight+both {
					f.newPage()
				}
				startHead()
			}
		}
		for tallest(cells) > 0 {
			h := tall(cells)
			if free := f.bottom() - f.y; h > free {
				// A row goes whole to the next page unless no page could hold it.
				if h <= full-headHeight || free < 3*feed+2*f.rowPad() {
					f.nextColumn()
					if f.bottom()-f.y < headHeight+3*feed+2*f.rowPad() {
						f.newPage()
					}
					startHead()
				}
			}
			n := max(1, min(tallest(cells), int((f.bottom()-f.y-2*f.rowPad())/feed+1e-6)))
			part, rest := split(cells, n)
			f.cells(part, widths, t.Align, x, size, false)
			h = tall(part)
			f.writeIns(blanks, widths, x, h)
			f.y += h
			f.rule(x, total, drawing.Faint, 0.12)
			cells = rest
		}
	}
	if len(t.Rows) == 0 {
		f.y += f.rowPad()
		f.lines([]string{"none"}, cellPad, size, wide)
		f.y += f.rowPad()
	}
	if t.Note != "" {
		f.y += 0.8
		f.lines(drawing.Wrap(t.Note, min(f.width(wide), measure*1.3), sizeSmall*f.scale, false), 0, sizeSmall*f.scale, wide)
	}
	f.y += 3 * f.fit.air()
}

// writeIns frames the cells to write in.
func (f *flow) writeIns(columns []int, widths []float64, x, h float64) {
	f.draw(drawing.Faint)
	f.pdf.SetLineWidth(0.12)
	for i, w := range widths {
		for _, c := range columns {
			if c == i {
				f.pdf.Line(x, f.y, x, f.y+h)
				f.pdf.Line(x+w, f.y, x+w, f.y+h)
			}
		}
		x += w
	}
}

func (f *flow) rule(x, w float64, c drawing.Colour, pen float64) {
	f.draw(c)
	f.pdf.SetLineWidth(pen)
	f.pdf.Line(x, f.y, x+w, f.y)
}

func (f *flow) cells(cells [][]string, widths []float64, align string, x, size float64, bold bool) {
	for i, lines := range cells {
		a, at := "start", x+cellPad
		if i < len(align) {
			switch align[i] {
			case 'r':
				a, at = "end", x+widths[i]-cellPad
			case 'c':
				a, at = "middle", x+widths[i]/2
			}
		}
		for j, l := range lines {
			f.write(at, f.y+f.rowPad()+float64(j+1)*size*leading-0.35*size,
				drawing.Text{Value: l, Size: size, Bold: bold, Anchor: a, Colour: drawing.Ink})
		}
		x += widths[i]
	}
}

// wrapRow returns the lines of every cell; a row shorter than the heads gets
// empty cells, a longer one loses the rest.
func wrapRow(row []string, widths []float64, size float64, bold bool) [][]string {
	out := make([][]string, len(widths))
	for i, w := range widths {
		text := ""
		if i < len(row) {
			text = row[i]
		}
		out[i] = drawing.Wrap(text, w-2*cellPad, size, bold)
	}
	return out
}

func tallest(cells [][]string) int {
	n := 0
	for _, c := range cells {
		n = max(n, len(c))
	}
	return n
}

func split(cells [][]string, n int) (part, rest [][]string) {
	part, rest = make([][]string, len(cells)), make([][]string, len(cells))
	for i, c := range cells {
		k := min(n, len(c))
		part[i], rest[i] = c[:k], c[k:]
	}
	return part, rest
}
