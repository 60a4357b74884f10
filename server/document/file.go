package document

import (
	"bytes"

	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// ReplaceFile returns the effects that make a project's documents those of the
// file: what changed is written, what the file no longer holds is removed.
// Schemes that the engine proposed are not in files people write and stay.
func ReplaceFile(now store.State, file *pb.ChurchFile) ([]store.Effect, error) {
	want, err := split(file)
	if err != nil {
		return nil, err
	}
	have := map[[2]string][]byte{}
	for _, d := range now.Docs {
		have[[2]string{d.Kind, d.ID}] = d.Payload
	}
	var effects []store.Effect
	inFile := map[[2]string]bool{}
	for _, e := range want {
		at := [2]string{e.Kind, e.ID}
		inFile[at] = true
		if old, ok := have[at]; !ok || !bytes.Equal(old, e.Payload) {
			effects = append(effects, e)
		}
	}
	for _, d := range now.Docs {
		if !kinds[d.Kind].InFile || inFile[[2]string{d.Kind, d.ID}] || proposed(d) {
			continue
		}
		effects = append(effects, store.Effect{Kind: d.Kind, ID: d.ID, Delete: true})
	}
	return effects, nil
}

func proposed(d store.Doc) bool {
	if d.Kind != Scheme.Name {
		return false
	}
	var s pb.Scheme
	return proto.Unmarshal(d.Payload, &s) == nil && s.GetAuthor() == pb.SchemeAuthor_SCHEME_AUTHOR_ENGINE
}

func split(file *pb.ChurchFile) ([]store.Effect, error) {
	var out []store.Effect
	var failed error
	put := func(k Kind, id string, m proto.Message) {
		e, err := k.Put(id, m)
		if err != nil && failed == nil {
			failed = err
		}
		out = append(out, e)
	}
	put(Settings, Only, file.GetProject())
	if file.GetBrief() != nil {
		put(Brief, Only, file.GetBrief())
	}
	for _, m := range file.GetSurvey().GetMeasurements() {
		put(Measurement, m.GetId(), m)
	}
	ids, fs, err := features(file.GetSurvey())
	if err != nil {
		return nil, err
	}
	for i, f := range fs {
		put(Feature, ids[i], f)
	}
	for _, s := range file.GetSchemes() {
		put(Scheme, s.GetName(), s)
	}
	for _, f := range file.GetFixtures() {
		put(Fixture, f.GetCode(), f)
	}
	for _, p := range file.GetPrices() {
		put(Price, p.GetCode(), p)
	}
	return out, failed
}
