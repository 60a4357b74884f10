package cost

import (
	"embed"
	"encoding/json"
	"fmt"
	"math/big"
	"sync"
)

//go:embed book/*.json
var bookFiles embed.FS

// PriceBook is a region's generic prices in one edition.
type PriceBook struct {
	Region       string             `json:"region"`
	Edition      string             `json:"edition"`
	Currency     string             `json:"currency"`
	Source       string             `json:"source"`
	Rates        map[string]float64 `json:"rates"` // minor units for one US cent
	RatesSource  string             `json:"rates_source"`
	Ranges       map[string]Range   `json:"ranges"` // by kind of line
	RangesSource string             `json:"ranges_source"`
	Prices       []BookPrice        `json:"prices"`
}

// Range is how far a price may lie below and above the likely one, in percent.
type Range struct {
	LowPct  float64 `json:"low_pct"`
	HighPct float64 `json:"high_pct"`
}

// BookPrice is one generic price in minor units of the book's currency.
type BookPrice struct {
	Code  string `json:"code"`
	Text  string `json:"text"`
	Kind  string `json:"kind"`
	Unit  string `json:"unit"`
	Minor int64  `json:"minor"`
	By    string `json:"by"`
}

var books = sync.OnceValue(readBooks)

func readBooks() map[string]PriceBook {
	out := map[string]PriceBook{}
	names, err := bookFiles.ReadDir("book")
	if err != nil {
		panic(err)
	}
	for _, n := range names {
		raw, err := bookFiles.ReadFile("book/" + n.Name())
		if err != nil {
			panic(err)
		}
		var b PriceBook
		if err := json.Unmarshal(raw, &b); err != nil {
			panic(fmt.Sprintf("cost: book/%s: %v", n.Name(), err))
		}
		out[b.Region] = b
	}
	return out
}

// Generic returns the generic price book of a region; the metric one for a
// region without its own.
func Generic(region string) PriceBook {
	if b, ok := books()[region]; ok {
		return b
	}
	return books()["metric"]
}

func (b PriceBook) price(code string) (BookPrice, bool) {
	for _, p := range b.Prices {
		if p.Code == code {
			return p, true
		}
	}
	return BookPrice{}, false
}

// convert turns minor units of one currency into another's at the book's
// planning rates; false when a rate is not known.
func (b PriceBook) convert(minor int64, from, to string) (int64, bool) {
	if from == to {
		return minor, true
	}
	rf, okF := b.Rates[from]
	rt, okT := b.Rates[to]
	if !okF || !okT || rf <= 0 || rt <= 0 {
		return 0, false
	}
	v := new(big.Rat).SetInt64(minor)
	f := new(big.Rat).SetFloat64(rf)
	t := new(big.Rat).SetFloat64(rt)
	return roundRat(v.Mul(v, t.Quo(t, f))), true
}
