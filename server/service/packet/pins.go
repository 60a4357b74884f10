package packet

import (
	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/document"
	"roodbeam/server/planner"
	"roodbeam/server/store"
)

// pinEffects keeps address, circuit and place on the data branch of every unit:
// labels are glued on after this issue, so later changes only add.
func pinEffects(run *planner.Run) ([]store.Effect, error) {
	pins := map[string]*pb.Pin{}
	for _, a := range run.Results.Network.Addresses {
		pins[a.Unit] = &pb.Pin{Unit: a.Unit, Universe: int32(a.Universe), Start: int32(a.Start), Slots: int32(a.Slots)}
	}
	var order []string
	for _, a := range run.Results.Network.Addresses {
		order = append(order, a.Unit)
	}
	for _, c := range run.Results.Load.Circuits {
		for _, u := range c.Units {
			if p := pins[u]; p != nil {
				p.Circuit = c.Name
			}
		}
	}
	for _, b := range run.Results.Network.Branches {
		for i, u := range b.Units {
			if p := pins[u]; p != nil {
				p.Branch, p.Place = b.Name, int32(i+1)
			}
		}
	}
	var out []store.Effect
	for _, u := range order {
		e, err := document.Pin.Put(u, pins[u])
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}
