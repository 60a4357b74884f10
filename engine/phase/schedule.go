package phase

import (
	"fmt"
	"sort"
)

// Activity is one node of a network: its duration in whole units and what must
// be done before it.
type Activity struct {
	ID    string
	Units int
	Needs []string
}

// Timing is an activity's place in the network, in units from the start: early
// start and finish, late start and finish, total and free float.
type Timing struct{ ES, EF, LS, LF, TF, FF int }

// CriticalPath returns the timing of every activity, in the order given, and
// the length of the network, by a forward and a backward pass. Unknown needs
// are ignored. A cycle is an error that names one activity on it.
//
// Source: critical path method, J. E. Kelley and M. R. Walker, Critical-path
// planning and scheduling, 1959 (from memory).
func CriticalPath(acts []Activity) ([]Timing, int, error) {
	nodes := make([]node, len(acts))
	for i, a := range acts {
		nodes[i] = node{id: a.ID, units: a.Units, needs: a.Needs, open: always}
	}
	order, err := topological(nodes)
	if err != nil {
		return nil, 0, err
	}
	t, finish, _ := schedule(nodes, order, 0)
	return t, finish, nil
}

// node is an activity on a calendar: it is worked on in open slots only, and
// not before its earliest slot.
type node struct {
	id       string
	units    int
	needs    []string
	open     func(slot int) bool
	earliest int
}

func always(int) bool { return true }

// horizonSlots bounds the calendar: a node that finds no room within it after
// its needs are met is left unplaced. Three slots a day for eight years.
const horizonSlots = 3 * 366 * 8

// topological returns an order in which every node comes after its needs, the
// earliest given first.
func topological(nodes []node) ([]int, error) {
	index := make(map[string]int, len(nodes))
	for i, n := range nodes {
		index[n.id] = i
	}
	left := make([]int, len(nodes))
	next := make([][]int, len(nodes))
	for i, n := range nodes {
		for _, need := range n.needs {
			if j, ok := index[need]; ok {
				left[i]++
				next[j] = append(next[j], i)
			}
		}
	}
	var ready, order []int
	for i := range nodes {
		if left[i] == 0 {
			ready = append(ready, i)
		}
	}
	for len(ready) > 0 {
		sort.Ints(ready)
		i := ready[0]
		ready = ready[1:]
		order = append(order, i)
		for _, j := range next[i] {
			if left[j]--; left[j] == 0 {
				ready = append(ready, j)
			}
		}
	}
	if len(order) < len(nodes) {
		for i := range nodes {
			if left[i] > 0 {
				return nil, fmt.Errorf("phase: %s waits for itself", nodes[i].id)
			}
		}
	}
	return order, nil
}

// schedule places every node: as early as its needs and its calendar allow
// (forward), and as late as the finish allows (backward). Floats count open
// slots of the node's own calendar, so a weekend is no slack. deadline 0 means
// the finish of the forward pass. unplaced are nodes without room; they take no
// time.
func schedule(nodes []node, order []int, deadline int) (t []Timing, finish int, unplaced []int) {
	index := make(map[string]int, len(nodes))
	for i, n := range nodes {
		index[n.id] = i
	}
	t = make([]Timing, len(nodes))
	succ := make([][]int, len(nodes))
	for _, i := range order {
		n := nodes[i]
		at := n.earliest
		for _, need := range n.needs {
			if j, ok := index[need]; ok {
				at = max(at, t[j].EF)
				succ[j] = append(succ[j], i)
			}
		}
		es, ef, ok := forward(n, at)
		if !ok {
			unplaced = append(unplaced, i)
			es, ef = at, at
		}
		t[i].ES, t[i].EF = es, ef
		finish = max(finish, ef)
	}
	end := max(finish, deadline)
	lost := map[int]bool{}
	for _, i := range unplaced {
		lost[i] = true
	}
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		n := nodes[i]
		lf := end
		free := end
		for _, j := range succ[i] {
			lf = min(lf, t[j].LS)
			free = min(free, t[j].ES)
		}
		if lost[i] {
			t[i].LS, t[i].LF = lf, lf
			continue
		}
		t[i].LS, t[i].LF = backward(n, lf, t[i])
		t[i].TF = openBetween(n, t[i].ES, t[i].LS)
		t[i].FF = openBetween(n, t[i].EF, free)
	}
	return t, finish, unplaced
}

// forward consumes the node's units in open slots from at on. A node without
// duration happens at once.
func forward(n node, at int) (es, ef int, ok bool) {
	if n.units <= 0 {
		return at, at, true
	}
	left, es := n.units, -1
	for s := at; s < at+horizonSlots; s++ {
		if !n.open(s) {
			continue
		}
		if es < 0 {
			es = s
		}
		if left--; left == 0 {
			return es, s + 1, true
		}
	}
	return at, at, false
}

// backward is forward from the other end; it never goes before the early start.
func backward(n node, lf int, early Timing) (ls, last int) {
	if n.units <= 0 {
		return max(lf, early.ES), max(lf, early.ES)
	}
	left, last := n.units, -1
	for s := lf - 1; s >= early.ES; s-- {
		if !n.open(s) {
			continue
		}
		if last < 0 {
			last = s + 1
		}
		if left--; left == 0 {
			return s, last
		}
	}
	return early.ES, early.EF
}

func openBetween(n node, from, to int) int {
	if n.units <= 0 {
		return max(to-from, 0)
	}
	c := 0
	for s := from; s < to; s++ {
		if n.open(s) {
			c++
		}
	}
	return c
}
