package light

// LookReport is what one look gives: the same quantities as a scheme's report,
// with the house lights that stay at the look's level, without the lists that do
// not depend on levels (units, mirrors, sun, windows, things to keep clear, house
// power) and without the faces and the map.
type LookReport struct {
	Name     string
	HousePct float64 // of the house lights that stay
	Light    Report
}

// EvaluateLook returns what a look gives: the sources of the input are at the
// look's own levels, and the existing lights that stay after the works shine
// with a share of their light in percent. groups are what may go dark at once.
func EvaluateLook(in Input, name string, housePct float64, groups []Group) LookReport {
	in.Book = nil
	stay := gathered(HouseSources(in.Room, in.Survey, in.Catalogue, true))
	for _, s := range stay {
		s.Level *= housePct / 100
		in.Sources = append(in.Sources[:len(in.Sources):len(in.Sources)], s)
	}
	rep, _ := evaluate(in, true)
	rep, _ = Failed(rep, groups, nil, "")
	for i := range rep.Zones {
		rep.Zones[i].Faces = nil
	}
	if len(stay) > 0 {
		rep.Limits = append(rep.Limits, "House lights that stay shine all round from their surveyed places, or spread under the ceiling where none are surveyed.")
	}
	return LookReport{Name: name, HousePct: housePct, Light: rep}
}

// LookInput is one look for EvaluateLooks.
type LookInput struct {
	Input    Input
	Name     string
	HousePct float64
	Groups   []Group
}

// EvaluateLooks returns EvaluateLook of every input, in their order, on all cores.
func EvaluateLooks(in []LookInput) []LookReport {
	out := make([]LookReport, len(in))
	parallel(len(in), func(i int) { out[i] = EvaluateLook(in[i].Input, in[i].Name, in[i].HousePct, in[i].Groups) })
	return out
}
