// Package web holds the built files of the web client.
package web

import (
	"embed"
	"io/fs"
)

// dist is what `npm run build` writes; it is committed, so that the server builds without Node.
//
//go:embed all:dist
var dist embed.FS

// Files returns the built files with index.html at their root.
func Files() fs.FS {
	files, err := fs.Sub(dist, "dist")
	if err != nil {
		// Cannot happen: fs.Sub fails on invalid names only, and the name is a constant.
		panic(err)
	}
	return files
}
