package auth_test

import (
	"context"
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/server/auth"
	"roodbeam/server/store"
)

// permissionMatrix says who may call what within a project: + allowed, . refused.
const permissionMatrix = `
role                           read survey design manage sign
admin                          +    +      +      +      .
viewer                         +    .      .      .      .
designer                       +    +      +      +      +
manager                        +    +      +      +      +
volunteer                      +    +      .      .      .
licensed electrician           +    +      .      .      +
structural engineer            +    +      .      .      +
qualified rigger               +    +      .      .      +
fire-alarm contractor          +    +      .      .      +
lift hire firm                 +    +      .      .      +
hazardous-materials inspector  +    +      .      .      +
leadership                     +    .      .      .      +
somebody                       .    .      .      .      .
`

var columns = []optionsv1.Permission{
	optionsv1.Permission_PERMISSION_PROJECT_READ, optionsv1.Permission_PERMISSION_PROJECT_SURVEY, optionsv1.Permission_PERMISSION_PROJECT_DESIGN,
	optionsv1.Permission_PERMISSION_PROJECT_MANAGE, optionsv1.Permission_PERMISSION_PROJECT_SIGN,
}

// rows reads a matrix: roles with spaces in front, marks behind.
func rows(t *testing.T, text string) (heads []string, byRole map[auth.Role][]bool) {
	t.Helper()
	byRole = map[auth.Role][]bool{}
	wide := regexp.MustCompile(`\s{2,}`)
	for i, line := range strings.Split(strings.TrimSpace(text), "\n") {
		role, rest, _ := strings.Cut(wide.ReplaceAllString(line, "\t"), "\t")
		marks := strings.Fields(strings.ReplaceAll(rest, "\t", " "))
		if i == 0 {
			heads = marks
			continue
		}
		if len(marks) != len(heads) {
			t.Fatalf("row %q has %d marks, want %d", line, len(marks), len(heads))
		}
		for _, m := range marks {
			byRole[auth.Role(role)] = append(byRole[auth.Role(role)], m == "+")
		}
	}
	return heads, byRole
}

func TestPermissions(t *testing.T) {
	_, matrix := rows(t, permissionMatrix)
	for _, r := range append(auth.ProjectRoles(), auth.Admin) {
		if matrix[r] == nil {
			t.Errorf("role %q is missing from the matrix", r)
		}
	}
	for role, marks := range matrix {
		for i, p := range columns {
			if got := role.Allows(p); got != marks[i] {
				t.Errorf("%s: %v = %v, want %v", role, p, got, marks[i])
			}
		}
		for _, p := range []optionsv1.Permission{optionsv1.Permission_PERMISSION_UNSPECIFIED, optionsv1.Permission_PERMISSION_ADMIN, optionsv1.Permission(99)} {
			if role.Allows(p) {
				t.Errorf("%s: %v is allowed within a project", role, p)
			}
		}
	}
}

// clearMatrix says who clears whose findings. D designer, V volunteer, El
// licensed electrician, En structural engineer, R qualified rigger, F
// fire-alarm contractor, Li lift hire firm, H hazardous-materials inspector,
// Le leadership.
const clearMatrix = `
role                           D V El En R F Li H Le
admin                          . . .  .  . . .  . .
viewer                         . . .  .  . . .  . .
designer                       + + .  .  . . .  . .
manager                        + + .  .  . . .  . .
volunteer                      . . .  .  . . .  . .
licensed electrician           . . +  .  . . .  . .
structural engineer            . . .  +  . . .  . .
qualified rigger               . . .  .  + . .  . .
fire-alarm contractor          . . .  .  . + .  . .
lift hire firm                 . . .  .  . . +  . .
hazardous-materials inspector  . . .  .  . . .  + .
leadership                     . . .  .  . . .  . +
`

func TestMayClear(t *testing.T) {
	owners := []finding.Owner{finding.Designer, finding.Volunteer, finding.Electrician, finding.Engineer, finding.Rigger,
		finding.FireAlarm, finding.LiftHire, finding.Hazards, finding.Leadership}
	_, matrix := rows(t, clearMatrix)
	if len(matrix) != len(auth.ProjectRoles())+1 {
		t.Errorf("%d roles in the matrix, want all", len(matrix))
	}
	for role, marks := range matrix {
		for i, o := range owners {
			if got := role.MayClear(string(o)); got != marks[i] {
				t.Errorf("%s clears for the %s: %v, want %v", role, o, got, marks[i])
			}
		}
		if role.MayClear("") || role.MayClear("nobody") {
			t.Errorf("%s clears what nobody owns", role)
		}
	}
	if auth.Role("").MayClear("") {
		t.Error("no role clears what nobody owns")
	}
	// Whoever a finding may belong to must be somebody who can be invited, or it
	// could never be cleared.
	for _, o := range owners {
		if !slices.ContainsFunc(auth.ProjectRoles(), func(r auth.Role) bool {
			return r.MayClear(string(o)) && r.Allows(optionsv1.Permission_PERMISSION_PROJECT_SIGN)
		}) {
			t.Errorf("no role can clear for the %s", o)
		}
	}
}

