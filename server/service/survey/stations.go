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
	known := &pb.ChurchFile{Survey: &pb.Survey{}}
	var effects []store.Effect
	var bad []convert.Violation
	for _, v := range convert.References(req, file) {
		if !req.GetNewStations() || !convert.MayBeStation(v) {
			bad = append(bad, v)
			continue
		}
		f := &pb.Feature{Kind: &pb.Feature_Station{Station: &pb.Station{Name: v.Given}}}
		if len(convert.References(&pb.Footprint{Stations: []string{v.Given}}, known)) == 0 {
			continue // named twice in the request
		}
		known.Survey.Stations = append(known.Survey.Stations, f.GetStation())
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
