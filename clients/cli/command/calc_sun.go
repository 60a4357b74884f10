package command

import (
	"fmt"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type sunCmd struct {
	Lat  float64 `required:"" help:"Latitude in degrees, north positive."`
	Lon  float64 `required:"" help:"Longitude in degrees, east positive."`
	Time string  `required:"" help:"Moment with its zone, e.g. 2024-06-21T12:00:00Z or 2024-06-21T11:00:00+02:00."`
}

// Help says what the sum rests on.
func (sunCmd) Help() string {
	return `Elevation and azimuth (from north clockwise) of the sun's centre; sin h = sin φ·sin δ + cos φ·cos δ·cos H.

Source: Meeus, Astronomical Algorithms, as published on NOAA's solar calculation pages; about 0.02°, 1901 to 2099.

Example: roodbeam calc sun --lat 51.5 --lon 0 --time 2024-06-21T12:00:00Z

Where the sun stands, not whether it shines; hills and houses are not in it.`
}

// Run computes the sun's place.
func (cmd *sunCmd) Run(c *call) error {
	at, err := moment(cmd.Time)
	if err != nil {
		return err
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	_, offset := at.Zone()
	res, err := s.Calc.ComputeSun(c.ctx, &pb.ComputeSunRequest{LatitudeDeg: cmd.Lat, LongitudeDeg: cmd.Lon, Time: timestamppb.New(at), OffsetMin: int32(offset / 60)})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "elevation  %.2f° (%.2f° as seen through the air)\nazimuth    %.2f° from north clockwise\n", res.GetElevationDeg(), res.GetApparentElevationDeg(), res.GetAzimuthDeg())
	if res.GetRise() != nil {
		show := func(t *timestamppb.Timestamp) string { return t.AsTime().In(at.Location()).Format("15:04") }
		fmt.Fprintf(c.out, "that day   rises %s, highest %s, sets %s\n", show(res.GetRise()), show(res.GetNoon()), show(res.GetSet()))
	} else {
		fmt.Fprintln(c.out, "that day   it does not rise or does not set")
	}
	return basis(c, res.GetBasis())
}

// moment reads a moment with its zone; seconds may be left out.
func moment(text string) (time.Time, error) {
	t := strings.ToUpper(strings.Replace(strings.TrimSpace(text), " ", "T", 1))
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z07:00"} {
		if at, err := time.Parse(layout, t); err == nil {
			return at, nil
		}
	}
	for _, layout := range []string{"2006-01-02T15:04:05", "2006-01-02T15:04"} {
		if _, err := time.Parse(layout, t); err == nil {
			return time.Time{}, wrong("--time: %q has no zone: add Z for UTC, or the hours from it, as in %s-05:00", text, t)
		}
	}
	return time.Time{}, wrong("--time: a date, an hour and a zone are wanted, as in 2026-12-25T10:00-05:00 or 2026-12-25T15:00Z; given %q", text)
}
