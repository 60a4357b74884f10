// Package churches holds the demo churches: rooms of our own invention, as
// files a user could write.
package churches

import (
	"embed"
	"fmt"
	"path"
	"sort"
	"strings"
)

//go:embed *.yaml
var files embed.FS

// Default is the church shown when none is named.
const Default = "brick-meeting-house"

// Names returns the demo churches in alphabetical order.
func Names() []string {
	entries, err := files.ReadDir(".")
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), path.Ext(e.Name())))
	}
	sort.Strings(names)
	return names
}

// Read returns the file of a church.
func Read(name string) ([]byte, error) {
	raw, err := files.ReadFile(name + ".yaml")
	if err != nil {
		return nil, fmt.Errorf("no demo church %q; there are: %s", name, strings.Join(Names(), ", "))
	}
	return raw, nil
}
