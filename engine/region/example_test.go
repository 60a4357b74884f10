package region_test

import (
	"fmt"

	"roodbeam/engine/region"
)

func ExampleProfile_NextBreaker() {
	p, _ := region.Get("us")
	a, _ := p.NextBreaker(14.5 * p.ContinuousFactor)
	fmt.Printf("%g A, %s\n", a, p.BreakersSource)
	// Output: 20 A, NFPA 70-2023 240.6(A), ratings from 15 A
}
