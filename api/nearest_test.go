package api_test

import (
	"testing"

	"roodbeam/api"
)

func TestNearest(t *testing.T) {
	names := []string{"front left", "front right", "rear left", "rear right", "B1", "B2"}
	for _, c := range []struct{ given, want string }{
		{"frnt left", "front left"},
		{"Front Left", "front left"},
		{"rear rihgt", "rear right"}, // two letters that changed places
		{"B9", "B1"},                 // as near to B2: the first of the list
		{"b2", "B2"},
		{"pulpit", ""},
		{"", ""},
		{"X", ""},
	} {
		if got := api.Nearest(c.given, names); got != c.want {
			t.Errorf("Nearest(%q) = %q, want %q", c.given, got, c.want)
		}
	}
	if got := api.Nearest("a", nil); got != "" {
		t.Errorf("Nearest among no names = %q, want none", got)
	}
}
