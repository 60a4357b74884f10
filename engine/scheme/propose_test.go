package scheme

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"
	"time"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

func propose(r room.Room, b brief.Brief, set catalogue.Set) ProposeInput {
	return ProposeInput{Room: r, Brief: b, Catalogue: set, Book: book, Region: "metric", Seed: 1}
}

func TestTmp(t *testing.T) {
	for _, f := range []func() (room.Room, brief.Brief){meetingHouse, shopUnit, schoolHall, aFrame} {
		r, b := f()
		for i := range b.Zones {
			b.Zones[i].BackLight = "wanted"
		}
		t0 := time.Now()
		s, fs := Propose(propose(r, b, testFixtures()))
		fmt.Println(time.Since(t0))
		for i, u := range s.Units {
			fmt.Printf("%s %s %.0f %s along %.2f zone %s face %s lvl %.0f %v | %s\n", u.ID, u.Fixture, u.FieldDeg, u.Line, u.Along.Value, u.Zone, u.Face, u.LevelPct, u.Accessories, s.Reasons[i].Text)
		}
		for _, f := range fs {
			fmt.Println(book.Render(f, si.Metric))
		}
		placed := mustPlace(t, s, r, b, testFixtures())
		for _, f := range Check(CheckInput{Scheme: s, Placed: placed, Room: r, Brief: b, Catalogue: testFixtures(), Book: book}) {
			fmt.Println("   ", f.Code, book.Render(f, si.Metric).Title, "|", book.Render(f, si.Metric).Text)
		}
		for _, x := range s.Passed[:min(len(s.Passed), 8)] {
			j, _ := json.Marshal(x)
			fmt.Println("   ", string(j))
		}
	}
	_ = math.Pi
	_ = geom.Vec{}
	_ = light.Source{}
}
