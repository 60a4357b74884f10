package network

import (
	"fmt"
	"sort"
)

// Slots of one universe: 512 data slots follow the start code (ANSI E1.11).
const universeSlots = 512

// planUniverseSlots is how many of the 512 are given out before a second
// universe is opened (common practice: one universe up to 400 used slots).
const planUniverseSlots = 400

// addressGapShare is left free behind a branch's block for later units (common
// practice: 25 %).
const addressGapShare = 0.25

// maxUniverses bounds the search; no room comes near it.
const maxUniverses = 64

// clash is two devices on the same slot, or one beyond the end.
type clash struct {
	a, b     string
	universe int
	slot     int
}

// book keeps which device holds each slot.
type book struct {
	slots map[int]*[universeSlots + 1]string
	used  map[int]int
}

func newBook() *book { return &book{map[int]*[universeSlots + 1]string{}, map[int]int{}} }

func (b *book) universe(u int) *[universeSlots + 1]string {
	if b.slots[u] == nil {
		b.slots[u] = &[universeSlots + 1]string{}
	}
	return b.slots[u]
}

// free tells whether n slots from start are inside the universe and unused.
func (b *book) free(u, start, n int) bool {
	if start < 1 || start+n-1 > universeSlots {
		return false
	}
	s := b.universe(u)
	for i := start; i < start+n; i++ {
		if s[i] != "" {
			return false
		}
	}
	return true
}

func (b *book) take(u, start, n int, id string) {
	s := b.universe(u)
	for i := max(start, 1); i < start+n && i <= universeSlots; i++ {
		if s[i] == "" {
			s[i] = id
			b.used[u]++
		}
	}
}

// last returns the highest slot in use of a universe, 0 for none.
func (b *book) last(u int) int {
	s := b.universe(u)
	for i := universeSlots; i > 0; i-- {
		if s[i] != "" {
			return i
		}
	}
	return 0
}

// addressing is the outcome of assign.
type addressing struct {
	addresses  []Address
	overlaps   []clash
	crossing   []Address
	pinDiffers []string
	mixed      []string // branches whose fixed units are on two universes
	none       []string // units for which no room was found
	universe   map[string]int
}

// assign gives every device with slots a start address. Pinned addresses and,
// after them, the designer's own stay exactly where they are; the rest follow
// branch by branch, in cable order, from round tens with a gap behind each
// branch. A branch carries one universe.
func assign(gs []group, orders [][]int, pins map[string]Address) addressing {
	out := addressing{universe: map[string]int{}}
	b := newBook()
	fixed := map[string]Address{}
	out.fix(gs, pins, b, fixed)
	cursor := map[int]int{} // first slot after the last block with its gap
	for gi, g := range gs {
		u := 0
		var loose []device
		need := 0
		for _, i := range orders[gi] {
			d := g.devices[i]
			if a, ok := fixed[d.id]; ok {
				if u != 0 && u != a.Universe {
					out.mixed = append(out.mixed, g.name)
				}
				if u == 0 {
					u = a.Universe
				}
				continue
			}
			if d.slots > 0 {
				loose = append(loose, d)
				need += d.slots
			}
		}
		if need > 0 {
			u = out.placeBlock(b, cursor, u, loose, need)
		}
		out.universe[g.name] = u
	}
	sort.Slice(out.addresses, func(i, j int) bool {
		x, y := out.addresses[i], out.addresses[j]
		if x.Universe != y.Universe {
			return x.Universe < y.Universe
		}
		if x.Start != y.Start {
			return x.Start < y.Start
		}
		return x.Unit < y.Unit
	})
	return out
}

// fix enters the pinned addresses first and then those the designer typed.
func (out *addressing) fix(gs []group, pins map[string]Address, b *book, fixed map[string]Address) {
	pinned := make([]string, 0, len(pins))
	for id := range pins {
		pinned = append(pinned, id)
	}
	sort.Strings(pinned)
	present := map[string]device{}
	for _, g := range gs {
		for _, d := range g.devices {
			present[d.id] = d
		}
	}
	enter := func(d device, u, start int, isPin bool) {
		a := Address{Unit: d.id, Universe: u, Start: start, Slots: d.slots, End: start + max(d.slots, 1) - 1, Pinned: isPin}
		if p := pins[d.id]; isPin && p.Slots > d.slots {
			a.Slots, a.End = p.Slots, start+p.Slots-1
		}
		fixed[d.id] = a
		out.addresses = append(out.addresses, a)
		if a.Start < 1 || a.End > universeSlots {
			out.crossing = append(out.crossing, a)
		}
		s := b.universe(u)
		told := map[string]bool{}
		for i := max(a.Start, 1); i <= min(a.End, universeSlots); i++ {
			if s[i] != "" && !told[s[i]] {
				told[s[i]] = true
				out.overlaps = append(out.overlaps, clash{s[i], d.id, u, i})
			}
		}
		b.take(u, a.Start, a.End-a.Start+1, d.id)
	}
	for _, id := range pinned {
		p := pins[id]
		d, ok := present[id]
		if !ok {
			// The label is glued on a unit this option does not show: keep its
			// slots free.
			b.take(max(p.Universe, 1), p.Start, max(p.Slots, 1), id)
			continue
		}
		if d.slots > p.Slots && p.Slots > 0 && !b.canGrow(pins, p, d.slots) {
			// A type that takes more slots no longer fits in its place; that stays
			// empty, since the label may still be on the wall.
			b.take(max(p.Universe, 1), p.Start, p.Slots, id)
			continue
		}
		if a := d.unit.Address; a != 0 && (a != p.Start || max(d.unit.Universe, 1) != max(p.Universe, 1)) {
			out.pinDiffers = append(out.pinDiffers, id)
		}
		enter(d, max(p.Universe, 1), p.Start, true)
	}
	for _, g := range gs {
		for _, d := range g.devices {
			if _, isPinned := fixed[d.id]; isPinned || d.unit.Address == 0 {
				continue
			}
			enter(d, max(d.unit.Universe, 1), d.unit.Address, false)
		}
	}
}

