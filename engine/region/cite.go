package region

import "strings"

// usStandards begin the names of what is in force in the United States.
var usStandards = []string{"NFPA", "NEC ", "NDS", "ASME", "ANSI", "ASCE", "OSHA", "UL ", "IBC", "MSS", "RR-W", "29 CFR", "40 CFR"}

// OwnFirst returns a source in which what is in force in a region stands before
// what is not: the parts between "; " outside brackets, those of the United States
// last in every other region. Nothing is left out.
func OwnFirst(source, id string) string {
	if id == "us" || id == "" {
		return source
	}
	var own, other []string
	for _, part := range parts(source) {
		us := false
		for _, s := range usStandards {
			us = us || strings.HasPrefix(part, s)
		}
		if us {
			other = append(other, part)
		} else {
			own = append(own, part)
		}
	}
	return strings.Join(append(own, other...), "; ")
}

// parts cuts a source at every "; " outside brackets.
func parts(source string) []string {
	var out []string
	depth, from := 0, 0
	for i, r := range source {
		switch r {
		case '(':
			depth++
		case ')':
			depth--
		case ';':
			if depth == 0 && strings.HasPrefix(source[i:], "; ") {
				out = append(out, source[from:i])
				from = i + 2
			}
		}
	}
	return append(out, source[from:])
}
