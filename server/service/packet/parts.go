package packet

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	pb "roodbeam/api/gen/roodbeam/v1"
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
}

// makeParts renders every file of a packet.
func makeParts(is issue) ([]part, error) {
	in := plan.SheetInput(is.run.Documents, is.run.Results, is.planner.Book, plan.Issue{
		Revision: revisionLabel(is.number), Date: is.date.Format(time.DateOnly), Status: convert.Word(is.status), Display: is.run.Display,
	})
	in.Status = strings.ReplaceAll(in.Status, "_", " ")
	in.Cleared = clearings(is.project)
	in.Pictures = plan.Pictures(is.run.Documents, is.run.Results)
	packet := sheet.Build(in)
	pdf, err := render.PDF(packet)
	if err != nil {
		return nil, fmt.Errorf("packet: %w", err)
	}
	parts := []part{
		{"packet.pdf", "All sheets", "application/pdf", pdf},
		{"plan.svg", "Plan", "image/svg+xml", render.SVG(sheet.PlanScene(in))},
		{"section.svg", "Section", "image/svg+xml", render.SVG(sheet.SectionScene(in))},
		{"light-map.svg", "Light map", "image/svg+xml", render.SVG(sheet.LightMapScene(in))},
		{"values.txt", "Every text and number of the sheets", "text/plain; charset=utf-8", render.Values(packet)},
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
			Date: c.GetClearing().GetTime().AsTime().Format(time.DateOnly)})
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
