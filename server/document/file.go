package document

import (
	"bytes"
	"cmp"
	"errors"
	"maps"
	"slices"

	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// ReplaceFile returns the effects that bring a project's documents to the file,
// given the file that was put before it (nil: none). Only what the file itself
// changed since then is written or removed, so that what people corrected,
// struck out or added in the meantime stays.
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
	wanted := map[[2]string]bool{}
	for _, e := range want {
		at := [2]string{e.Kind, e.ID}
		wanted[at] = true
		if was, ok := earlier[at]; ok && bytes.Equal(was, e.Payload) {
			continue
		}
		if e, err = merged(e, have[at]); err != nil {
			return nil, err
		}
		if is, ok := have[at]; !ok || !bytes.Equal(is, e.Payload) {
			effects = append(effects, e)
		}
	}
	for _, d := range now.Docs {
		at := [2]string{d.Kind, d.ID}
		was, fromFile := earlier[at]
		if !kinds[d.Kind].InFile || wanted[at] || !fromFile || !bytes.Equal(was, d.Payload) {
			continue
		}
		effects = append(effects, store.Effect{Kind: d.Kind, ID: d.ID, Delete: true})
	}
	return effects, nil
}

// merged is a document of the file as it is to stand beside the one stored now.
func merged(e store.Effect, now []byte) (store.Effect, error) {
	k := kinds[e.Kind]
	if k.Merge == nil || now == nil {
		return e, nil
	}
	old, m := k.New(), k.New()
	if err := proto.Unmarshal(now, old); err != nil {
		return e, err
	}
	if err := proto.Unmarshal(e.Payload, m); err != nil {
		return e, err
	}
	return k.Put(e.ID, k.Merge(old, m))
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

// split takes a file apart into the documents of every kind that a file holds.
func split(file *pb.ChurchFile) ([]store.Effect, error) {
	var out []store.Effect
	var failed error
	for _, k := range inFile() {
		err := k.split(file, func(id string, m proto.Message) {
			e, err := k.Put(id, m)
			failed = errors.Join(failed, err)
			out = append(out, e)
		})
		if err != nil {
			return nil, err
		}
	}
	return out, failed
}

// inFile are the kinds that a church's file holds, by name.
func inFile() []Kind {
	var out []Kind
	for _, name := range slices.Sorted(maps.Keys(kinds)) {
		if kinds[name].InFile {
			out = append(out, kinds[name])
		}
	}
	return out
}