func TestRolesOfTheAPI(t *testing.T) {
	for _, r := range auth.ProjectRoles() {
		v := auth.RoleToAPI(r)
		if v == pb.Role_ROLE_UNSPECIFIED || auth.RoleFromAPI(v) != r {
			t.Errorf("%s becomes %v and %q", r, v, auth.RoleFromAPI(v))
		}
	}
	for n := range pb.Role_name {
		if r := auth.RoleFromAPI(pb.Role(n)); n != 0 && r == "" {
			t.Errorf("%v is no role here", pb.Role(n))
		}
	}
	if got := auth.RoleToAPI(auth.Admin); got != pb.Role_ROLE_UNSPECIFIED {
		t.Errorf("the administrator has role %v in a project, want none", got)
	}
}

func TestSecrets(t *testing.T) {
	form := regexp.MustCompile(`^rbt_[a-z2-7]{32}$`)
	seen := map[string]bool{}
	for range 100 {
		s := auth.NewSecret()
		if !form.MatchString(s) || seen[s] {
			t.Fatalf("secret %q: want a fresh one of 160 bits", s)
		}
		seen[s] = true
		if strings.Contains(auth.HashSecret(s).String(), s[4:]) {
			t.Fatalf("the hash shows the secret")
		}
	}
}

// members is a store of one member.
type members struct {
	project, person uuid.UUID
	role            auth.Role
	err             error
}

func (m members) Member(_ context.Context, project, person uuid.UUID) (store.Member, error) {
	if m.err != nil {
		return store.Member{}, m.err
	}
	if project != m.project || person != m.person {
		return store.Member{}, store.ErrNotFound
	}
	return store.Member{Project: project, Person: person, Role: string(m.role)}, nil
}

func TestRoleIn(t *testing.T) {
	here, there, person := uuid.New(), uuid.New(), uuid.New()
	st := members{project: here, person: person, role: auth.Designer}
	for _, c := range []struct {
		name    string
		caller  auth.Caller
		project uuid.UUID
		want    auth.Role
	}{
		{"member", auth.Caller{Person: person}, here, auth.Designer},
		{"member elsewhere", auth.Caller{Person: person}, there, ""},
		{"stranger", auth.Caller{Person: uuid.New()}, here, ""},
		{"nobody", auth.Caller{}, here, ""},
		{"token of the project", auth.Caller{Project: here, Role: auth.Volunteer, Person: person}, here, auth.Volunteer},
		{"token of somebody taken out", auth.Caller{Project: here, Role: auth.Volunteer, Person: uuid.New()}, here, ""},
		{"token of another", auth.Caller{Project: there, Role: auth.Manager, Person: person}, here, ""},
		{"administrator", auth.Caller{Role: auth.Admin}, here, auth.Admin},
		{"administrator who is a member", auth.Caller{Role: auth.Admin, Person: person}, here, auth.Designer},
		{"administrator's token for one project", auth.Caller{Role: auth.Admin, Project: there}, here, ""},
		{"role on the token without project", auth.Caller{Role: auth.Manager}, here, ""},
	} {
		got, err := auth.RoleIn(context.Background(), st, c.caller, c.project)
		if err != nil || got != c.want {
			t.Errorf("%s: %q, %v, want %q", c.name, got, err, c.want)
		}
	}
	st.err = store.ErrUnavailable
	if _, err := auth.RoleIn(context.Background(), st, auth.Caller{Person: person}, here); !errors.Is(err, store.ErrUnavailable) {
		t.Errorf("with the store away: %v, want %v", err, store.ErrUnavailable)
	}
}

func TestActor(t *testing.T) {
	token, person := uuid.New(), uuid.New()
	if got := (auth.Caller{Token: token, Person: person}).Actor(); got != person.String() {
		t.Errorf("actor = %q, want the person", got)
	}
	if got := (auth.Caller{Token: token}).Actor(); got != "token "+token.String() {
		t.Errorf("actor = %q, want the token", got)
	}
	if !(store.Token{Expires: time.Unix(10, 0)}).Live(time.Unix(9, 0)) {
		t.Error("a token is not live before it expires")
	}
}
