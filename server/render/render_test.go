package render

import (
	"os"
	"path/filepath"
	"testing"

	"roodbeam/engine/enginetest/sample"
	"roodbeam/engine/sheet"
)

func TestWriteForEyes(t *testing.T) {
	dir := os.Getenv("SHEET_OUT")
	if dir == "" {
		t.Skip("")
	}
	in := sample.MeetingHouse()
	raw, err := PDF(sheet.Build(in))
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(filepath.Join(dir, "p.pdf"), raw, 0o644)
	os.WriteFile(filepath.Join(dir, "plan.svg"), SVG(sheet.PlanScene(in)), 0o644)
	os.WriteFile(filepath.Join(dir, "v.txt"), Values(sheet.Build(in)), 0o644)
}
