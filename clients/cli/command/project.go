package command

import (
	"fmt"
	"os"
	"regexp"
	"strings"

	"github.com/google/uuid"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// openProject opens a session and puts the id of the project in place of what was
// typed: an id, a church's name, or a church's file, which is read for its project
// only. What names no project is refused with the projects there are.
func (c *call) openProject(typed *string) (*session, error) {
	given, id := *typed, *typed
	file := isFile(given)
	if file {
		church, _, err := c.readFile(given)
		if err != nil {
			return nil, err
		}
		id = projectID(church)
	}
	s, err := c.open("", false)
	if err != nil {
		return nil, err
	}
	if _, err := uuid.Parse(id); err != nil {
		if id, err = c.projectNamed(s, given); err != nil {
			s.close()
			return nil, err
		}
	}
	_, err = s.Project.GetProject(c.ctx, &pb.GetProjectRequest{ProjectId: id})
	if err != nil {
		code := status.Code(err)
		if code == codes.NotFound || code == codes.PermissionDenied {
			err = c.noProject(s, given, file, code)
		}
		s.close()
		return nil, err
	}
	*typed = id
	return s, nil
}

// projectNamed finds the one project whose church has that name.
func (c *call) projectNamed(s *session, name string) (string, error) {
	all, err := c.projects(s)
	if err != nil {
		return "", err
	}
	var found []*pb.ProjectSummary
	for _, p := range all {
		if strings.EqualFold(p.GetName(), strings.TrimSpace(name)) {
			found = append(found, p)
		}
	}
	switch len(found) {
	case 1:
		return found[0].GetProjectId(), nil
	case 0:
		return "", wrong("%q is no file here, no project id and no church's name", name).trying("%s", c.theProjects(all))
	}
	return "", wrong("%d churches are called %q: name one by its id", len(found), name).trying("%s", c.theProjects(found))
}

// noProject says what is not there, and which projects are.
func (c *call) noProject(s *session, given string, file bool, code codes.Code) error {
	f := &failure{status: exitFailed}
	if code == codes.PermissionDenied {
		f.status = exitServer
	}
	switch {
	case file:
		f.message = fmt.Sprintf("the project of %s is not found%s: it has not been planned here yet", given, c.where())
		f.try = fmt.Sprintf("Try: %s plan %s%s", invoked(), quoted(given), c.asCalled())
		return f
	case code == codes.PermissionDenied:
		f.message = fmt.Sprintf("project %s: there is none of this id%s, or your token does not let you in", given, c.where())
	default:
		f.message = fmt.Sprintf("project %s is not found%s", given, c.where())
	}
	all, err := c.projects(s)
	if err != nil {
		return f // the list is a help only
	}
	f.try = c.theProjects(all)
	return f
}

// where says which projects were looked through.
func (c *call) where() string {
	if c.root.Server != "" {
		return " on " + c.root.Server
	}
	if dir, err := c.dataDir(); err == nil {
		return " in " + dir
	}
	return ""
}

func (c *call) projects(s *session) ([]*pb.ProjectSummary, error) {
	var all []*pb.ProjectSummary
	for token := ""; ; {
		page, err := s.Project.ListProjects(c.ctx, &pb.ListProjectsRequest{PageToken: token})
		if err != nil {
			return nil, err
		}
		all = append(all, page.GetProjects()...)
		if token = page.GetNextPageToken(); token == "" {
			return all, nil
		}
	}
}

// namesShown is how many names an error lists.
const namesShown = 12

func (c *call) theProjects(all []*pb.ProjectSummary) string {
	if len(all) == 0 {
		return "There is no project" + c.where() + " yet."
	}
	rows := []string{"The projects" + c.where() + ":"}
	for i, p := range all {
		if i == namesShown {
			rows = append(rows, fmt.Sprintf("  and %d more: %s show", len(all)-i, invoked()))
			break
		}
		rows = append(rows, fmt.Sprintf("  %s  %s", p.GetProjectId(), strings.TrimSuffix(p.GetName()+", "+p.GetTown(), ", ")))
	}
	return strings.Join(rows, "\n")
}

// listed writes the names there are.
func listed(names []string) string {
	if len(names) == 0 {
		return "there are none"
	}
	if len(names) > namesShown {
		return strings.Join(names[:namesShown], ", ") + fmt.Sprintf(" and %d more", len(names)-namesShown)
	}
	return strings.Join(names, ", ")
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.IsDir()
}

var churchHead = regexp.MustCompile(`(?m)^(project_id|project|survey|brief):`)

// isChurch tells a church's file from a plain list of measurements.
func isChurch(text string) bool { return churchHead.MatchString(text) }
