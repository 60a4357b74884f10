package command

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type surveyAddCmd struct {
	surveySource
	Kind       string `required:"" help:"distance, horizontal, height, level, slope, angle, offset, offset_x, offset_y, drawn, square, same_height, parallel; in a list also fixed and near."`
	From       string `help:"Station it was taken from."`
	At         string `help:"Station at the corner of an angle or square; other end of the wall of an offset."`
	To         string `required:"" help:"Station it was taken to."`
	With       string `help:"Other station of the second wall of parallel."`
	Value      string `help:"The number with its unit, e.g. 12' 6 1/2\", 3.81 m, 45-12-34; of a slope: 7.31 m 34.5 deg."`
	Sigma      string `help:"Standard deviation, e.g. 3 mm; without it by the instrument."`
	Instrument string `help:"steel_tape, fibre_tape, laser, laser_either_end, phone_ar, phone_lidar, clinometer, counted, counted_tiles, drawing or guess."`
	Reference  string `help:"Floor a height was taken from; without it the hall floor."`
	By         string `help:"Who took it, by role."`
	NewStation bool   `name:"new-station" help:"Make a station of a name that the survey does not know; without it such a name is refused."`
	Entry      string `help:"Id of the entry (UUIDv7); sent twice it counts once."`
}

// listHead is the first line of a list.
const listHead = "kind,from,at,to,value,sigma,instrument"

// Run adds one measurement.
func (cmd *surveyAddCmd) Run(c *call) error {
	if (cmd.File == "") == (cmd.Project == "") {
		return wrong("name either a list (FILE.csv) or --project ID")
	}
	value := cmd.Value
	if cmd.With != "" {
		value = cmd.With
	}
	row := strings.Join([]string{field(cmd.Kind), field(cmd.From), field(cmd.At), field(cmd.To), field(value), field(cmd.Sigma), field(cmd.Instrument)}, ",")
	entry, err := entryID(cmd.Entry)
	if err != nil {
		return err
	}
	if cmd.File != "" {
		if raw, err := os.ReadFile(cmd.File); err == nil && isChurch(string(raw)) {
			return wrong("%s is a church's file, not a list of measurements", cmd.File).trying("Try: write the measurement under survey: measurements: in it, or: %s survey add --project %s … once it is planned", invoked(), quoted(cmd.File))
		}
		s, err := c.open("", false)
		if err != nil {
			return err
		}
		defer s.close()
		return cmd.toList(c, s, row)
	}
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	if cmd.Reference == "" {
		res, err := s.Survey.ImportMeasurements(c.ctx, &pb.ImportMeasurementsRequest{ProjectId: cmd.Project, EntryId: entry, List: listHead + "\n" + row, By: cmd.By, NewStations: cmd.NewStation})
		if err != nil {
			return newStationHint(err, true)
		}
		return added(c, res)
	}
	m := &pb.Measurement{Kind: pb.MeasurementKind(pb.MeasurementKind_value["MEASUREMENT_KIND_"+upper(cmd.Kind)]), From: cmd.From, At: cmd.At, To: cmd.To,
		Value: maybe(cmd.Value), Sigma: maybe(cmd.Sigma), Instrument: pb.Instrument(pb.Instrument_value["INSTRUMENT_"+upper(cmd.Instrument)]),
		Reference: cmd.Reference, By: cmd.By}
	res, err := s.Survey.AddMeasurements(c.ctx, &pb.AddMeasurementsRequest{ProjectId: cmd.Project, NewStations: cmd.NewStation, Entries: []*pb.MeasurementEntry{{EntryId: entry, Measurement: m}}})
	if err != nil {
		return newStationHint(err, true)
	}
	return added(c, res)
}

var measured = regexp.MustCompile(`^(list line 2, |entries\[0\]\.measurement\.)(kind|from|at|to|with|value|sigma|instrument|reference)$`)

var inList = regexp.MustCompile(`^(list line \d+), (\w+)$`)

// newStationHint shows what a server refused of measurements, under the names of
// the options or, of a list, with line and column, and how a new station is asked
// for.
func newStationHint(err error, options bool) error {
	var from interface{ GRPCStatus() *status.Status }
	if !errors.As(err, &from) {
		return err
	}
	problems := fieldProblems(from.GRPCStatus(), nil)
	if len(problems) == 0 {
		return err
	}
	unknown := false
	for i := range problems {
		if m := measured.FindStringSubmatch(problems[i].Field); m != nil && options {
			problems[i].Field = "--" + m[2]
		}
		if m := inList.FindStringSubmatch(problems[i].Field); m != nil && !options {
			problems[i].Field = m[1] + ", column " + m[2]
		}
		unknown = unknown || strings.Contains(problems[i].Message, "names no station")
	}
	f := wrongFile(problems)
	if unknown {
		f.try = "Is it a new station? Say so with --new-station (add) or --new-stations (import)."
	}
	return f
}

// field writes one field of a list.
func field(s string) string {
	if strings.ContainsAny(s, "\",; ") {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}

// toList appends the row to a list when the whole can be read with it.
func (cmd *surveyAddCmd) toList(c *call, s *session, row string) error {
	old := listHead + "\n"
	if raw, err := os.ReadFile(cmd.File); err == nil {
		old = string(raw)
	} else if !os.IsNotExist(err) {
		return err
	}
	head, _, _ := strings.Cut(old, "\n")
	if strings.Contains(head, ";") {
		row = strings.Join([]string{field(cmd.Kind), field(cmd.From), field(cmd.At), field(cmd.To), field(cmd.Value + cmd.With), field(cmd.Sigma), field(cmd.Instrument)}, ";")
	}
	if !strings.Contains(strings.ToLower(head), "instrument") {
		row = row[:strings.LastIndexAny(row, ",;")]
	}
	if !strings.HasSuffix(old, "\n") {
		old += "\n"
	}
	text := old + row + "\n"
	res, err := s.Survey.AdjustNetwork(c.ctx, &pb.AdjustNetworkRequest{List: text, Variance: pb.NetworkVariance_NETWORK_VARIANCE_KNOWN})
	started := err == nil || cmd.Kind == "fixed" || cmd.Kind == "near"
	if err != nil && !(started && strings.Contains(err.Error(), "no row measures anything")) {
		return err
	}
	// Written whole beside it and moved, so that a list is never half there.
	tmp, err := os.CreateTemp(filepath.Dir(cmd.File), ".list-*")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	if _, err := tmp.WriteString(text); err != nil {
		return err
	}
	if err := tmp.Close(); err != nil {
		return err
	}
	if err := os.Rename(tmp.Name(), cmd.File); err != nil {
		return err
	}
	if c.root.JSON && res != nil {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "added to %s\n", cmd.File)
	if res != nil {
		suspects(c, res)
	}
	return nil
}