// placeBlock addresses a branch's devices one after the other, and returns
// their universe; only is the universe the branch already carries, 0 for none.
func (out *addressing) placeBlock(b *book, cursor map[int]int, only int, ds []device, need int) int {
	first, last := 1, maxUniverses
	if only != 0 {
		first, last = only, only
	}
	for u := first; u <= last; u++ {
		if only == 0 && b.used[u] > 0 && b.used[u]+need > planUniverseSlots {
			continue
		}
		start, ok := blockStart(b, u, max(cursor[u], b.last(u)+1), need)
		if !ok {
			continue
		}
		for _, d := range ds {
			out.put(b, d, u, start)
			start += d.slots
		}
		cursor[u] = start + int(float64(need)*addressGapShare)
		return u
	}
	// No unbroken block: device by device into any gap.
	placed := only
	for _, d := range ds {
		done := false
		for u := first; u <= last && !done; u++ {
			for s := 1; s+d.slots-1 <= universeSlots; s++ {
				if b.free(u, s, d.slots) {
					out.put(b, d, u, s)
					done = true
					if placed == 0 {
						placed, first, last = u, u, u
					}
					break
				}
			}
		}
		if !done {
			out.none = append(out.none, d.id)
		}
	}
	return placed
}

func (out *addressing) put(b *book, d device, u, start int) {
	b.take(u, start, d.slots, d.id)
	out.addresses = append(out.addresses, Address{Unit: d.id, Universe: u, Start: start, Slots: d.slots, End: start + d.slots - 1})
}

// blockStart looks for n free slots: from the next round ten (1, 11, 21 …)
// after from, then from any round ten, then anywhere.
func blockStart(b *book, u, from, n int) (int, bool) {
	tens := max((from+8)/10*10+1, 1)
	for s := tens; s+n-1 <= universeSlots; s += 10 {
		if b.free(u, s, n) {
			return s, true
		}
	}
	for s := 1; s+n-1 <= universeSlots; s += 10 {
		if b.free(u, s, n) {
			return s, true
		}
	}
	for s := 1; s+n-1 <= universeSlots; s++ {
		if b.free(u, s, n) {
			return s, true
		}
	}
	return 0, false
}

// universes sums the slots in use, without counting a slot twice.
func universes(as []Address) []Universe {
	used := map[int]*[universeSlots + 1]bool{}
	for _, a := range as {
		if used[a.Universe] == nil {
			used[a.Universe] = &[universeSlots + 1]bool{}
		}
		for i := max(a.Start, 1); i < a.Start+a.Slots && i <= universeSlots; i++ {
			used[a.Universe][i] = true
		}
	}
	var out []Universe
	for n, slots := range used {
		u := Universe{Number: n}
		for _, in := range slots {
			if in {
				u.Used++
			}
		}
		u.Free = universeSlots - u.Used
		u.UsedPct = 100 * float64(u.Used) / universeSlots
		out = append(out, u)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Number < out[j].Number })
	return out
}

// String writes the address for people, "universe 1, slots 51–58".
func (a Address) String() string {
	return fmt.Sprintf("universe %d, slots %d–%d", a.Universe, a.Start, a.End)
}

// canGrow tells whether a labelled device may take n slots from its start without
// touching another label's.
func (b *book) canGrow(pins map[string]Address, p Address, n int) bool {
	if p.Start+n-1 > universeSlots {
		return false
	}
	for _, q := range pins {
		if q.Unit != p.Unit && max(q.Universe, 1) == max(p.Universe, 1) && q.Start < p.Start+n && p.Start < q.Start+max(q.Slots, 1) {
			return false
		}
	}
	return true
}
