// Package migrate reads the numbered SQL files of an engine.
package migrate

import (
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"strconv"
)

// Step is one change of the schema.
type Step struct {
	Number int // counted from 1 without gaps
	Title  string
	SQL    string
}

var fileName = regexp.MustCompile(`^(\d{4})_([a-z0-9_]+)\.sql$`)

// Steps returns the files of a folder, named like 0001_projects.sql, in order.
func Steps(fsys fs.FS, dir string) ([]Step, error) {
	files, err := fs.ReadDir(fsys, dir) // sorted by name
	if err != nil {
		return nil, err
	}
	var steps []Step
	for _, f := range files {
		m := fileName.FindStringSubmatch(f.Name())
		if m == nil {
			return nil, fmt.Errorf("migration %s: the name must be like 0001_title.sql", f.Name())
		}
		n, err := strconv.Atoi(m[1])
		if err != nil || n != len(steps)+1 {
			return nil, fmt.Errorf("migration %s: expected number %04d", f.Name(), len(steps)+1)
		}
		b, err := fs.ReadFile(fsys, path.Join(dir, f.Name()))
		if err != nil {
			return nil, err
		}
		steps = append(steps, Step{Number: n, Title: m[2], SQL: string(b)})
	}
	return steps, nil
}

// Pending returns the steps still to be taken on data where those in done (number to title) were taken. Data that
// has seen a step unknown here was written by a newer program and is refused, so that nothing is damaged.
func Pending(steps []Step, done map[int]string) ([]Step, error) {
	known := map[int]string{}
	var todo []Step
	for _, s := range steps {
		known[s.Number] = s.Title
		if _, ok := done[s.Number]; !ok {
			todo = append(todo, s)
		}
	}
	for n, title := range done {
		if known[n] != title {
			return nil, fmt.Errorf("the data has schema step %04d %s, which this program does not know: it was written by a newer one", n, title)
		}
	}
	return todo, nil
}
