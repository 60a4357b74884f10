package survey

import (
	"roodbeam/engine/si"
	"roodbeam/server/convert"
	"roodbeam/server/document"
)

func displayOf(p *document.Project) si.Display {
	return convert.DisplayOf(p.File.GetProject(), p.File.GetBrief())
}
