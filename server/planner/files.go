package planner

import (
	"context"
	"errors"
	"slices"
	"sync"

	"roodbeam/engine/photometry"
	"roodbeam/server/document"
	"roodbeam/server/store"
)

const (
	// mostFiles bounds the photometric files of one project.
	mostFiles = 200
	// cachedFiles bounds the files kept as read: a few projects' worth.
	cachedFiles = 256
)

// files keeps photometric files as read, by content hash. A file never changes,
// so that nothing kept can be stale.
type files struct {
	mu    sync.Mutex
	read  map[string]*photometry.File
	order []string // oldest first
}

func (f *files) get(hash string) *photometry.File {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.read[hash]
}

func (f *files) keep(hash string, file *photometry.File) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.read == nil {
		f.read = map[string]*photometry.File{}
	}
	if f.read[hash] != nil {
		return
	}
	if len(f.order) == cachedFiles {
		delete(f.read, f.order[0])
		f.order = f.order[1:]
	}
	f.read[hash] = file
	f.order = append(f.order, hash)
}

// Attach reads the photometric files that the project's fixtures name. One that
// is not stored or cannot be read is left out: the engine reports it. So is what
// a project names beyond 200 files.
func (p *Planner) Attach(ctx context.Context, proj *document.Project) error {
	proj.Photometry = map[string]*photometry.File{}
	for _, hash := range named(proj) {
		file, err := p.file(ctx, hash)
		if err != nil {
			return err
		}
		if file != nil {
			proj.Photometry[hash] = file
		}
	}
	return nil
}

// named returns the hashes that the project's beams name, sorted.
func named(proj *document.Project) []string {
	var out []string
	for _, f := range proj.File.GetFixtures() {
		for _, b := range f.GetBeams() {
			if b.GetFile() != "" {
				out = append(out, b.GetFile())
			}
		}
	}
	slices.Sort(out)
	out = slices.Compact(out)
	return out[:min(len(out), mostFiles)]
}

// file returns a photometric file, nil when it is not there or no such file.
func (p *Planner) file(ctx context.Context, hash string) (*photometry.File, error) {
	if f := p.files.get(hash); f != nil {
		return f, nil
	}
	h, err := store.ParseHash(hash)
	if err != nil {
		return nil, nil
	}
	b, err := p.Store.GetBlob(ctx, h)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	f, err := photometry.Read(b.Bytes)
	if err != nil {
		return nil, nil
	}
	p.files.keep(hash, f)
	return f, nil
}
