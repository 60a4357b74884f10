package command

import (
	"fmt"
	"io"
	"math"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type schemeCmd struct {
	Propose schemeProposeCmd `cmd:"" help:"Let the engine propose where to hang what, with reasons and a proof of how good that is."`
	Show    schemeShowCmd    `cmd:"" help:"A scheme's hung units with angles, reasons and a small plan."`
	Compare schemeCompareCmd `cmd:"" help:"Two schemes, or a scheme and what-ifs, side by side."`
	Edit    schemeEditCmd    `cmd:"" help:"Move, add, re-aim, lock or drop a unit and see at once what that gives."`
	Check   schemeCheckCmd   `cmd:"" help:"A scheme held against the rules of the trade."`
	Model   schemeModelCmd   `cmd:"" help:"Write the very model a proposal is chosen by, for any solver to check."`
}

// target opens a session and returns the project of a church's file, which is
// taken in first, or of a project id.
func (c *call) target(fileOrProject string) (*session, string, error) {
	if !isFile(fileOrProject) {
		s, err := c.openProject(&fileOrProject)
		return s, fileOrProject, err
	}
	file, lines, err := c.readFile(fileOrProject)
	if err != nil {
		return nil, "", err
	}
	s, err := c.open("", false)
	if err != nil {
		return nil, "", err
	}
	project := projectID(file)
	if err := c.store(s, project, file); err != nil {
		s.close()
		return nil, "", explain(err, lines)
	}
	return s, project, nil
}

// schemeCard prints hung units, reasons and a plan.
func schemeCard(w io.Writer, sc *pb.Scheme, r *pb.Results, us, reasons bool) {
	byID := map[string]*pb.UnitLight{}
	for _, u := range r.GetLight().GetUnits() {
		byID[u.GetId()] = u
	}
	var rows [][]string
	for _, p := range r.GetPlaced() {
		u, l := p.GetUnit(), byID[p.GetUnit().GetId()]
		lock := ""
		if u.GetLocked() {
			lock = "locked"
		}
		along := "–"
		if u.GetAlong().ValueSi != nil {
			along = length(u.GetAlong().ValueSi, us)
		}
		rows = append(rows, []string{u.GetId(), u.GetFixture(), fmt.Sprintf("%.0f°", u.GetFieldDeg()), u.GetLine(), along, u.GetZone() + " " + u.GetFace(),
			word(u.GetPurpose().String(), "PURPOSE_"), number(elevationOf(l), 1) + "°", length(throwOf(l), us), fmt.Sprintf("%.0f %%", level(u)), lock})
	}
	if len(rows) == 0 {
		fmt.Fprintln(w, "Nothing is hung: see the findings.")
		return
	}
	aligned(w, "", []string{"unit", "fixture", "field", "line", "along", "for", "purpose", "elevation", "throw", "level", ""}, rows)
	fmt.Fprintln(w)
	smallPlan(w, r)
	lightCard(w, r)
	if !reasons {
		return
	}
	fmt.Fprintln(w, "\nWhy")
	for _, e := range sc.GetReasons() {
		fmt.Fprintf(w, "  %s  %s\n", e.GetUnit(), e.GetText())
		seen := fmt.Sprintf("seen from %.0f %% of the seats", e.GetSeatsPct())
		if len(e.GetCameras()) > 0 {
			seen += " and by " + strings.Join(e.GetCameras(), ", ")
		}
		if len(e.GetCrosses()) > 0 {
			seen += "; hangs before " + strings.Join(e.GetCrosses(), ", ")
		}
		fmt.Fprintf(w, "      %s\n", seen)
	}
	if len(sc.GetPassed()) > 0 {
		fmt.Fprintln(w, "\nPassed over")
	}
	for _, e := range sc.GetPassed() {
		fmt.Fprintf(w, "  %s for %s: %s\n", strings.TrimSpace(e.GetLine()+" "+e.GetPlace()), e.GetZone(), e.GetWhy())
	}
}

func level(u *pb.Unit) float64 {
	if u.GetLevelPct() == 0 {
		return 100
	}
	return u.GetLevelPct()
}

// planColumns is how wide a plan in the terminal is; a character stands about
// twice as tall as wide.
const (
	planColumns = 76
	charAspect  = 2.0
)

// smallPlan draws the room from above in characters, the platform at the top:
// its outline dotted, hanging lines dashed, lenses with their unit numbers,
// focus points as crosses.
func smallPlan(w io.Writer, r *pb.Results) {
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	widen := func(p *pb.Point) {
		x0, x1 = math.Min(x0, p.GetXM()), math.Max(x1, p.GetXM())
		y0, y1 = math.Min(y0, p.GetYM()), math.Max(y1, p.GetYM())
	}
	for _, p := range r.GetRoom().GetPlatform().GetOutline().GetCorners() {
		widen(p)
	}
	used := map[string]bool{}
	for _, p := range r.GetPlaced() {
		widen(p.GetAt())
		widen(p.GetTarget())
		used[p.GetUnit().GetLine()] = true
	}
	if !(x1 > x0) || !(y1 >= y0) {
		return
	}
	perM := float64(planColumns-6) / (x1 - x0)
	rows := min(60, int((y1-y0)*perM/charAspect)+3)
	grid := make([][]rune, rows)
	for i := range grid {
		grid[i] = []rune(strings.Repeat(" ", planColumns))
	}
	cell := func(p *pb.Point) (int, int) { // column, row; upstage at the top
		return 1 + int((p.GetXM()-x0)*perM+0.5), 1 + int((y1-p.GetYM())*perM/charAspect+0.5)
	}
	put := func(c, row int, s string, over bool) {
		for i, ch := range []rune(s) {
			if row >= 0 && row < rows && c+i >= 0 && c+i < planColumns && (over || grid[row][c+i] == ' ') {
				grid[row][c+i] = ch
			}
		}
	}
	stroke := func(a, b *pb.Point, ch string) {
		for i := range 201 {
			t := float64(i) / 200
			c, row := cell(&pb.Point{XM: a.GetXM() + (b.GetXM()-a.GetXM())*t, YM: a.GetYM() + (b.GetYM()-a.GetYM())*t})
			put(c, row, ch, false)
		}
	}
	corners := r.GetRoom().GetPlatform().GetOutline().GetCorners()
	for _, p := range r.GetPlaced() {
		c, row := cell(p.GetTarget())
		put(c, row, "×", true)
	}
	for _, p := range r.GetPlaced() {
		c, row := cell(p.GetAt())
		put(c, row, p.GetUnit().GetId(), true)
	}
	for _, l := range r.GetRoom().GetLines() {
		if used[l.GetName()] {
			stroke(l.GetFrom(), l.GetTo(), "-")
			put(1, func() int { _, row := cell(l.GetFrom()); return row - 1 }(), l.GetName(), false)
		}
	}
	for i, p := range corners {
		stroke(p, corners[(i+1)%len(corners)], ".")
	}
	for _, row := range grid {
		fmt.Fprintln(w, strings.TrimRight("  "+string(row), " "))
	}
	fmt.Fprintln(w, "  seats this way; unit numbers at their lenses, × focus points, - hanging lines, . platform")
}

// figureRows are the numbers schemes are held side by side by.
func figureRows(u units, heads []string, list []*pb.SchemeFigures) [][]string {
	row := func(name string, of func(f *pb.SchemeFigures) string) []string {
		out := []string{name}
		for _, f := range list {
			out = append(out, of(f))
		}
		return out
	}
	rows := [][]string{
		row("units", func(f *pb.SchemeFigures) string { return fmt.Sprint(f.GetUnits()) }),
		row("lines used", func(f *pb.SchemeFigures) string { return fmt.Sprint(f.GetLines()) }),
		row("wanted light reached", func(f *pb.SchemeFigures) string {
			return fmt.Sprintf("%.0f %% (least zone %.0f %%)", f.GetReachedPct(), f.GetLeastPct())
		}),
		row("power", func(f *pb.SchemeFigures) string { return fmt.Sprintf("%.0f W", f.GetPowerW()) }),
		row("current", func(f *pb.SchemeFigures) string { return fmt.Sprintf("%.1f A", f.GetCurrentA()) }),
		row("added mass", func(f *pb.SchemeFigures) string { kg := f.GetAddedKg(); return u.mass(&kg) }),
		row("cost with contingency", func(f *pb.SchemeFigures) string { return money(f.GetCostMinor(), f.GetCurrency()) }),
		row("working days", func(f *pb.SchemeFigures) string { return fmt.Sprintf("%.0f", f.GetDays()) }),
		row("stops, warnings", func(f *pb.SchemeFigures) string { return fmt.Sprintf("%d, %d", f.GetStops(), f.GetWarnings()) }),
	}
	if len(list) > 0 {
		for i, z := range list[0].GetZones() {
			rows = append(rows, row(z.GetZone()+", average", func(f *pb.SchemeFigures) string {
				if i >= len(f.GetZones()) {
					return "–"
				}
				return fmt.Sprintf("%.0f lx", f.GetZones()[i].GetAverageLx())
			}))
		}
	}
	return rows
}

// everything of a scheme that is not stored, for the card.
func (c *call) evaluate(s *session, project string, sc *pb.Scheme) (*pb.Results, bool, error) {
	res, err := s.Design.EvaluateScheme(c.ctx, &pb.EvaluateSchemeRequest{ProjectId: project, Scheme: sc, Stages: []pb.ResultStage{
		pb.ResultStage_RESULT_STAGE_ROOM, pb.ResultStage_RESULT_STAGE_SCHEME, pb.ResultStage_RESULT_STAGE_LINES, pb.ResultStage_RESULT_STAGE_LIGHT,
		pb.ResultStage_RESULT_STAGE_FINDINGS}})
	if err != nil {
		return nil, false, err
	}
	docs, err := s.Project.GetDocuments(c.ctx, &pb.GetDocumentsRequest{ProjectId: project})
	if err != nil {
		return nil, false, err
	}
	return res.GetResults(), usDisplay(docs.GetFile()), nil
}

func elevationOf(l *pb.UnitLight) *float64 {
	if l == nil {
		return nil
	}
	return l.ElevationDeg
}

func throwOf(l *pb.UnitLight) *float64 {
	if l == nil {
		return nil
	}
	return l.ThrowM
}
