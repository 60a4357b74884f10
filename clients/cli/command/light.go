package command

import (
	"fmt"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type lightCmd struct {
	planned
	Look string `help:"One look of the wall panel by its name, in place of the scheme's own levels."`
	Sun  bool   `help:"List every moment of the year's services with sun on the platform."`
}

// Run prints the light and the daylight of a project.
func (cmd *lightCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	stages := []pb.ResultStage{pb.ResultStage_RESULT_STAGE_LIGHT, pb.ResultStage_RESULT_STAGE_DAYLIGHT, pb.ResultStage_RESULT_STAGE_LOOKS}
	res, err := s.Project.GetResults(c.ctx, &pb.GetResultsRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme, Stages: stages})
	if err != nil {
		return err
	}
	light := res.GetResults().GetLight()
	if cmd.Look != "" {
		if light = lookNamed(res.GetResults().GetLooks(), cmd.Look); light == nil {
			return wrong("--look: given %q; known: %s", cmd.Look, lookNames(res.GetResults().GetLooks()))
		}
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	docs, err := s.Project.GetDocuments(c.ctx, &pb.GetDocumentsRequest{ProjectId: cmd.Project})
	if err != nil {
		return err
	}
	day, zone := res.GetResults().GetDaylight(), docs.GetFile().GetProject().GetTimeZone()
	if cmd.Sun {
		c.sunTable(day, zone)
		return nil
	}
	c.zoneTables(light)
	c.pictureTable(light)
	c.cameraTables(light)
	if cmd.Look == "" {
		c.daylightTables(day, zone)
	}
	return nil
}

func lookNamed(looks []*pb.LookLight, name string) *pb.LightReport {
	for _, l := range looks {
		if strings.EqualFold(l.GetName(), name) {
			return l.GetLight()
		}
	}
	return nil
}

func lookNames(looks []*pb.LookLight) string {
	var out []string
	for _, l := range looks {
		out = append(out, l.GetName())
	}
	return strings.Join(out, ", ")
}

// reading formats a value with its unit, nothing for an absent one.
func reading(v *float64, decimals int, unit string) string {
	if v == nil {
		return ""
	}
	return strings.TrimSpace(fmt.Sprintf("%.*f %s", decimals, *v, unit))
}

func (c *call) zoneTables(l *pb.LightReport) {
	var rows, area [][]string
	for _, z := range l.GetZones() {
		rows = append(rows, []string{z.GetName(), reading(z.TargetLx, 0, "lx"), reading(z.AverageLx, 0, "lx"), reading(z.MinLx, 0, "lx"), reading(z.Evenness, 2, ""),
			reading(z.FromLeftLx, 0, "lx"), reading(z.FromRightLx, 0, "lx"), reading(z.FromAboveLx, 0, "lx"), reading(z.BackLx, 0, "lx"),
			reading(z.GetShape().IndirectLx, 0, "lx"), reading(z.GetShape().ModellingIndex, 2, "")})
		for _, q := range z.GetArea() {
			area = append(area, []string{z.GetName(), strings.TrimSpace(q.GetKind() + " " + q.GetCamera()), reading(q.AverageLx, 0, "lx"), reading(q.MinLx, 0, "lx"),
				reading(q.MaxLx, 0, "lx"), reading(q.Evenness, 2, ""), reading(q.IndirectLx, 0, "lx")})
		}
	}
	table(c.out, []string{"zone", "wanted", "average", "least", "evenness", "from left", "from right", "from above", "back", "reflected", "modelling"}, rows)
	if len(area) > 0 {
		fmt.Fprintln(c.out)
		table(c.out, []string{"zone", "over its whole area", "average", "least", "most", "evenness", "reflected"}, area)
	}
}

func (c *call) pictureTable(l *pb.LightReport) {
	var rows [][]string
	for _, s := range l.GetScreens() {
		rows = append(rows, []string{s.GetName(), reading(s.AverageLx, 1, "lx"), reading(s.IndirectLx, 1, "lx"), reading(s.AmbientContrast, 0, ": 1"), s.GetClass()})
	}
	if len(rows) > 0 {
		fmt.Fprintln(c.out)
		table(c.out, []string{"picture", "direct", "reflected", "contrast left", "enough for"}, rows)
	}
}

func (c *call) cameraTables(l *pb.LightReport) {
	var rows [][]string
	add := func(when string, cams []*pb.CameraLight) {
		for _, cam := range cams {
			for _, z := range cam.GetZones() {
				rows = append(rows, []string{cam.GetName(), when, z.GetZone(), reading(z.FaceLx, 0, "lx"), reading(z.AmbientLx, 0, "lx"), reading(z.OffStops, 1, "stops"),
					reading(z.CctK, 0, "K"), reading(z.Mired, 0, ""), reading(z.Duv, 4, "")})
			}
			rows = append(rows, []string{cam.GetName(), when, "between zones", "", "", reading(cam.SpreadStops, 1, "stops"), "", reading(cam.SpreadMired, 0, ""), reading(cam.SpreadDuv, 4, "")})
		}
	}
	add("evening", l.GetCameras())
	add("by day", l.GetCamerasByDay())
	if len(rows) > 0 {
		fmt.Fprintln(c.out)
		table(c.out, []string{"camera", "hour", "zone", "faces", "of it daylight", "stops", "white", "mired", "duv"}, rows)
	}
}

// clock shows a moment as the church's clock does, in UTC where its time zone is
// not known.
func clock(t *timestamppb.Timestamp, zone string) string {
	at := time.UTC
	if l, err := time.LoadLocation(zone); err == nil {
		at = l
	}
	return t.AsTime().In(at).Format("2006-01-02 15:04 MST")
}

func (c *call) daylightTables(d *pb.DaylightReport, zone string) {
	var hours, zones [][]string
	for _, h := range d.GetHours() {
		hours = append(hours, []string{h.GetService(), clock(h.GetWhen(), zone), reading(h.FaceLx, 0, "lx"), reading(h.SunLx, 0, "lx"),
			h.GetFace(), h.GetWindow(), fmt.Sprintf("%d of %d", h.GetSunHours(), h.GetHoursSeen())})
	}
	for _, z := range d.GetZones() {
		zones = append(zones, []string{z.GetName(), reading(z.SunLx, 0, "lx"), reading(z.SkyLx, 0, "lx"), reading(z.ReflectedLx, 0, "lx"), reading(z.TotalLx, 0, "lx"),
			reading(z.OvercastLx, 0, "lx"), reading(z.KeyPct, 0, "%")})
	}
	if len(hours) > 0 {
		fmt.Fprintln(c.out)
		table(c.out, []string{"service", "brightest hour of its year", "on a face", "of it sun", "face", "through", "moments with sun on a face"}, hours)
	}
	if len(zones) > 0 {
		fmt.Fprintln(c.out)
		table(c.out, []string{"zone at the brightest", "sun, most", "windows", "reflected", "all", "on a dull day", "of the key"}, zones)
	}
	for _, l := range d.GetLimits() {
		fmt.Fprintln(c.err, l)
	}
}

func (c *call) sunTable(d *pb.DaylightReport, zone string) {
	var rows [][]string
	for _, s := range d.GetSun() {
		blind := ""
		if s.GetBlind() {
			blind = "blinds"
		}
		rows = append(rows, []string{s.GetService(), clock(s.GetWhen(), zone), reading(s.AreaM2, 1, "m²"), reading(s.MostLx, 0, "lx"), strings.Join(s.GetWindows(), ", "), blind})
	}
	table(c.out, []string{"service", "moment with sun on the platform", "patches", "brightest", "through", ""}, rows)
}
