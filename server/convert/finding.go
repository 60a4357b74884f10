package convert

import (
	"math"

	"google.golang.org/protobuf/proto"

	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
)

// Findings returns the messages of findings in their order, with texts rendered in display's units. Clearings
// are the caller's to set.
func Findings(fs []finding.Finding, book *finding.Book, display si.Display) []*roodbeamv1.Finding {
	return each(fs, func(f finding.Finding) *roodbeamv1.Finding { return Finding(f, book, display) })
}

// Finding returns the message of one finding.
func Finding(f finding.Finding, book *finding.Book, display si.Display) *roodbeamv1.Finding {
	texts := book.Render(f, display)
	return &roodbeamv1.Finding{
		Code:        f.Code,
		Key:         f.Key,
		Fingerprint: f.Fingerprint,
		Severity:    roodbeamv1.Severity(f.Severity),
		Owner:       Owner(f.Owner),
		Subject:     f.Subject,
		Value:       known(f.Value, f.HasValue),
		Limit:       known(f.Limit, f.HasLimit),
		Unit:        f.Unit,
		Source:      f.Source,
		Args:        each(f.Args, findingArg),
		Title:       texts.Title,
		Text:        texts.Text,
		Advice:      texts.Advice,
	}
}

// Owner returns the API's name of who can clear a finding.
func Owner(o finding.Owner) roodbeamv1.FindingOwner {
	return roodbeamv1.FindingOwner(number(roodbeamv1.FindingOwner(0).Descriptor(), string(o)))
}

func findingArg(a finding.Arg) *roodbeamv1.FindingArg {
	numeric := a.Kind != finding.KindText
	return &roodbeamv1.FindingArg{
		Name: a.Name,
		Kind: roodbeamv1.ArgKind(number(roodbeamv1.ArgKind(0).Descriptor(), string(a.Kind))),
		Num:  known(a.Num, numeric),
		Text: a.Text,
	}
}

// known returns a number that exists and is finite, nil for one that does not.
func known(x float64, exists bool) *float64 {
	if !exists || math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return proto.Float64(x)
}

// Purpose returns the API's name of what a unit is for.
func Purpose(p scheme.Purpose) roodbeamv1.Purpose {
	return roodbeamv1.Purpose(number(roodbeamv1.Purpose(0).Descriptor(), string(p)))
}
