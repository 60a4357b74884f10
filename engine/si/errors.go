package si

import (
	"fmt"
	"strings"
)

// ParseError says why a text was refused and what would be understood.
type ParseError struct {
	Text     string // as typed
	Quantity string // "length", "mass" …
	Reason   string // what is wrong with it
	Examples []string
}

// Error returns the refusal for people.
func (e *ParseError) Error() string {
	return fmt.Sprintf("%q is not a %s that can be read: %s; write for example %s",
		e.Text, e.Quantity, e.Reason, strings.Join(e.Examples, " or "))
}

// AmbiguousError says that a text can be read in more than one way; a person
// must say which is meant.
type AmbiguousError struct {
	Text     string
	Quantity string
	Reason   string
	// Readings are the values a length could have; empty for other quantities.
	Readings []Reading[Length]
	// Options are all readings as a person would write them.
	Options []string
}

// Error returns the question for people.
func (e *AmbiguousError) Error() string {
	return fmt.Sprintf("%q can be read in more than one way (%s): write %s",
		e.Text, e.Reason, strings.Join(e.Options, " or "))
}
