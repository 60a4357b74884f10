package store

import (
	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Fold returns s in the form in which folded texts are compared: compatibility-composed (NFKC) and case-folded
// as Unicode defines it, in no language in particular. Accents count.
func Fold(s string) string {
	// Folding may break the composition again, so it is composed once more.
	return norm.NFKC.String(cases.Fold().String(norm.NFKC.String(s)))
}
