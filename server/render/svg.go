package render

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"strconv"
	"strings"

	"roodbeam/engine/drawing"
)

// SVG returns a scene as an SVG 1.1 document, one user unit per millimetre, true
// to size when printed without scaling. Layers become groups of class "layer-…".
func SVG(s drawing.Scene) []byte {
	var b bytes.Buffer
	w, h := num(s.WidthMM), num(s.HeightMM)
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" font-family="'DejaVu Sans Condensed','DejaVu Sans',sans-serif">`+"\n", w, h, w, h)
	fmt.Fprintf(&b, "<title>%s</title>\n", escape(s.Title))
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="#ffffff"/>`+"\n", w, h)
	open := ""
	for _, it := range s.Items {
		if it.Layer != open {
			if open != "" {
				b.WriteString("</g>\n")
			}
			open = it.Layer
			if open != "" {
				fmt.Fprintf(&b, `<g class="layer-%s" stroke-linecap="round" stroke-linejoin="round">`+"\n", escape(open))
			}
		}
		svgItem(&b, it)
	}
	if open != "" {
		b.WriteString("</g>\n")
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

func svgItem(b *bytes.Buffer, it drawing.Item) {
	switch {
	case it.Line != nil:
		fmt.Fprintf(b, `<polyline points="%s" fill="none"%s/>`+"\n", svgPoints(it.Line.Points), svgPen(it.Line.Pen))
		if head, ok := it.Line.Head(); ok && it.Line.Arrow {
			fmt.Fprintf(b, `<polygon points="%s"%s/>`+"\n", svgPoints(head[:]), svgFill(&it.Line.Pen.Colour))
		}
	case it.Poly != nil:
		fmt.Fprintf(b, `<polygon points="%s"%s%s/>`+"\n", svgPoints(it.Poly.Points), svgFill(it.Poly.Fill), svgPen(it.Poly.Pen))
	case it.Circle != nil:
		c := it.Circle
		fmt.Fprintf(b, `<circle cx="%s" cy="%s" r="%s"%s%s/>`+"\n", num(c.X), num(c.Y), num(c.R), svgFill(c.Fill), svgPen(c.Pen))
	case it.Text != nil:
		t := it.Text
		fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s"%s`, num(t.X), num(t.Y), num(t.Size), svgFill(&t.Colour))
		if t.Anchor == "middle" || t.Anchor == "end" {
			fmt.Fprintf(b, ` text-anchor="%s"`, t.Anchor)
		}
		if t.Bold {
			b.WriteString(` font-weight="bold"`)
		}
		if t.RotateDeg != 0 {
			fmt.Fprintf(b, ` transform="rotate(%s %s %s)"`, num(-t.RotateDeg), num(t.X), num(t.Y))
		}
		fmt.Fprintf(b, ">%s</text>\n", escape(t.Value))
	case it.Image != nil:
		im := it.Image
		fmt.Fprintf(b, `<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" href="data:image/png;base64,%s"/>`+"\n",
			num(im.X), num(im.Y), num(im.W), num(im.H), base64.StdEncoding.EncodeToString(pngOf(*im)))
	}
}

func svgPen(p drawing.Pen) string {
	if p.WidthMM <= 0 {
		return ""
	}
	out := fmt.Sprintf(` stroke="%s" stroke-width="%s"`, webColour(p.Colour), num(p.WidthMM))
	if p.Colour.A != 0 && p.Colour.A != 255 {
		out += fmt.Sprintf(` stroke-opacity="%s"`, num(float64(p.Colour.A)/255))
	}
	if len(p.Dash) > 0 {
		var d []string
		for _, v := range p.Dash {
			d = append(d, num(v))
		}
		out += fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(d, " "))
	}
	return out
}

func svgFill(c *drawing.Colour) string {
	if c == nil {
		return ` fill="none"`
	}
	out := fmt.Sprintf(` fill="%s"`, webColour(*c))
	if c.A != 0 && c.A != 255 {
		out += fmt.Sprintf(` fill-opacity="%s"`, num(float64(c.A)/255))
	}
	return out
}

func svgPoints(ps [][2]float64) string {
	var out []string
	for _, p := range ps {
		out = append(out, num(p[0])+","+num(p[1]))
	}
	return strings.Join(out, " ")
}

func webColour(c drawing.Colour) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// num prints millimetres to the micrometre, far below what a printer resolves.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

// escape makes text fit for XML; characters XML 1.0 does not allow become U+FFFD.
func escape(text string) string {
	var b bytes.Buffer
	if err := xml.EscapeText(&b, []byte(text)); err != nil {
		panic(err) // writing to memory can't fail
	}
	return b.String()
}
