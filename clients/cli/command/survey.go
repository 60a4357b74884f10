package command

import (
	"fmt"
	"io"
	"math"
	"os"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type surveyCmd struct {
	Add       surveyAddCmd       `cmd:"" help:"Add one measurement to a project, or to a list."`
	List      surveyListCmd      `cmd:"" help:"List the measurements of a project, or of a list."`
	Check     surveyCheckCmd     `cmd:"" help:"Adjust a list of measurements and find the mistakes in it, or check a project's survey."`
	Next      surveyNextCmd      `cmd:"" help:"What to measure next, most useful first."`
	Import    surveyImportCmd    `cmd:"" help:"Add the measurements of a list to a project."`
	Checklist surveyChecklistCmd `cmd:"" help:"What to measure, photograph and ask on site, and how far it is answered."`
}

// surveySource is a project or a plain list.
type surveySource struct {
	File    string `arg:"" optional:"" placeholder:"FILE.csv" help:"List with the columns kind,from,at,to,value,sigma, - reads standard input; or a church's file, which is taken in."`
	Project string `help:"Project id, instead of a file."`
}

// maxList is the largest list a server takes.
const maxList = 2 << 20

// read opens a session and returns the text of the list; ok is false for a project,
// which is that of the church's file where one is named.
func (src *surveySource) read(c *call) (s *session, text string, ok bool, err error) {
	if (src.File == "") == (src.Project == "") {
		return nil, "", false, wrong("name either a list (FILE.csv), a church's file, or --project ID")
	}
	if src.Project != "" {
		s, err = c.openProject(&src.Project)
		return s, "", false, err
	}
	if text, err = readList(c, src.File); err != nil {
		return nil, "", false, err
	}
	if isChurch(text) && src.File != "-" {
		s, src.Project, err = c.target(src.File)
		return s, "", false, err
	}
	s, err = c.open("", false)
	return s, text, true, err
}

func readList(c *call, file string) (string, error) {
	in := c.in
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return "", wrong("%v", err)
		}
		defer f.Close()
		in = f
	}
	raw, err := io.ReadAll(io.LimitReader(in, maxList+1))
	if err != nil {
		return "", err
	}
	if len(raw) > maxList {
		return "", wrong("%s is longer than 2 MiB", file)
	}
	return string(raw), nil
}

// networkValue writes a length in metres or an angle in degrees.
func networkValue(v float64, angular bool) string {
	if angular {
		return fmt.Sprintf("%.5f°", v*180/math.Pi)
	}
	return fmt.Sprintf("%.4f m", v)
}

// small writes a standard deviation or residual: millimetres, or seconds of arc
// under a minute of them.
func small(v float64, angular bool) string {
	if !angular {
		return fmt.Sprintf("%.1f mm", v*1000)
	}
	if deg := v * 180 / math.Pi; math.Abs(deg) >= 0.1 {
		return fmt.Sprintf("%.2f°", deg)
	}
	return fmt.Sprintf("%.1f″", v*180/math.Pi*3600)
}

func kindWord(k pb.MeasurementKind) string { return word(k.String(), "MEASUREMENT_KIND_") }
