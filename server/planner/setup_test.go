package planner_test

import (
	"reflect"
	"sync"
	"testing"
	"time"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/clients/cli/churchfile"
	"roodbeam/engine/finding"
	"roodbeam/engine/light"
	"roodbeam/engine/plan"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/sheet"
	"roodbeam/engine/si"
	"roodbeam/server/convert"
	"roodbeam/server/render"
	"roodbeam/testdata/churches"
)

// today is the day all plans of these tests are made on.
var today = time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC)

// The schemes every demo church is planned with: the one entered by hand, and
// the engine's own.
const (
	byHand   = "hand"
	proposed = "proposed"
)

var schemes = []string{byHand, proposed}

var book = finding.NewBook()

// file is a demo church's file as the server keeps it.
func file(t testing.TB, church string) *pb.ChurchFile {
	t.Helper()
	raw, err := churches.Read(church)
	if err != nil {
		t.Fatal(err)
	}
	var f pb.ChurchFile
	if _, problems := churchfile.Decode(raw, &f); len(problems) > 0 {
		t.Fatalf("%s: %v", church, problems)
	}
	if vs := convert.NormaliseFile(&f); len(vs) > 0 {
		t.Fatalf("%s: %v", church, vs)
	}
	return &f
}

// documents are the engine's documents of a file with one of its schemes; with
// the name proposed, with the engine's own.
func documents(t testing.TB, f *pb.ChurchFile, scheme string) plan.Documents {
	t.Helper()
	name := scheme
	if scheme == proposed {
		name = byHand // not looked at below
	}
	d := convert.Documents(f, name)
	profile, ok := region.Get(d.Brief.Region)
	if !ok {
		t.Fatalf("no region %q", d.Brief.Region)
	}
	d.Profile, d.Today, d.Transport = profile, today, oneRoom()
	if scheme == proposed {
		d.Scheme = convert.SchemeToEngine(nil)
		d.Scheme, _ = plan.Propose(d, 0, book)
		d.Scheme.Name = proposed
	}
	return d
}

// oneRoom returns a source of interreflections that solves a room once as long as
// it is asked for the same one.
func oneRoom() func(room.Room) *light.Transport {
	var mu sync.Mutex
	var last room.Room
	var made *light.Transport
	return func(r room.Room) *light.Transport {
		mu.Lock()
		defer mu.Unlock()
		if made == nil || !reflect.DeepEqual(r, last) {
			last, made = r, light.NewTransport(r)
		}
		return made
	}
}

// demoPlan is a demo church planned with one of its schemes.
type demoPlan struct {
	file *pb.ChurchFile
	docs plan.Documents
	got  plan.Results
}

var (
	plansMu sync.Mutex
	plans   = map[string]demoPlan{}
)

// planned returns a demo church's plan, worked out once for all tests; they only
// read it.
func planned(t testing.TB, church, scheme string) demoPlan {
	t.Helper()
	plansMu.Lock()
	defer plansMu.Unlock()
	p, ok := plans[church+" "+scheme]
	if !ok {
		p.file = file(t, church)
		p.docs = documents(t, p.file, scheme)
		p.got = plan.Run(p.docs, book)
		plans[church+" "+scheme] = p
	}
	return p
}

// display is what the people of a church read.
func display(f *pb.ChurchFile) si.Display { return convert.DisplayOf(f.GetProject(), f.GetBrief()) }

// packet is the text of every sheet.
func packet(d plan.Documents, r plan.Results, show si.Display) []byte {
	return render.Values(sheet.Build(plan.SheetInput(d, r, book, plan.Issue{
		Revision: "1", Date: today.Format(time.DateOnly), Status: "for pricing", Display: show})))
}

// demos are the demo churches; in the short run, which the race detector slows down
// manifold, the one with most to find.
func demos() []string {
	if testing.Short() {
		return []string{"brick-meeting-house"}
	}
	return churches.Names()
}
