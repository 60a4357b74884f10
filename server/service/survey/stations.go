package survey

import (
	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// newStations returns what makes stations of the names in the request that the
// survey does not know, when the request asks for it; without that, such a name
// is refused.
func newStations(req *pb.AddMeasurementsRequest, file *pb.ChurchFile) ([]store.Effect, error) {
	made := map[string]bool{}
	var effects []store.Effect
	var bad []convert.Violation
	for _, v := range convert.References(req, file) {
		if !req.GetNewStations() || !convert.MayBeStation(v) {
			bad = append(bad, v)
			continue
		}
		if made[v.Given] {
			continue // named twice in the request
		}
		made[v.Given] = true
		f := &pb.Feature{Kind: &pb.Feature_Station{Station: &pb.Station{Name: v.Given}}}
		effect, err := document.Feature.Put(document.FeatureID(convert.FeatureKey(f)), f)
		if err != nil {
			return nil, err
		}
		effects = append(effects, effect)
	}
	if len(bad) > 0 {
		return nil, &rpc.InvalidFields{Violations: bad}
	}
	return effects, nil
}
