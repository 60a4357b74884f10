package survey

import (
	"math"
	"math/bits"
	"sort"
)

// sparse is a symmetric positive semidefinite matrix with a fixed pattern, its
// Cholesky factor and the part of its inverse that lies in the factor's pattern.
// The unknowns of one point are neighbours in the order of elimination, so that
// the pattern holds each point's whole block of covariance.
type sparse struct {
	n     int
	start []int   // of each column in rows and values
	rows  []int32 // diagonal first, then ascending
	value []float64
	l     []float64 // factor
	z     []float64 // inverse
	open  []bool    // columns whose pivot vanished: left out
	// left lists, per row, the columns before it that reach it and where.
	leftStart []int
	leftCol   []int32
	leftAt    []int32
	work      []float64
	cost      float64 // multiplications of one factorization
}

// eliminationOrder returns an order of the nodes in which little fills in
// (minimum degree, ties by number), and for each node the later nodes its column
// reaches. adjacent is symmetric.
//
// Source: A. George & J. Liu, Computer Solution of Large Sparse Positive Definite
// Systems, 1981, chapter 5 (from memory).
func eliminationOrder(nodes int, adjacent [][2]int) (order []int, reach [][]int) {
	words := (nodes + 63) / 64
	set := make([]uint64, nodes*words)
	row := func(i int) []uint64 { return set[i*words : (i+1)*words] }
	for _, e := range adjacent {
		if e[0] != e[1] {
			row(e[0])[e[1]/64] |= 1 << (e[1] % 64)
			row(e[1])[e[0]/64] |= 1 << (e[0] % 64)
		}
	}
	degree := make([]int, nodes)
	count := func(i int) {
		degree[i] = 0
		for _, w := range row(i) {
			degree[i] += bits.OnesCount64(w)
		}
	}
	for i := range nodes {
		count(i)
	}
	done := make([]bool, nodes)
	reach = make([][]int, nodes)
	for range nodes {
		v := -1
		for i := range nodes {
			if !done[i] && (v < 0 || degree[i] < degree[v]) {
				v = i
			}
		}
		done[v] = true
		order = append(order, v)
		rv := row(v)
		for w, word := range rv {
			for word != 0 {
				reach[v] = append(reach[v], w*64+bits.TrailingZeros64(word))
				word &= word - 1
			}
		}
		for _, u := range reach[v] {
			ru := row(u)
			for w := range ru {
				ru[w] |= rv[w]
			}
			ru[v/64] &^= 1 << (v % 64)
			ru[u/64] &^= 1 << (u % 64)
			count(u)
		}
	}
	return order, reach
}

// newSparse lays out the pattern. first and size give each node's columns;
// reach[v] the nodes that v's columns reach, all of them later in the order.
func newSparse(n int, order []int, first, size []int, reach [][]int) *sparse {
	s := &sparse{n: n, start: make([]int, n+1), open: make([]bool, n), work: make([]float64, n)}
	for _, v := range order {
		var below []int32
		for _, u := range reach[v] {
			for k := range size[u] {
				below = append(below, int32(first[u]+k))
			}
		}
		sort.Slice(below, func(i, k int) bool { return below[i] < below[k] })
		for k := range size[v] {
			j := first[v] + k
			s.start[j] = len(s.rows)
			for own := k; own < size[v]; own++ {
				s.rows = append(s.rows, int32(first[v]+own))
			}
			s.rows = append(s.rows, below...)
		}
	}
	s.start[n] = len(s.rows)
	s.value, s.l, s.z = make([]float64, len(s.rows)), make([]float64, len(s.rows)), make([]float64, len(s.rows))
	s.leftStart = make([]int, n+1)
	for j := range n {
		for p := s.start[j] + 1; p < s.start[j+1]; p++ {
			s.leftStart[s.rows[p]+1]++
		}
	}
	for j := range n {
		s.leftStart[j+1] += s.leftStart[j]
	}
	s.leftCol, s.leftAt = make([]int32, s.leftStart[n]), make([]int32, s.leftStart[n])
	for j := range n {
		s.cost += float64(s.start[j+1]-s.start[j]) * float64(s.start[j+1]-s.start[j]) / 2
	}
	fill := append([]int(nil), s.leftStart[:n]...)
	for j := range n {
		for p := s.start[j] + 1; p < s.start[j+1]; p++ {
			r := s.rows[p]
			s.leftCol[fill[r]], s.leftAt[fill[r]] = int32(j), int32(p)
			fill[r]++
		}
	}
	return s
}

