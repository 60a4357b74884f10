package scheme

import (
	"fmt"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

func TestTmp(t *testing.T) {
	for k, f := range []func() (room.Room, brief.Brief){meetingHouse, twentyUnits, schoolHall, aFrame, shopUnit} {
		r, b := f()
		set := catalogue.NewSet(catalogue.Generic(), nil)
		b.Money.Currency = "USD"
		if k == 0 {
			set = testFixtures()
			b.Money.Currency = "XTS"
		}
		s, fs := Propose(ProposeInput{Room: r, Brief: b, Catalogue: set, Book: book, Seed: 1})
		for _, u := range s.Units {
			fmt.Printf("%s %s %.0f %s along %.2f zone %s face %s lvl %.0f %v ax %.2f\n", u.ID, u.Fixture, u.FieldDeg, u.Line, u.Along.Value, u.Zone, u.Face, u.LevelPct, u.Accessories, u.AimX.Value)
		}
		placed := mustPlace(t, s, r, b, set)
		for _, f := range append(fs, Check(CheckInput{Scheme: s, Placed: placed, Room: r, Brief: b, Catalogue: set, Book: book})...) {
			fmt.Println("   ", f.Code, book.Render(f, si.Metric).Title, "|", book.Render(f, si.Metric).Text)
		}
		rep, lf := light.Evaluate(light.Input{Room: r, Brief: b, Sources: Sources(placed, set), Book: book})
		for _, z := range rep.Zones {
			fmt.Printf("   zone %s avg %.0f min %.0f key %.0f even %.2f target %.0f back %.0f L %.0f R %.0f\n", z.Name, z.AverageLx, z.MinLx, z.KeyLx, z.Evenness, z.TargetLx, z.BackLx, z.FromLeftLx, z.FromRightLx)
		}
		for _, f := range lf {
			if f.Severity > 1 {
				fmt.Println("   L ", f.Code, book.Render(f, si.Metric).Title, "|", book.Render(f, si.Metric).Text)
			}
		}
		if k == 1 || k == 0 {
			for _, x := range s.Reasons[:3] {
				fmt.Println(x.Text)
			}
		}
	}
}
