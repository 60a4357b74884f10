package command

import (
	"fmt"
	"io"
	"os"
	"strings"

	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type fixtureCmd struct {
	List    fixtureListCmd    `cmd:"" help:"List the generic fixtures, or a project's."`
	Inspect fixtureInspectCmd `cmd:"" help:"Say what is in a photometric file (IES LM-63 or EULUMDAT)."`
	Import  fixtureImportCmd  `cmd:"" help:"Make a photometric file a beam of a fixture in a project's catalogue."`
}

// mostFileBytes is what the server takes; one byte more is enough to be told so.
const mostFileBytes = 1 << 20

// photometricFile reads a file to send.
func (c *call) photometricFile(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, wrong("%v", err)
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, mostFileBytes+1))
	if err != nil {
		return nil, wrong("%v", err)
	}
	return raw, nil
}

// refused shows why a photometric file is refused, under its own name.
func (c *call) refused(path string, err error) error {
	st, ok := status.FromError(err)
	if !ok {
		return err
	}
	for _, p := range fieldProblems(st, nil) {
		if p.Field != "file" {
			continue
		}
		return wrong("%s: %s", path, p.Message).trying("The file was refused; nothing was written.")
	}
	return err
}

// photometry prints what a file holds; warnings last.
func photometry(w io.Writer, p *pb.Photometry) {
	format := p.GetFormat()
	if p.GetEdition() != "" {
		format += "-" + p.GetEdition()
	}
	row := func(key, text string, args ...any) { fmt.Fprintf(w, "%-10s %s\n", key, fmt.Sprintf(text, args...)) }
	row("format", "%s", format)
	row("type", "%s", p.GetType())
	row("symmetry", "%s, %d planes of %d angles", p.GetSymmetry(), p.GetHorizontalN(), p.GetVerticalN())
	row("flux_lm", "%.1f", p.GetFluxLm())
	row("max_cd", "%.1f at horizontal %g°, vertical %g°", p.GetMaxCd(), p.GetMaxPlaneDeg(), p.GetMaxAngleDeg())
	row("beam_deg", "%.1f (mean of the planes)", p.GetBeamDeg())
	row("field_deg", "%.1f (mean of the planes)", p.GetFieldDeg())
	row("input_w", "%g", p.GetInputW())
	row("opening_m", "%.3f long, %.3f wide, %.3f high", p.GetLengthM(), p.GetWidthM(), p.GetHeightM())
	if p.GetAbsolute() {
		row("lamps", "absolute photometry")
	} else {
		row("lamps", "%d, %.0f lm", p.GetLamps(), p.GetRatedLm())
	}
	for _, k := range p.GetKeywords() {
		if k.GetKey() != "" {
			row("keyword", "%s: %s", k.GetKey(), k.GetValue())
		}
	}
	var rows [][]string
	for _, a := range p.GetPlanes() {
		rows = append(rows, []string{a.GetPlane(), fmt.Sprintf("%.1f", a.GetBeamDeg()), fmt.Sprintf("%.1f", a.GetFieldDeg()),
			fmt.Sprintf("%.1f", a.GetCentreBeamDeg()), fmt.Sprintf("%.1f", a.GetCentreFieldDeg())})
	}
	fmt.Fprintln(w)
	aligned(w, "", []string{"plane", "beam_deg", "field_deg", "beam_deg by the aim", "field_deg by the aim"}, rows)
	for _, g := range p.GetWarnings() {
		if g.GetLine() == 0 {
			fmt.Fprintf(w, "warning    %s\n", g.GetText())
			continue
		}
		fmt.Fprintf(w, "warning    line %d: %s\n", g.GetLine(), g.GetText())
	}
}

// classOf reads a fixture class by its short name.
func classOf(name string) (pb.FixtureClass, bool) {
	if name == "" {
		return 0, true
	}
	n, ok := pb.FixtureClass_value["FIXTURE_CLASS_"+upper(name)]
	return pb.FixtureClass(n), ok && n != 0
}

// classNames lists the classes for a message.
func classNames() string {
	var out []string
	for n := int32(1); pb.FixtureClass_name[n] != ""; n++ {
		out = append(out, strings.ToLower(strings.TrimPrefix(pb.FixtureClass_name[n], "FIXTURE_CLASS_")))
	}
	return strings.Join(out, ", ")
}
