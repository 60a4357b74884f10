package storetest_test

import (
	"os"
	"slices"
	"testing"
)

// TestSameMigrations holds that both engines take the same schema steps, by number and title.
func TestSameMigrations(t *testing.T) {
	read := func(dir string) (names []string) {
		files, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			names = append(names, f.Name())
		}
		return names
	}
	a, b := read("../sqlite/migrations"), read("../postgres/migrations")
	if len(a) == 0 || !slices.Equal(a, b) {
		t.Errorf("schema steps differ:\nsqlite   %v\npostgres %v", a, b)
	}
}
