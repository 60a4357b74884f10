package api_test

import (
	"fmt"
	"testing"

	"roodbeam/api"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
)

func TestEveryWordFindsItsNumber(t *testing.T) {
	for _, f := range files() {
		for i := range f.Enums().Len() {
			d := f.Enums().Get(i)
			if got, want := len(api.Words(d)), d.Values().Len()-1; got != want {
				t.Errorf("%s has %d words, want %d", d.Name(), got, want)
			}
			for j := 1; j < d.Values().Len(); j++ {
				n := d.Values().Get(j).Number()
				if got, ok := api.Number(d, api.Word(d, n)); !ok || got != n {
					t.Errorf("%s: Number(Word(%d)) = %d, %v", d.Name(), n, got, ok)
				}
			}
		}
	}
}

func TestNumber(t *testing.T) {
	d := roodbeamv1.FindingOwner(0).Descriptor()
	for _, c := range []struct {
		word string
		want roodbeamv1.FindingOwner
		ok   bool
	}{
		{"fire-alarm contractor", roodbeamv1.FindingOwner_FINDING_OWNER_FIRE_ALARM_CONTRACTOR, true},
		{" Leadership ", roodbeamv1.FindingOwner_FINDING_OWNER_LEADERSHIP, true},
		{"", 0, true},
		{"unspecified", 0, false},
		{"nobody", 0, false},
	} {
		if got, ok := api.Number(d, c.word); roodbeamv1.FindingOwner(got) != c.want || ok != c.ok {
			t.Errorf("Number(%q) = %d, %v, want %d, %v", c.word, got, ok, c.want, c.ok)
		}
	}
}

func ExampleWord() {
	k := roodbeamv1.HangingLineKind_HANGING_LINE_KIND_TENSION_ROD
	fmt.Println(api.Word(k.Descriptor(), k.Number()))
	// Output: tension_rod
}
