package command_test

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
)

// field reads a line of a card: a head, then the value.
func field(t *testing.T, card, head string) string {
	t.Helper()
	for _, l := range strings.Split(card, "\n") {
		if rest, ok := strings.CutPrefix(l, head+" "); ok {
			return strings.TrimSpace(rest)
		}
	}
	t.Fatalf("no line %q in\n%s", head, card)
	return ""
}

// TestAccess lets an electrician into a project, has them sign, and takes them
// out again, all from the command line.
func TestAccess(t *testing.T) {
	s := newShell(t)
	s.serve(s.data)
	s.must("plan", s.write("my-church.yaml", s.must("init")), "--out", filepath.Join(s.dir, "packet"))
	project := s.projects()[0][0]

	const inviteID, joinID = "0197a000-0000-7000-8000-0000000000a1", "0197a000-0000-7000-8000-0000000000a2"
	link := s.must("invite", project, "--role", "licensed_electrician", "--note", "the panel", "--id", inviteID)
	if again := s.must("invite", project, "--role", "licensed_electrician", "--note", "the panel", "--id", inviteID); again != link {
		t.Errorf("the same invitation again:\n%s\nthe first time:\n%s", again, link)
	}
	if r := s.run("invite", project, "--role", "manager", "--note", "the panel", "--id", inviteID); r.status == done || !strings.Contains(r.err, "role") {
		t.Errorf("the same id for a manager: exit status %d, %q", r.status, r.err)
	}
	path := strings.Fields(field(t, link, "path"))[0]
	joined := s.must("join", "http://127.0.0.1"+path, "--name", "an electrician", "--id", joinID)
	if again := s.must("join", strings.TrimPrefix(path, "/#join="), "--name", "an electrician", "--id", joinID); again != joined {
		t.Errorf("joined again:\n%s\nthe first time:\n%s", again, joined)
	}
	if field(t, joined, "project") != project || field(t, joined, "role") != "licensed electrician" || !strings.HasPrefix(field(t, joined, "token"), "rbt_") {
		t.Errorf("joined as\n%s", joined)
	}

	var person string
	for _, l := range strings.Split(s.must("member", "list", project), "\n") {
		if f := strings.Split(l, "\t"); f[0] == "an electrician" && len(f) == 4 && f[1] == "licensed electrician" && f[2] != "" {
			person = f[3]
		}
	}
	if person == "" {
		t.Fatalf("members:\n%s", s.must("member", "list", project))
	}

	// Leadership's and trades' findings are not the owner's to clear; the designer's are.
	var list struct {
		Findings []struct{ Key, Fingerprint, Owner string }
	}
	if err := json.Unmarshal([]byte(s.must("--json", "findings", project)), &list); err != nil {
		t.Fatal(err)
	}
	for _, owner := range []string{"FINDING_OWNER_LICENSED_ELECTRICIAN", "FINDING_OWNER_DESIGNER"} {
		found := false
		for _, f := range list.Findings {
			if f.Owner != owner {
				continue
			}
			found = true
			r := s.run("sign", project, f.Key, "--fingerprint", f.Fingerprint, "--reason", "as wanted")
			if owner == "FINDING_OWNER_DESIGNER" && (r.status != done || !strings.Contains(r.out, "cleared")) {
				t.Errorf("the designer's by the manager: exit status %d, %q", r.status, r.err)
			}
			if owner != "FINDING_OWNER_DESIGNER" && r.status != refused {
				t.Errorf("the electrician's by the manager: exit status %d, %q", r.status, r.err)
			}
			break
		}
		if !found {
			t.Errorf("no finding of %s", owner)
		}
	}

	made := s.must("token", "create", "laptop", "--project", project, "--hours", "2")
	if list := s.must("token", "list"); !strings.Contains(list, field(t, made, "id")) || strings.Contains(list, field(t, made, "token")) {
		t.Errorf("tokens, with ids and without secrets:\n%s", list)
	}
	if out := s.must("token", "revoke", field(t, made, "id")); out != "revoked\n" {
		t.Errorf("revoke says %q", out)
	}

	if out := s.must("member", "remove", project, person, "--reason", "another firm"); !strings.Contains(out, "removed, revision") {
		t.Errorf("remove says %q", out)
	}
	if list := s.must("member", "list", project); strings.Contains(list, "an electrician") {
		t.Errorf("still a member:\n%s", list)
	}
	owner := strings.Split(strings.Split(strings.TrimSpace(s.must("member", "list", project)), "\n")[1], "\t")[3]
	if r := s.run("member", "remove", project, owner); r.status != refused || !strings.Contains(r.err, "last manager") {
		t.Errorf("the last manager: exit status %d, %q", r.status, r.err)
	}
}
