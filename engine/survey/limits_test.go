package survey

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"roodbeam/engine/si"
)

// Lists at the limit, of nothing but contradictions, end with an answer or a clear
// refusal.
func TestHopelessListsEnd(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 3))
	star, tangle, chaos := strings.Builder{}, strings.Builder{}, strings.Builder{}
	for _, b := range []*strings.Builder{&star, &tangle, &chaos} {
		b.WriteString(listHead + "fixed,,s0,,0 0 m,\nfixed,,,s1,5 0 m,\n")
	}
	for i := 2; i < 1000; i++ {
		fmt.Fprintf(&star, "distance,s0,,s%d,%d m,3 mm\n", i, 1+i%20)
	}
	for range 4500 {
		if a, b := rnd.IntN(1100), rnd.IntN(1100); a != b {
			fmt.Fprintf(&tangle, "distance,s%d,,s%d,%.3f m,3 mm\n", a, b, 1+20*rnd.Float64())
		}
	}
	for range 90 {
		if a, b := rnd.IntN(15), rnd.IntN(15); a != b {
			fmt.Fprintf(&chaos, "distance,s%d,,s%d,%.3f m,3 mm\n", a, b, 1+20*rnd.Float64())
		}
	}
	lists := map[string]string{"star": star.String(), "chaos": chaos.String()}
	if full() { // some seconds long
		lists["tangle"] = tangle.String()
	}
	for name, text := range lists {
		l, err := ReadList(text, si.Metric)
		if err != nil {
			t.Fatal(name, err)
		}
		s, err := Adjust(l.Network, Options{})
		switch {
		case err != nil:
			t.Errorf("%s: %v", name, err)
		case name == "star":
			if got := s.Looseness(3); len(got) != 3 || len(got[0].Directions) == 0 {
				t.Errorf("star: %+v", got)
			}
		case !s.Unfinished && len(s.Tied) == 0:
			t.Errorf("chaos: removed %d and is content", len(s.Removed))
		}
	}
}

// Every kind of measurement of a document becomes what it says in the network.
func TestKindsOfADocument(t *testing.T) {
	angle := func(text string) si.Typed[si.Angle] {
		v, err := si.ParseAngle(text, si.Metric)
		if err != nil {
			t.Fatal(err)
		}
		return si.Typed[si.Angle]{Text: text, Value: v, Set: true}
	}
	s := Survey{Measurements: []Measurement{
		{ID: "slope", Kind: Slope, From: "a", To: "p", Value: typed(t, "7.31 m"), Angle: angle("34.5 deg"), Instrument: Laser},
		{ID: "angle", Kind: Angle, From: "a", At: "b", To: "c", Angle: angle("45-12-34")},
		{ID: "offset", Kind: Offset, From: "a", At: "b", To: "p", Value: typed(t, "2.10 m"), Instrument: SteelTape},
		{ID: "parallel", Kind: Parallel, From: "a", At: "b", To: "c", With: "d"},
		{ID: "drawn", Kind: Drawn, From: "a", To: "c", Value: typed(t, "12.00 m")},
		{ID: "again", Kind: Distance, From: "b", To: "c", Value: typed(t, "6.000 m"), Instrument: Laser, Repeats: []L{typed(t, "6.002 m"), typed(t, "5.999 m")}},
		{ID: "unclear", Kind: Slope, From: "a", To: "p", Value: typed(t, "7.31 m")},
		{ID: "itself", Kind: Parallel, From: "a", At: "a", To: "c", With: "d"},
	}}
	for _, n := range []string{"a", "b", "c", "d", "p"} {
		s.Stations = append(s.Stations, Station{Name: n})
	}
	b := Build(s)
	got := map[string]Observation{}
	for _, o := range b.Observations {
		got[o.ID] = o
	}
	for id, kind := range map[string]Kind{"slope": Distance, "slope inclination": Incline, "angle": Angle, "offset": Offset, "parallel": Parallel, "drawn": Distance,
		"again": Distance, "again reading 2": Distance, "again reading 3": Distance} {
		if o, ok := got[id]; !ok || o.Kind != kind || o.Sigma <= 0 {
			t.Errorf("%s: %+v", id, o)
		}
	}
	if len(got) != 9 || len(b.Problems) != 2 {
		t.Errorf("%d observations, problems %+v", len(got), b.Problems)
	}
	if o := got["drawn"]; o.Instrument != Drawing || o.Sigma < .05 {
		t.Errorf("a drawn dimension is %s ± %v", o.Instrument, o.Sigma)
	}
	if o := got["parallel"]; !o.Assumed || o.With == o.To {
		t.Errorf("parallel %+v", o)
	}
	if strings.Join(b.OnFloor, "") != "abcd" {
		t.Errorf("on the floor %v: p has its height from the slope", b.OnFloor)
	}
}

// Instruments in the order of their trust, at 8 m.
func TestInstrumentsByTrust(t *testing.T) {
	last := 0.0
	for _, i := range []Instrument{Laser, SteelTape, FibreTape, LaserEitherEnd, PhoneLidar, CountedTiles, Counted, PhoneAR, Guess} {
		s := float64(SigmaOf(i, si.Known(si.Length(8))))
		if s <= last {
			t.Errorf("%s: σ %v not above %v", i, s, last)
		}
		last = s
	}
}
