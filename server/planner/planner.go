// Package planner loads a project's documents and runs the engine on them, with
// a bounded cache keyed by what the results rest on.
package planner

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"runtime"
	"strings"
	"sync"
	"time"
	_ "time/tzdata" // churches' zones, also where the machine has no table of them

	"github.com/google/uuid"
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/network"
	"roodbeam/engine/plan"
	"roodbeam/engine/region"
	"roodbeam/engine/scheme"
	"roodbeam/engine/sheet"
	"roodbeam/engine/si"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/limit"
	"roodbeam/server/store"
)

// Reader is what a Planner needs of the store.
type Reader interface {
	Documents(ctx context.Context, project uuid.UUID) (store.State, error)
	GetBlob(ctx context.Context, h store.Hash) (store.Blob, error)
	History(ctx context.Context, project uuid.UUID, q store.HistoryQuery, page store.Page) (store.HistoryPage, error)
}

// cacheSize bounds the results kept: a handful of projects being worked on, a
// few schemes each.
const cacheSize = 64

// Planner runs the engine.
type Planner struct {
	Store Reader
	Book  *finding.Book
	Now   func() time.Time
	// PictureWidthPx is the width of the pictures of the room; 0: 800.
	PictureWidthPx int

	mu    sync.Mutex
	cache map[string]*Run
	order []string // oldest first

	rooms *transports
	years *years
	files files

	// gate bounds the engine's runs, long the searches among them, so that runs
	// for readers get through beside; flight makes one run of the same.
	gate, long *limit.Gate
	flight     limit.Flight[*Run]
	run        func(plan.Documents, *finding.Book) plan.Results
}

// queued is how many runs may wait for each that runs: at about a second a run
// nobody waits longer than a client would.
const queued = 16

// New returns a planner.
func New(st Reader, now func() time.Time) *Planner {
	n := max(runtime.GOMAXPROCS(0), 2)
	return &Planner{Store: st, Book: finding.NewBook(), Now: now, cache: map[string]*Run{}, rooms: &rooms, years: &seasons, run: plan.Run,
		gate: limit.NewGate("plans", n, n*queued, 5*time.Second), long: limit.NewGate("searches", n-1, n*queued, 10*time.Second)}
}

// Enter waits for room to use the engine beside Run, as drawing a packet does;
// leave makes the room free again. Nothing that runs a plan may be called
// between. *limit.Exceeded when too many wait already.
func (p *Planner) Enter(ctx context.Context) (leave func(), err error) { return p.gate.Enter(ctx) }

// EnterLong is Enter for what may take long, such as a search. It leaves room
// for others.
func (p *Planner) EnterLong(ctx context.Context) (leave func(), err error) {
	first, err := p.long.Enter(ctx)
	if err != nil {
		return nil, err
	}
	second, err := p.gate.Enter(ctx)
	if err != nil {
		first()
		return nil, err
	}
	return func() { second(); first() }, nil
}

// Run is what the engine made of one project and scheme. It is shared between
// requests and must not be changed.
type Run struct {
	Documents plan.Documents
	Results   plan.Results
	InputHash string
	Display   si.Display

	pictureWidthPx int
	drawn          sync.Once
	pictures       []sheet.Picture
}

// Pictures returns the views of the room, drawn at the first call.
func (r *Run) Pictures() []sheet.Picture {
	r.drawn.Do(func() { r.pictures = plan.Pictures(r.Documents, r.Results, r.pictureWidthPx) })
	return r.pictures
}

// NoScheme says that a project has no scheme of the name asked for, and which it
// has.
type NoScheme struct {
	Name string
	Has  []string
}

// NoSchemeOf is the error of a name that proj has no scheme of.
func NoSchemeOf(proj *document.Project, name string) *NoScheme {
	e := &NoScheme{Name: name}
	for _, s := range proj.File.GetSchemes() {
		e.Has = append(e.Has, s.GetName())
	}
	return e
}

func (e *NoScheme) Error() string { return e.Missing() }

// Missing tells the caller what is not there.
func (e *NoScheme) Missing() string {
	switch {
	case e.Name == "":
		return "scheme not found: this project has none yet; propose or write one first"
	case len(e.Has) == 0:
		return fmt.Sprintf("scheme %q not found: this project has none yet; propose or write one first", e.Name)
	}
	return fmt.Sprintf("scheme %q not found; this project has: %s", e.Name, strings.Join(e.Has, ", "))
}

// Is makes a missing scheme a missing thing.
func (e *NoScheme) Is(target error) bool { return target == store.ErrNotFound }

// Load reads a project.
func (p *Planner) Load(ctx context.Context, project string) (*document.Project, error) {
	id, err := uuid.Parse(project)
	if err != nil {
		return nil, &store.Invalid{Field: "project_id", Reason: "must be a UUID"}
	}
	s, err := p.Store.Documents(ctx, id)
	if err != nil {
		return nil, err
	}
	proj, err := document.Assemble(s)
	if err != nil {
		return nil, err
	}
	if err := p.authors(ctx, proj, s); err != nil {
		return nil, err
	}
	return proj, p.Attach(ctx, proj)
}

