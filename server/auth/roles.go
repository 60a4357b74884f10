// Package auth says who may do what: roles, secrets and the caller of a request.
package auth

import optionsv1 "roodbeam/api/gen/roodbeam/options/v1"

// Role is what a person is in a project, or on the whole server.
type Role string

// Roles. Designer and Manager run the project; the trades and leadership sign
// what is theirs; volunteers measure; viewers look. Admin is server-wide. The
// trades are named as findings name their owners.
const (
	Admin      Role = "admin"
	Viewer     Role = "viewer"
	Designer   Role = "designer"
	Manager    Role = "manager"
	Volunteer  Role = "volunteer"
	Electrical Role = "licensed electrician"
	Structural Role = "structural engineer"
	Rigging    Role = "qualified rigger"
	FireAlarm  Role = "fire-alarm contractor"
	LiftHire   Role = "lift hire firm"
	Hazards    Role = "hazardous-materials inspector"
	Leadership Role = "leadership"
)

// ProjectRoles are the roles a person may have in a project, in the order they
// are offered.
func ProjectRoles() []Role {
	return []Role{Viewer, Designer, Manager, Volunteer, Electrical, Structural, Rigging, FireAlarm, LiftHire, Hazards, Leadership}
}

// Valid tells whether r is a role within a project.
func (r Role) Valid() bool {
	for _, k := range ProjectRoles() {
		if k == r {
			return true
		}
	}
	return false
}

// Trade tells whether r signs for a trade that answers for people's safety; who
// holds it must say by what licence.
func (r Role) Trade() bool {
	switch r {
	case Electrical, Structural, Rigging, FireAlarm, LiftHire, Hazards:
		return true
	}
	return false
}

// Plans tells whether r designs or runs the project.
func (r Role) Plans() bool { return r == Designer || r == Manager }

// Allows tells whether a role within a project may call methods of a permission.
// Whatever is not named here is refused.
func (r Role) Allows(p optionsv1.Permission) bool {
	switch p {
	case optionsv1.Permission_PERMISSION_PROJECT_READ:
		return r == Admin || r.Valid()
	case optionsv1.Permission_PERMISSION_PROJECT_SURVEY:
		return r == Admin || (r.Valid() && r != Leadership && r != Viewer)
	case optionsv1.Permission_PERMISSION_PROJECT_DESIGN:
		return r == Admin || r == Designer || r == Manager
	case optionsv1.Permission_PERMISSION_PROJECT_MANAGE:
		return r == Admin || r == Manager || r == Designer
	case optionsv1.Permission_PERMISSION_PROJECT_SIGN:
		return r.Valid() && r != Volunteer && r != Viewer
	}
	return false
}

// MayClear tells whether a role may clear or sign a finding that owner owns:
// each trade its own, the designer and those who run the project what is the
// designer's or a volunteer's, leadership what is leadership's. Nobody clears
// for a trade, whatever they may do otherwise.
func (r Role) MayClear(owner string) bool {
	if !r.Valid() {
		return false
	}
	switch Role(owner) {
	case Designer, Volunteer:
		return r == Designer || r == Manager
	default:
		return string(r) == owner
	}
}
