package packet

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/drawing"
	"roodbeam/engine/plan"
	"roodbeam/engine/sheet"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/planner"
	"roodbeam/server/render"
)

// part is one file of a packet.
type part struct {
	name, title, media string
	data               []byte
}

// issue is what the parts of one packet are made of.
type issue struct {
	run     *planner.Run
	number  int32
	status  pb.PacketStatus
	date    time.Time
	planner *planner.Planner
	project *document.Project
	issuer  string // actor who issues it, or would
}

// sheetInput gathers what the sheets and drawings of an issue show, without the
// pictures, which take longer than all the rest.
func (is issue) sheetInput() sheet.Input {
	in := plan.SheetInput(is.run.Documents, is.run.Results, is.planner.Book, plan.Issue{
		Revision: revisionLabel(is.number), Date: is.date.Format(time.DateOnly), Status: convert.Word(is.status), Display: is.run.Display,
	})
	in.Status = strings.ReplaceAll(in.Status, "_", " ")
	in.Findings = is.planner.All(is.project, is.run, is.issuer)
	in.Cleared = clearings(is.project)
	return in
}

// drawings are the parts that are one drawing each.
var drawings = []struct {
	name, title string
	scene       func(sheet.Input) drawing.Scene
}{
	{"plan.svg", "Plan", sheet.PlanScene},
	{"section.svg", "Section", sheet.SectionScene},
	{"light-map.svg", "Light map", sheet.LightMapScene},
}

// makePart renders one file; false when there is none of the name.
func makePart(is issue, name string) (part, bool, error) {
	for _, d := range drawings {
		if d.name == name {
			return part{d.name, d.title, "image/svg+xml", render.SVG(d.scene(is.sheetInput()))}, true, nil
		}
	}
	parts, err := makeParts(is)
	for _, p := range parts {
		if p.name == name {
			return p, true, nil
		}
	}
	return part{}, false, err
}

// makeParts renders every file of a packet.
func makeParts(is issue) ([]part, error) {
	in := is.sheetInput()
	in.Pictures = is.run.Pictures()
	packet := sheet.Build(in)
	pdf, err := render.PDF(packet)
	if err != nil {
		return nil, fmt.Errorf("packet: %w", err)
	}
	parts := []part{{"packet.pdf", "All sheets", "application/pdf", pdf}}
	for _, d := range drawings {
		parts = append(parts, part{d.name, d.title, "image/svg+xml", render.SVG(d.scene(in))})
	}
	parts = append(parts, part{"values.txt", "Every text and number of the sheets", "text/plain; charset=utf-8", render.Values(packet)})
	for _, f := range in.Maps {
		_, hi, ok := f.Range()
		if !ok || hi <= 0 {
			continue
		}
		im := f.Picture(hi, drawing.ContourLevels(hi, 8), sheet.MapOverlay(in))
		raw, err := render.PNG(im.Cols, im.Rows, im.RGB)
		if err != nil {
			return nil, fmt.Errorf("packet: %w", err)
		}
		parts = append(parts, part{"light-map.png", f.Title, "image/png", raw})
		break // the first map is the one of the whole platform
	}
	for _, p := range in.Pictures {
		raw, err := render.PNG(p.Cols, p.Rows, p.RGB)
		if err != nil {
			return nil, fmt.Errorf("packet: %w", err)
		}
		parts = append(parts, part{"view-" + p.Name + ".png", p.Title, "image/png", raw})
	}
	tables := render.CSV(packet)
	for _, name := range slices.Sorted(maps.Keys(tables)) {
		parts = append(parts, part{fileName(name), name, "text/csv; charset=utf-8", tables[name]})
	}
	return parts, nil
}

// clearings are the sign-offs the sheets show, in the order of their keys.
func clearings(p *document.Project) []sheet.Clearing {
	var out []sheet.Clearing
	for _, key := range slices.Sorted(maps.Keys(p.Cleared)) {
		c := p.Cleared[key]
		out = append(out, sheet.Clearing{Key: key, Fingerprint: c.GetFingerprint(), Reason: c.GetClearing().GetReason(),
			By:   strings.ReplaceAll(convert.Word(c.GetClearing().GetRole()), "_", " "),
			Date: c.GetClearing().GetTime().AsTime().Format(time.DateOnly),
			Name: c.GetClearing().GetSigner().GetName(), Firm: c.GetClearing().GetSigner().GetFirm(), Licence: c.GetClearing().GetSigner().GetLicence(),
			Body: c.GetClearing().GetSigner().GetLicenceBody(), InvitedBy: c.GetClearing().GetInvitedBy(),
			Also: strings.ReplaceAll(convert.Word(c.GetClearing().GetAlsoRole()), "_", " ")})
	}
	return out
}

func revisionLabel(number int32) string {
	if number == 0 {
		return "preview"
	}
	return fmt.Sprintf("%d", number)
}

// fileName makes a table's name a file name.
func fileName(name string) string {
	name = strings.TrimSuffix(name, ".csv")
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '-':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, name) + ".csv"
}
