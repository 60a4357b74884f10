package sheet

import (
	"fmt"
	"sort"
	"strings"

	"roodbeam/engine/network"
)

var _ = register(Kind{Code: "P10", Order: 100, Title: "Data sheet", Reader: "electrician, technical volunteer", Words: electricalWords, Fill: dataSheet})

func dataSheet(in *Input, page Page) Sheet {
	_, _, w, h := page.Frame()
	n := in.Network
	blocks := []Block{
		{Span: true, Facts: []Fact{
			{"data branches in use", quantity(float64(n.Splitter.Used))},
			{"splitter outputs spare", quantity(float64(n.Splitter.Spare))},
			{"cable in all branches, slack included", in.both(n.TotalCableM)},
			{"units with an address", quantity(float64(len(n.Addresses)))},
		}},
	}
	for from := 0; from < len(n.Branches); {
		// As many branches as one page holds, so that no diagram is cut.
		to := from + 1
		s := in.riserScene(n.Branches[from:to], w)
		for to < len(n.Branches) {
			next := in.riserScene(n.Branches[from:to+1], w)
			if next.HeightMM > h-50 {
				break
			}
			s, to = next, to+1
		}
		blocks = append(blocks, Block{Span: true, Drawing: &s})
		from = to
	}
	blocks = append(blocks,
		Block{Span: true, Heading: "Branches"}, Block{Span: true, Table: in.branchTable()},
		Block{Heading: "Addresses"}, Block{Table: in.addressTable()},
		Block{Heading: "Universes"}, Block{Table: in.universeTable()},
		Block{Bullets: []string{
			"One chain from each output, unit to unit; no cable splits without a splitter. The last unit of each branch carries a terminator of 120 Ω (ANSI E1.11).",
			"Data cables keep off mains cables; both ends carry the branch's name and the unit's number.",
			"Test each branch before anything is closed, and again by unplugging one branch while the others run.",
		}})
	return Sheet{Columns: 2, Blocks: blocks}
}

func (in *Input) branchTable() *Table {
	t := &Table{Name: "data_branches", Heads: []string{"Branch", "Line", "Units in cable order", "Runs", "Slack", "Length", "±", "Unit loads", "Terminator at", "Stage"}, Align: "llllrrrrll"}
	for _, b := range in.Network.Branches {
		var legs []string
		for _, l := range b.Legs {
			legs = append(legs, joinWords(" ", l.Along, in.length(l.LengthM)))
		}
		t.Rows = append(t.Rows, []string{b.Name, b.Line, strings.Join(b.Units, " → "), strings.Join(legs, " + "), in.length(b.SlackM), in.both(b.LengthM), in.length(b.SigmaM),
			fmt.Sprint(b.UnitLoads), orText(b.Terminate, "last unit"), b.Phase})
	}
	return t
}

func (in *Input) addressTable() *Table {
	t := &Table{Name: "addresses", Heads: []string{"Universe", "Start", "End", "Slots", "Unit", "Type", "Branch, place", "Fixed by a label", "Set"}, Align: "rrrrlllll"}
	as := append([]network.Address(nil), in.Network.Addresses...)
	sort.SliceStable(as, func(i, j int) bool {
		if as[i].Universe != as[j].Universe {
			return as[i].Universe < as[j].Universe
		}
		return as[i].Start < as[j].Start
	})
	types := map[string]string{}
	for _, u := range in.Placed {
		types[u.ID] = in.fixtureName(u.Fixture)
	}
	for _, a := range as {
		branch, pinned := "open", ""
		if i, ok := in.lookups().branch[a.Unit]; ok {
			branch = fmt.Sprintf("%s, %d", in.Network.Branches[i].Name, in.lookups().order[a.Unit])
		}
		if a.Pinned {
			pinned = "yes"
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(a.Universe), fmt.Sprint(a.Start), fmt.Sprint(a.End), fmt.Sprint(a.Slots), a.Unit, types[a.Unit], branch, pinned, "☐"})
	}
	return t
}

func (in *Input) universeTable() *Table {
	t := &Table{Name: "universes", Heads: []string{"Universe", "Slots used", "Slots free", "Share used"}, Align: "rrrr"}
	for _, u := range in.Network.Universes {
		t.Rows = append(t.Rows, []string{fmt.Sprint(u.Number), fmt.Sprint(u.Used), fmt.Sprint(u.Free), number(u.UsedPct, 0, "%")})
	}
	return t
}