// at returns the place of an element in its column; −1 when it is outside the
// pattern.
func (s *sparse) at(i, j int) int {
	if i < j {
		i, j = j, i
	}
	lo, hi := s.start[j], s.start[j+1]
	for lo < hi {
		mid := int(uint(lo+hi) >> 1)
		if int(s.rows[mid]) < i {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	if lo < s.start[j+1] && int(s.rows[lo]) == i {
		return lo
	}
	return -1
}

// factor forms L with L·Lᵀ = A + λ·I. A column whose pivot is not above the
// limit is left out, as if its unknown were held; it returns how many were.
// A is taken to have a unit diagonal where it is not zero.
func (s *sparse) factor(lambda, limit float64) (left int) {
	x := s.work
	for j := range s.n {
		s.open[j] = false
		lo, hi := s.start[j], s.start[j+1]
		for p := lo; p < hi; p++ {
			x[s.rows[p]] = s.value[p]
		}
		x[j] += lambda
		for q := s.leftStart[j]; q < s.leftStart[j+1]; q++ {
			k, p := int(s.leftCol[q]), int(s.leftAt[q])
			if s.open[k] {
				continue
			}
			f := s.l[p]
			if f == 0 {
				continue
			}
			rows, vals := s.rows[p:s.start[k+1]], s.l[p:s.start[k+1]]
			for i, r := range rows {
				x[r] -= f * vals[i]
			}
		}
		pivot := x[j]
		if !(pivot > limit) {
			s.open[j] = true
			left++
			for p := lo; p < hi; p++ {
				s.l[p] = 0
				x[s.rows[p]] = 0
			}
			continue
		}
		d := math.Sqrt(pivot)
		s.l[lo] = d
		for p := lo + 1; p < hi; p++ {
			s.l[p] = x[s.rows[p]] / d
			x[s.rows[p]] = 0
		}
		x[j] = 0
	}
	return left
}

// solve replaces b by the solution; unknowns left out get 0.
func (s *sparse) solve(b []float64) {
	for j := range s.n {
		if s.open[j] {
			b[j] = 0
			continue
		}
		lo, hi := s.start[j], s.start[j+1]
		if b[j] == 0 {
			continue
		}
		b[j] /= s.l[lo]
		f := b[j]
		rows, vals := s.rows[lo+1:hi], s.l[lo+1:hi]
		for i, r := range rows {
			b[r] -= f * vals[i]
		}
	}
	for j := s.n - 1; j >= 0; j-- {
		if s.open[j] {
			b[j] = 0
			continue
		}
		lo, hi := s.start[j], s.start[j+1]
		f := b[j]
		rows, vals := s.rows[lo+1:hi], s.l[lo+1:hi]
		for i, r := range rows {
			f -= vals[i] * b[r]
		}
		b[j] = f / s.l[lo]
	}
}

// invert forms the elements of the inverse inside the pattern of L, from the last
// column to the first. Rows and columns left out are zero.
//
// Source: K. Takahashi, J. Fagan & M.-S. Chin, Formation of a sparse bus impedance
// matrix, 1973; Erisman & Tinney, Comm. ACM 18, 1975 (from memory).
func (s *sparse) invert() {
	u, acc := make([]float64, s.n), make([]float64, s.n)
	for j := s.n - 1; j >= 0; j-- {
		lo, hi := s.start[j], s.start[j+1]
		if s.open[j] {
			for p := lo; p < hi; p++ {
				s.z[p] = 0
			}
			continue
		}
		d := s.l[lo]
		rows := s.rows[lo+1 : hi]
		for i, r := range rows {
			u[r] = s.l[lo+1+i] / d
			acc[r] = 0
		}
		for _, k := range rows {
			uk := u[k]
			sum := 0.0
			kl, kh := s.start[k], s.start[k+1]
			zk, rk := s.z[kl:kh], s.rows[kl:kh]
			sum += zk[0] * uk
			for i := 1; i < len(rk); i++ {
				r := rk[i]
				sum += zk[i] * u[r]
				acc[r] += zk[i] * uk
			}
			acc[k] += sum
		}
		diag := 1 / (d * d)
		for i, r := range rows {
			s.z[lo+1+i] = -acc[r]
			diag += acc[r] * u[r]
		}
		s.z[lo] = diag
		for _, r := range rows {
			u[r] = 0
		}
		for _, k := range rows {
			for p := s.start[k]; p < s.start[k+1]; p++ {
				acc[s.rows[p]] = 0
			}
		}
	}
}
