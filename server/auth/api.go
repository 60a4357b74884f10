package auth

import (
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// RoleToAPI returns the API's role; UNSPECIFIED for the administrator, who has
// none within a project.
func RoleToAPI(r Role) pb.Role {
	if !r.Valid() {
		return pb.Role_ROLE_UNSPECIFIED
	}
	return pb.Role(pb.Role_value["ROLE_"+strings.ToUpper(apiWords.Replace(string(r)))])
}

// RoleFromAPI returns the role an API value stands for; empty for none.
func RoleFromAPI(v pb.Role) Role {
	for _, r := range ProjectRoles() {
		if RoleToAPI(r) == v {
			return r
		}
	}
	return ""
}

var apiWords = strings.NewReplacer(" ", "_", "-", "_")
