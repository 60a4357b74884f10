package command

import (
	"slices"
	"sort"
	"strings"

	"github.com/google/uuid"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/clients/cli/churchfile"
)

// naming are the parts of a file whose lists declare names.
var naming = []string{"survey", "brief", "fixtures", "schemes"}

// serverProblems asks a server what else is wrong with a file that could be
// read in part only; nothing is stored. Fields that were reported already are
// left out.
func (c *call) serverProblems(file *pb.ChurchFile, lines churchfile.Lines, known []churchfile.Problem) []churchfile.Problem {
	s, err := c.open("", false)
	if err != nil {
		return nil
	}
	defer s.close()
	id, err := uuid.NewV7()
	if err != nil {
		return nil
	}
	_, err = s.Project.CreateProject(c.ctx, &pb.CreateProjectRequest{ProjectId: id.String(), EntryId: id.String(), File: file, ValidateOnly: true})
	// What a part that could not be read lacks is no news.
	reported := func(field string) bool {
		return slices.ContainsFunc(known, func(k churchfile.Problem) bool {
			if k.Field == "" {
				return true
			}
			rest, within := strings.CutPrefix(field, k.Field)
			return within && (rest == "" || rest[0] == '.' || rest[0] == '[')
		})
	}
	// Where a list could not be read, the names that stand in it are no news either.
	listless := slices.ContainsFunc(known, func(k churchfile.Problem) bool {
		part, name, _ := strings.Cut(k.Field, ".")
		return slices.Contains(naming, part) && !strings.ContainsAny(name, ".[")
	})
	names := map[string]bool{}
	for _, d := range status.Convert(err).Details() {
		if br, ok := d.(*errdetails.BadRequest); ok {
			for _, v := range br.GetFieldViolations() {
				names[strings.TrimPrefix(v.GetField(), "file.")] = v.GetReason() == "NOTHING_THERE"
			}
		}
	}
	var out []churchfile.Problem
	for _, p := range fieldProblems(status.Convert(err), lines) {
		if !reported(p.Field) && !(listless && names[p.Field]) {
			out = append(out, p)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Line < out[j].Line })
	return out
}
