package storetest

import (
	"fmt"
	"testing"

	"roodbeam/server/store"
)

// BenchmarkAppend measures one acknowledged measurement.
func BenchmarkAppend(b *testing.B, j store.Journal) {
	id := newID()
	expected := store.At(0)
	for b.Loop() {
		if _, err := j.Append(b.Context(), id, []store.Entry{entry("a", "12 ft 3 in")}, expected); err != nil {
			b.Fatal(err)
		}
		expected = nil
	}
}

// BenchmarkDocuments measures reading a project of 500 documents, a large survey.
func BenchmarkDocuments(b *testing.B, j store.Journal) {
	id := newID()
	var entries []store.Entry
	for i := range 500 {
		entries = append(entries, entry(fmt.Sprint(i), "a measurement with station names, a distance and how it was taken"))
	}
	if _, err := j.Append(b.Context(), id, entries, store.At(0)); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := j.Documents(b.Context(), id); err != nil {
			b.Fatal(err)
		}
	}
}
