// Command rays writes the reference church's triangles and a number of rays
// through it for the C++ program beside it, in little-endian float32: number of
// triangles, number of rays (uint32 each), nine floats a triangle, six floats a
// ray (from, to). It prints how many of them our own scene finds blocked.
package main

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"os"

	"roodbeam/engine/enginetest/reference"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
)

const rays = 200000

func main() {
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(path string) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	w := bufio.NewWriter(f)
	put := func(v any) { binary.Write(w, binary.LittleEndian, v) } //nolint:errcheck // the writer keeps its first error for Flush
	vec := func(v geom.Vec) { put([3]float32{float32(v.X), float32(v.Y), float32(v.Z)}) }
	s := light.NewScene(reference.Solids())
	tris, segs := s.Triangles(), reference.Rays(rays)
	put([2]uint32{uint32(len(tris)), rays})
	for _, t := range tris {
		for _, v := range t {
			vec(v)
		}
	}
	blocked := 0
	for _, r := range segs {
		vec(r[0])
		vec(r[1])
		if s.Occluded(r[0], r[1]) {
			blocked++
		}
	}
	fmt.Printf("%d triangles, %d rays, own scene: %d blocked\n", len(tris), rays, blocked)
	return w.Flush()
}
