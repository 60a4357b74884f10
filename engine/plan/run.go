package plan

import (
	"slices"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/cost"
	"roodbeam/engine/daylight"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/hanging"
	"roodbeam/engine/light"
	"roodbeam/engine/network"
	"roodbeam/engine/phase"
	"roodbeam/engine/preset"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// lossFactor is the maintenance factor of LED stage units in every illuminance
// that is held against a target: common practice 0.9 for dirt and ageing.
const lossFactor = 0.9

// Run derives everything from the documents. It never fails: what is missing or
// missed is among the findings. The same documents give the same results.
func Run(d Documents, book *finding.Book) Results {
	region := d.Profile.ID
	set := d.set()
	c := &collector{book: book, region: region}

	c.add(survey.Check(d.Survey, book, region))
	c.add(catalogue.Check(set, book))
	r := Results{Scheme: d.Scheme}
	var fs []finding.Finding
	r.Room, fs = room.Solve(d.Survey, book, region)
	c.add(fs)

	r.Placed, fs = scheme.Place(scheme.PlaceInput{
		Scheme: d.Scheme, Room: r.Room, Brief: d.Brief, Catalogue: set, Book: book, Region: region})
	c.add(fs)
	r.Lines = scheme.Used(scheme.Lines(r.Room, d.Brief), r.Placed)
	transport := d.transport(r.Room)
	var rays light.Rays // of this scheme, for all of its looks
	r.Light, fs = light.Evaluate(light.Input{
		Room: r.Room, Brief: d.Brief, Survey: d.Survey, Sources: scheme.Sources(r.Placed, set),
		Book: book, Region: region, LossFactor: lossFactor, Transport: transport, Catalogue: set,
		Today: d.today(r.Room, transport, book), Rays: &rays})
	c.add(fs)
	r.Daylight, fs = daylight.Evaluate(daylight.Input{
		Room: r.Room, Brief: d.Brief, Survey: d.Survey, Light: r.Light, Transport: transport,
		From: d.Today, Location: d.Location, Book: book, Region: region, Year: d.Year})
	c.add(fs)
	c.add(r.cameras(book, region))
	c.add(scheme.Check(scheme.CheckInput{
		Scheme: d.Scheme, Placed: r.Placed, Room: r.Room, Brief: d.Brief, Survey: d.Survey,
		Catalogue: set, Book: book, Region: region}))

	places := light.Places(light.Input{Room: r.Room, Survey: d.Survey, Sources: scheme.Sources(r.Placed, set), Transport: transport, Catalogue: set, Rays: &rays})
	r.Load, fs = electrical.Design(electrical.Input{
		Placed: r.Placed, Scheme: d.Scheme, Catalogue: set, Room: r.Room, Survey: d.Survey, Brief: d.Brief,
		Profile: d.Profile, Book: book, Answers: d.Answers, Labels: d.Labels, Light: places})
	c.add(fs)
	onOne := zonesOnOne(fs)
	r.Light, fs = light.Failed(r.Light, failGroups(r.Placed, r.Load), book, region)
	c.add(notSaid(fs, onOne))
	r.Hanging, fs = hanging.Check(hanging.Input{
		Placed: r.Placed, Scheme: d.Scheme, Catalogue: set, Room: r.Room, Survey: d.Survey, Brief: d.Brief,
		Profile: d.Profile, Book: book, Answers: d.Answers})
	c.add(fs)
	r.Network, fs = network.Route(network.Input{
		Placed: r.Placed, Scheme: d.Scheme, Catalogue: set, Room: r.Room, Survey: d.Survey, Brief: d.Brief,
		Book: book, Region: region, Conventions: d.Profile.Conventions, Pins: d.addresses(), Labels: d.Labels})
	c.add(fs)
	c.add(labelFindings(d.Labels, r, book))
	c.add(notes(d, r, book))
	r.Presets, fs = preset.Propose(preset.Input{
		Placed: r.Placed, Scheme: d.Scheme, Brief: d.Brief, Survey: d.Survey, Light: r.Light, Catalogue: set,
		Book: book, Region: region})
	c.add(fs)
	r.Looks = r.looks(d, transport, set, &rays)
	r.Estimate, fs = cost.Make(cost.Input{
		Placed: r.Placed, Scheme: d.Scheme, Brief: d.Brief, Survey: d.Survey, Catalogue: set, Load: r.Load,
		Hanging: r.Hanging, Network: r.Network, Own: d.Prices, Profile: d.Profile, Book: book})
	c.add(fs)
	r.Load.HouseJob = r.Load.HouseJob.PaidBy(houseCost(r.Estimate))
	c.add(r.Load.HouseJob.PaybackFinding(book, r.Estimate.Currency))
	r.Phases, fs = phase.Order(phase.Input{
		Brief: d.Brief, Survey: d.Survey, Scheme: d.Scheme, Placed: r.Placed, Load: r.Load, Hanging: r.Hanging,
		Network: r.Network, Estimate: r.Estimate, Findings: c.sorted(), Today: d.Today, Book: book, Region: region})
	c.add(fs)

	r.Findings = restOn(d, r, c.sorted())
	return r
}

// transport returns the room's interreflection.
func (d Documents) transport(r room.Room) *light.Transport {
	if d.Transport != nil {
		return d.Transport(r)
	}
	return light.NewTransport(r)
}

// zonesOnOne returns the circuit of every zone that hangs on one, by the subject
// of the finding that says so. That such a zone goes dark with its circuit is the
// same cause said again.
func zonesOnOne(fs []finding.Finding) map[string]string {
	out := map[string]string{}
	for _, f := range fs {
		if f.Code == "ELECTRICAL_ZONE_ONE_CIRCUIT" {
			out[f.Subject] = textArg(f, "circuit")
		}
	}
	return out
}

// notSaid leaves out that a zone goes dark with the circuit it is said to hang on.
func notSaid(dark []finding.Finding, onOne map[string]string) []finding.Finding {
	return slices.DeleteFunc(dark, func(f finding.Finding) bool {
		return onOne[f.Subject] != "" && textArg(f, "what") == "circuit "+onOne[f.Subject]
	})
}

// textArg returns a finding's argument of a name as text, empty without one.
func textArg(f finding.Finding, name string) string {
	for _, a := range f.Args {
		if a.Name == name {
			return a.Text
		}
	}
	return ""
}

// today returns the room as it stands: the finished one where nothing changes.
func (d Documents) today(finished room.Room, t *light.Transport, book *finding.Book) *light.Today {
	if !survey.Changes(d.Survey) {
		return &light.Today{Room: finished, Transport: t}
	}
	r, _ := room.SolveToday(d.Survey, book, d.Profile.ID)
	return &light.Today{Room: r, Transport: d.transport(r)}
}

// failGroups returns what may go dark at once: every unit, every circuit.
func failGroups(placed []scheme.Placed, load electrical.Plan) []light.Group {
	var out []light.Group
	for _, p := range placed {
		out = append(out, light.Group{What: "unit " + p.ID, Units: []string{p.ID}})
	}
	for _, c := range load.Circuits {
		if len(c.Units) > 1 {
			out = append(out, light.Group{What: "circuit " + c.Name, Units: c.Units})
		}
	}
	return out
}

// Propose returns the engine's own scheme for the documents: Scheme of d is what
// is kept of it (locked units). The same documents and seed give the same scheme.
func Propose(d Documents, seed uint64, book *finding.Book) (scheme.Scheme, []finding.Finding) {
	p := Plan(d, Search{Seed: seed}, book)
	return p.Scheme, p.Findings
}

// collector gathers the findings of all stages.
type collector struct {
	all    []finding.Finding
	book   *finding.Book
	region string
}

func (c *collector) add(fs []finding.Finding) { c.all = append(c.all, fs...) }

func (c *collector) sorted() []finding.Finding {
	out := c.book.Reduce(c.all)
	finding.Sort(out)
	for i := range out {
		out[i].Source = region.OwnFirst(out[i].Source, c.region)
	}
	return out
}
