package sheet

// Page is the paper, landscape, and the frame that the sheets fill. All in mm.
type Page struct {
	Name              string
	WidthMM, HeightMM float64
}

// Margins and bands of every page, in mm: the left margin is wider for filing.
const (
	MarginLeft   = 16.0
	MarginRight  = 10.0
	MarginTop    = 9.0
	MarginBottom = 8.0
	HeadBand     = 13.0 // code and title
	TitleBand    = 21.0 // title block at the foot
	BandGap      = 3.0
)

// PageOf returns the landscape page of a paper: "Tabloid" (17 × 11 in, ANSI
// B, ANSI/ASME Y14.1) or A3 (ISO 216), which any other name gives too.
func PageOf(paper string) Page {
	if paper == "Tabloid" {
		return Page{"Tabloid", 431.8, 279.4}
	}
	return Page{"A3", 420, 297}
}

// Frame returns the box that content may fill: x, y of its top left corner,
// width and height.
func (p Page) Frame() (x, y, w, h float64) {
	x, y = MarginLeft, MarginTop+HeadBand+BandGap
	return x, y, p.WidthMM - MarginLeft - MarginRight, p.HeightMM - MarginBottom - TitleBand - BandGap - y
}
