package command

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type linesCmd struct {
	File    string `arg:"" help:"The church's file, or a project id."`
	Scheme  string `help:"Scheme that says which lines are used."`
	Section bool   `help:"Draw a section of the room with every line in it instead of the table."`
}

// Run prints every hanging line with its angle to every face, what it hangs from,
// how it is reached, and why not; or draws them in a section.
func (cmd *linesCmd) Run(c *call) error {
	s, project, err := c.target(cmd.File)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Design.GetLines(c.ctx, &pb.GetLinesRequest{ProjectId: project, Scheme: cmd.Scheme})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	u, err := c.unitsFor(s, project)
	if err != nil {
		return err
	}
	if cmd.Section {
		smallSection(c.out, res.GetLines(), u)
		return nil
	}
	var rows [][]string
	for _, l := range res.GetLines() {
		name := l.GetLine()
		if l.GetPlace() != "" {
			name += ", " + l.GetPlace()
		}
		for i, z := range l.GetZones() {
			row := []string{"", "", z.GetZone() + " / " + z.GetFace(), degrees(z.ElevationDeg, z.SigmaDeg), u.length(z.ThrowM), word(z.GetBand().String(), "ELEVATION_BAND_"), "", "", ""}
			if i == 0 {
				row[0], row[1], row[6], row[7], row[8] = name, word(l.GetVerdict().String(), "LINE_VERDICT_"), l.GetHangsFrom(), l.GetReach(), l.GetWhy()
			}
			rows = append(rows, row)
		}
		if len(l.GetZones()) == 0 {
			rows = append(rows, []string{name, word(l.GetVerdict().String(), "LINE_VERDICT_"), "", "", "", "", l.GetHangsFrom(), l.GetReach(), l.GetWhy()})
		}
	}
	table(c.out, []string{"line", "verdict", "zone / face", "elevation", "throw", "band", "hangs from", "reach", "why"}, rows)
	return nil
}

// sectionColumns is how wide a section in the terminal is, sectionRows how tall at
// most.
const (
	sectionColumns = 100
	sectionRows    = 40
)

// smallSection draws the room from the side in characters, the seats to the left:
// the lens of every line by its number, faces as crosses, and under it for each
// line its number, verdict and the elevation and throw to each face.
func smallSection(w io.Writer, lines []*pb.LineRow, u units) {
	type at struct{ y, z float64 }
	var lenses, faces []at
	seen := map[at]bool{}
	for _, l := range lines {
		lenses = append(lenses, at{l.GetAt().GetYM(), l.GetAt().GetZM()})
		for _, z := range l.GetZones() {
			if z.ElevationDeg == nil || z.ThrowM == nil || z.BearingDeg == nil {
				continue
			}
			e, b := z.GetElevationDeg()*math.Pi/180, z.GetBearingDeg()*math.Pi/180
			f := at{math.Round(100*(z.GetFrom().GetYM()+z.GetThrowM()*math.Cos(e)*math.Cos(b))) / 100, math.Round(100*(z.GetFrom().GetZM()-z.GetThrowM()*math.Sin(e))) / 100}
			if !seen[f] {
				seen[f] = true
				faces = append(faces, f)
			}
		}
	}
	if len(lenses) == 0 {
		return
	}
	y0, y1, top := math.Inf(1), math.Inf(-1), 0.0
	for _, p := range append(slices.Clone(lenses), faces...) {
		y0, y1, top = math.Min(y0, p.y), math.Max(y1, p.y), math.Max(top, p.z)
	}
	perM := math.Min((sectionColumns-8)/math.Max(1, y1-y0), sectionRows*charAspect/math.Max(1, top))
	rows := int(top*perM/charAspect) + 2
	grid := make([][]rune, rows)
	for i := range grid {
		grid[i] = []rune(strings.Repeat(" ", sectionColumns))
	}
	put := func(p at, text string) {
		row, col := rows-1-int(p.z*perM/charAspect+0.5), 2+int((p.y-y0)*perM+0.5)
		if row < 0 || row >= rows {
			return
		}
		for col < sectionColumns-len(text) && strings.TrimSpace(string(grid[row][col:col+len(text)])) != "" {
			col++
		}
		for i, ch := range []rune(text) {
			if col+i < sectionColumns {
				grid[row][col+i] = ch
			}
		}
	}
	for i := range grid[rows-1] {
		grid[rows-1][i] = '_'
	}
	for i, p := range lenses {
		put(p, fmt.Sprint(i+1))
	}
	for _, f := range faces {
		put(f, "×")
	}
	fmt.Fprintln(w, "  Section, seats to the left, platform to the right")
	for _, row := range grid {
		fmt.Fprintln(w, strings.TrimRight("  "+string(row), " "))
	}
	fmt.Fprintln(w, "  numbers: lenses of the lines; × faces; _ hall floor")
	for i, l := range lines {
		text := fmt.Sprintf("  %2d  %s (%s)", i+1, strings.TrimSuffix(l.GetLine()+", "+l.GetPlace(), ", "), word(l.GetVerdict().String(), "LINE_VERDICT_"))
		last := ""
		for _, z := range l.GetZones() {
			side := ""
			if z.GetBehind() {
				side = " from behind"
			}
			is := fmt.Sprintf("%s°%s at %s", number(z.ElevationDeg, 1), side, u.length(z.ThrowM))
			if z.GetZone()+is == last {
				continue
			}
			last = z.GetZone() + is
			text += fmt.Sprintf("; %s %s", cmp.Or(z.GetFace(), z.GetZone()), is)
		}
		fmt.Fprintln(w, text)
	}
}

func degrees(v, sigma *float64) string {
	if v == nil {
		return "unknown"
	}
	if sigma == nil {
		return fmt.Sprintf("%.1f°", *v)
	}
	return fmt.Sprintf("%.1f° ±%.1f°", *v, *sigma)
}