// Run returns the results of a project with its scheme of that name; an empty
// name means the chosen one, else the one written last, else an empty scheme.
func (p *Planner) Run(proj *document.Project, scheme string) (*Run, error) {
	s := proj.Scheme(scheme)
	if s == nil && scheme != "" {
		return nil, NoSchemeOf(proj, scheme)
	}
	if s == nil {
		s = &pb.Scheme{}
	}
	return p.RunWith(proj, s)
}

// RunWith returns the results of a project with a scheme that need not be stored.
func (p *Planner) RunWith(proj *document.Project, scheme *pb.Scheme) (*Run, error) {
	today := p.Now().UTC().Truncate(24 * time.Hour)
	hash, err := inputHash(proj, scheme, today)
	if err != nil {
		return nil, err
	}
	if r := p.cached(hash); r != nil {
		return r, nil
	}
	return p.flight.Do(hash, func() (*Run, error) {
		if r := p.cached(hash); r != nil { // made since it was looked for
			return r, nil
		}
		docs, err := p.Documents(proj, scheme)
		if err != nil {
			return nil, err
		}
		// Not bound to one caller's context: others may wait for the same run, and
		// the result is kept.
		leave, err := p.gate.Enter(context.Background())
		if err != nil {
			return nil, err
		}
		defer leave()
		r := &Run{pictureWidthPx: p.PictureWidthPx, Documents: docs, Results: p.run(docs, p.Book), InputHash: hash,
			Display: convert.DisplayOf(proj.File.GetProject(), proj.File.GetBrief())}
		p.keep(hash, r)
		return r, nil
	})
}

// Documents returns the engine's documents of a project with a scheme.
func (p *Planner) Documents(proj *document.Project, s *pb.Scheme) (plan.Documents, error) {
	file := proto.CloneOf(proj.File)
	file.Schemes = []*pb.Scheme{s}
	d := convert.Documents(file, s.GetName())
	profile, ok := region.Get(d.Brief.Region)
	if !ok {
		return d, &store.Invalid{Field: "brief.region", Reason: fmt.Sprintf("%q is not a region profile of this server", d.Brief.Region)}
	}
	d.Profile = profile
	d.Today = p.Now().UTC().Truncate(24 * time.Hour)
	// An unknown zone leaves it nil; the daylight then says that it takes UTC.
	if zone, err := time.LoadLocation(d.Zone); err == nil {
		d.Location = zone
	}
	d.Transport = p.rooms.of
	d.Year = p.years.of
	for _, a := range proj.Answers {
		d.Answers = append(d.Answers, electrical.Answer{Question: a.GetAnswer().GetQuestion(), Text: a.GetAnswer().GetText(),
			By: a.GetAnswer().GetBy(), Written: a.GetAnswer().GetWritten(), Day: a.GetAnswer().GetDay()})
	}
	d.Files = proj.Photometry
	d.Pins, d.Labels = map[string]network.Address{}, map[string]scheme.Label{}
	for unit, pin := range proj.Pins {
		d.Pins[unit] = network.Address{Unit: unit, Universe: int(pin.GetUniverse()), Start: int(pin.GetStart()),
			Slots: int(pin.GetSlots()), End: int(pin.GetStart() + pin.GetSlots() - 1), Pinned: true}
		if pin.GetSlots() == 0 {
			delete(d.Pins, unit)
		}
		d.Labels[unit] = scheme.Label{Unit: unit, Fixture: pin.GetFixture(), Line: pin.GetLine(), Circuit: pin.GetCircuit(), Leg: pin.GetLeg(), Panel: pin.GetPanel(),
			Branch: pin.GetBranch(), Place: int(pin.GetPlace()), Universe: int(pin.GetUniverse()), Start: int(pin.GetStart()), Slots: int(pin.GetSlots()), Retired: pin.GetRetired()}
	}
	return d, nil
}

func (p *Planner) cached(hash string) *Run {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.cache[hash]
}

func (p *Planner) keep(hash string, r *Run) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if _, ok := p.cache[hash]; ok {
		return
	}
	if len(p.order) == cacheSize {
		delete(p.cache, p.order[0])
		p.order = p.order[1:]
	}
	p.cache[hash] = r
	p.order = append(p.order, hash)
}

// inputHash covers everything results rest on: documents, scheme, the
// photometric files at hand, pins, the engine and the day.
func inputHash(proj *document.Project, scheme *pb.Scheme, today time.Time) (string, error) {
	h := sha256.New()
	fmt.Fprintf(h, "%s|%s|", plan.Version, today.Format(time.DateOnly))
	write := func(m proto.Message) error {
		raw, err := proto.MarshalOptions{Deterministic: true}.Marshal(m)
		fmt.Fprintf(h, "%d|", len(raw))
		h.Write(raw)
		return err
	}
	file := proto.CloneOf(proj.File)
	file.Schemes = []*pb.Scheme{scheme}
	if err := write(file); err != nil {
		return "", err
	}
	for _, hash := range sortedKeys(proj.Photometry) {
		fmt.Fprintf(h, "%s|", hash)
	}
	for _, unit := range sortedKeys(proj.Pins) {
		if err := write(proj.Pins[unit]); err != nil {
			return "", err
		}
	}
	for _, a := range proj.Answers {
		if err := write(a); err != nil {
			return "", err
		}
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
