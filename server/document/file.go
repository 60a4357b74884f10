package document

import (
	"bytes"
	"cmp"
	"slices"

	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// ReplaceFile returns the effects that bring a project's documents to the file,
// given the file that was put before it (nil: none). Only what the file itself
// changed since then is written or removed, so that what people corrected,
// struck out or added in the meantime stays. A measurement that was struck out
// stays struck out.
func ReplaceFile(now store.State, before, file *pb.ChurchFile) ([]store.Effect, error) {
	want, err := split(file)
	if err != nil {
		return nil, err
	}
	have := map[[2]string][]byte{}
	for _, d := range now.Docs {
		have[[2]string{d.Kind, d.ID}] = d.Payload
	}
	earlier := map[[2]string][]byte{}
	if before != nil {
		old, err := split(before)
		if err != nil {
			return nil, err
		}
		for _, e := range old {
			earlier[[2]string{e.Kind, e.ID}] = e.Payload
		}
	}
	var effects []store.Effect
	inFile := map[[2]string]bool{}
	for _, e := range want {
		at := [2]string{e.Kind, e.ID}
		inFile[at] = true
		if was, ok := earlier[at]; ok && bytes.Equal(was, e.Payload) {
			continue
		}
		if e, err = keepVoid(e, have[at]); err != nil {
			return nil, err
		}
		if is, ok := have[at]; !ok || !bytes.Equal(is, e.Payload) {
			effects = append(effects, e)
		}
	}
	for _, d := range now.Docs {
		at := [2]string{d.Kind, d.ID}
		was, fromFile := earlier[at]
		if !kinds[d.Kind].InFile || inFile[at] || !fromFile || !bytes.Equal(was, d.Payload) {
			continue
		}
		effects = append(effects, store.Effect{Kind: d.Kind, ID: d.ID, Delete: true})
	}
	return effects, nil
}

// keepVoid leaves a measurement struck out that is struck out now.
func keepVoid(e store.Effect, now []byte) (store.Effect, error) {
	if e.Kind != Measurement.Name || now == nil {
		return e, nil
	}
	var old, m pb.Measurement
	if err := proto.Unmarshal(now, &old); err != nil {
		return e, err
	}
	if err := proto.Unmarshal(e.Payload, &m); err != nil {
		return e, err
	}
	if !old.GetVoid() || m.GetVoid() {
		return e, nil
	}
	m.Void = true
	return Measurement.Put(e.ID, &m)
}

// Apply returns the state as it is once effects are written at the next revision.
func Apply(now store.State, effects []store.Effect) store.State {
	at := map[[2]string]int{}
	out := store.State{Project: now.Project, Revision: now.Revision, Docs: slices.Clone(now.Docs)}
	for i, d := range out.Docs {
		at[[2]string{d.Kind, d.ID}] = i
	}
	gone := map[int]bool{}
	for _, e := range effects {
		i, ok := at[[2]string{e.Kind, e.ID}]
		switch {
		case e.Delete && ok:
			gone[i] = true
		case e.Delete:
		case ok:
			out.Docs[i].Payload, out.Docs[i].Revision = e.Payload, now.Revision+1
		default:
			out.Docs = append(out.Docs, store.Doc{Kind: e.Kind, ID: e.ID, Revision: now.Revision + 1, SchemaVersion: SchemaVersion, Payload: e.Payload})
		}
	}
	kept := out.Docs[:0]
	for i, d := range out.Docs {
		if !gone[i] {
			kept = append(kept, d)
		}
	}
	out.Docs = kept
	slices.SortStableFunc(out.Docs, func(a, b store.Doc) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.ID, b.ID))
	})
	return out
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
