package cost

import (
	"math"
	"math/big"
	"sort"
)

// maxMinor bounds every sum, so that absurd quantities cannot overflow: ten
// million million of the main unit is more than any church has.
const maxMinor = int64(1e15)

// roundRat rounds half away from zero to whole minor units.
func roundRat(v *big.Rat) int64 {
	num, den := new(big.Int).Set(v.Num()), v.Denom()
	neg := num.Sign() < 0
	num.Abs(num)
	num.Lsh(num, 1).Add(num, den)
	q := new(big.Int).Quo(num, new(big.Int).Lsh(den, 1))
	if neg {
		q.Neg(q)
	}
	if !q.IsInt64() || q.Int64() > maxMinor || q.Int64() < -maxMinor {
		if neg {
			return -maxMinor
		}
		return maxMinor
	}
	return q.Int64()
}

// Times returns quantity × unit price in minor units, rounded half away from
// zero. The quantity counts in thousandths, so that 38 ft × 5.50 is 209.00 and
// not a hair less. A quantity that is no number gives 0.
func Times(quantity float64, unitMinor int64) int64 {
	if math.IsNaN(quantity) || math.IsInf(quantity, 0) {
		return 0
	}
	quantity = math.Max(-1e9, math.Min(1e9, quantity))
	v := big.NewRat(int64(math.Round(quantity*1000)), 1000)
	return roundRat(v.Mul(v, new(big.Rat).SetInt64(unitMinor)))
}

// hundredths turns a percentage into whole hundredths of a percent.
func hundredths(pct float64) int64 {
	if math.IsNaN(pct) {
		return 0
	}
	return int64(math.Round(math.Max(0, math.Min(1000, pct)) * 100))
}

// Share returns pct percent of an amount, rounded half away from zero.
func Share(minor int64, pct float64) int64 {
	p := hundredths(math.Abs(pct))
	if pct < 0 {
		p = -p
	}
	v := big.NewRat(minor, 10000)
	return roundRat(v.Mul(v, new(big.Rat).SetInt64(p)))
}

// WithContingency returns the amount with pct percent on top, rounded half away
// from zero.
func WithContingency(minor int64, pct float64) int64 { return minor + Share(minor, pct) }

// allocate spreads a total over parts in proportion to their exact shares so
// that the parts add up to it: each share is cut down to whole minor units and
// the rest goes to the largest remainders, earlier parts first.
// Source: the largest-remainder method of apportionment (from memory).
func allocate(parts []int64, pct float64) []int64 {
	var sum int64
	for _, p := range parts {
		sum += p
	}
	total := WithContingency(sum, pct)
	out := make([]int64, len(parts))
	rem := make([]int, len(parts))
	rest := make([]*big.Int, len(parts))
	factor := big.NewInt(10000 + hundredths(pct))
	left := total
	for i, p := range parts {
		q, r := new(big.Int).DivMod(new(big.Int).Mul(big.NewInt(p), factor), big.NewInt(10000), new(big.Int))
		out[i], rest[i], rem[i] = q.Int64(), r, i
		left -= out[i]
	}
	sort.SliceStable(rem, func(i, j int) bool { return rest[rem[i]].Cmp(rest[rem[j]]) > 0 })
	for k := 0; left > 0 && k < len(rem); k++ {
		out[rem[k]]++
		left--
	}
	return out
}
