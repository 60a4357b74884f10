package calc

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/hanging"
	"roodbeam/engine/si"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// ComputeBeam solves a straight member with its loads.
func (s *Server) ComputeBeam(_ context.Context, req *pb.ComputeBeamRequest) (*pb.ComputeBeamResponse, error) {
	if vs := convert.Normalise(req, convert.DisplayOf(&pb.ProjectSettings{Units: req.GetUnits()}, nil)); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	m := hanging.Member{LengthM: req.GetOverhangLeft().GetValueSi(), ClampLeft: req.GetClampLeft(), ClampRight: req.GetClampRight()}
	m.SupportsM = []float64{m.LengthM}
	for _, span := range req.GetSpans() {
		m.LengthM += span.GetValueSi()
		m.SupportsM = append(m.SupportsM, m.LengthM)
	}
	m.LengthM += req.GetOverhangRight().GetValueSi()
	off := func(field, given string) error {
		return invalid(field, given, "is not on the member", fmt.Sprintf("0 to %g m", m.LengthM))
	}
	for i, l := range req.GetLoads() {
		if l.GetAt().GetValueSi() > m.LengthM {
			return nil, off(fmt.Sprintf("loads[%d].at", i), l.GetAt().GetTyped())
		}
		m.Points = append(m.Points, hanging.Force{AtM: l.GetAt().GetValueSi(), N: l.GetForce().GetValueSi()})
	}
	if w := req.GetSpreadLoad().GetValueSi(); w > 0 {
		m.Spread = append(m.Spread, hanging.Even{FromM: 0, ToM: m.LengthM, NPerM: w})
	}
	var section hanging.Section
	if name := req.GetSection(); name != "" {
		var err error
		if section, err = sectionOf(name); err != nil {
			return nil, err
		}
	}
	if req.GetModulus().GetValueSi() > 0 && section.Name == "" && section.I == 0 {
		return nil, invalid("section", "", "is needed with a modulus of elasticity", "tube 48.3x4.0, rect 100x200, "+strings.Join(hanging.SectionNames(), ", "))
	}
	if req.GetSelfWeight() {
		if section.KgPerM == 0 {
			return nil, invalid("self_weight", req.GetSection(), "the table has no mass of this section", "")
		}
		m.Spread = append(m.Spread, hanging.Even{FromM: 0, ToM: m.LengthM, NPerM: section.KgPerM * si.StandardGravity})
	}
	solved, ok := m.Solve()
	if !ok {
		return nil, invalid("spans", "", "it cannot stand", "a span, or an overhang on one clamped support")
	}
	res := &pb.ComputeBeamResponse{SupportsM: solved.SupportsM, ReactionsN: solved.ReactionsN, SupportMomentsNm: solved.MomentsNm, MaxShearN: solved.MaxShear(), Section: section.Name,
		Basis: &pb.CalcBasis{
			Formula: "M(i−1)·L(i−1) + 2·M(i)·(L(i−1)+L(i)) + M(i+1)·L(i) = −6·(θr + θl) for the moments at supports, θ the end slopes of each span alone times EI; EI·y″ = −M",
			Source:  "Clapeyron's equation of three moments; AWC Design Aid No. 6, Beam Formulas, 2007; section properties: " + named(section.Source, "none used"),
			Cautions: []string{"supports that do not yield, one section throughout, small deflections; no load factor, no buckling, no local bending of a flange or wall",
				"only the loads given: what the member carries already is not in it", "a planning figure: a structural engineer approves before anything is hung"}}}
	res.SagMomentNm, res.SagAtM, res.HogMomentNm, res.HogAtM = solved.Extremes()
	if section.S > 0 {
		res.StressMpa = known(max(res.SagMomentNm, -res.HogMomentNm) / section.S / 1e6)
		res.InertiaMm4, res.SectionModulusMm3 = known(section.I*1e12), known(section.S*1e9)
		if section.KgPerM > 0 {
			res.SelfKgPerM = known(section.KgPerM)
		}
		if e := req.GetModulus().GetValueSi(); e > 0 {
			y, at := solved.MaxDeflection(e * section.I)
			res.DeflectionM, res.DeflectionAtM = known(y), known(at)
		}
	}
	if section.S == 0 {
		res.Basis.Cautions = append(res.Basis.Cautions, "no section was given: stress and deflection are not worked out")
	} else if !(req.GetModulus().GetValueSi() > 0) {
		res.Basis.Cautions = append(res.Basis.Cautions, "no modulus of elasticity was given: the deflection is not worked out")
	}
	if req.GetClampLeft() || req.GetClampRight() {
		res.Basis.Cautions = append(res.Basis.Cautions, "a pipe in clamps or a timber in a pocket is not held against turning: take it as pinned")
	}
	for _, r := range solved.ReactionsN {
		if r < -1e-6 {
			res.Basis.Cautions = append(res.Basis.Cautions, "a support is lifted: a hold-down is the engineer's to design")
			break
		}
	}
	return res, nil
}

// sectionOf reads a section: one of the table, "tube 48.3x4.0" of any size, or
// "rect 100x200", width by depth, in mm.
func sectionOf(name string) (hanging.Section, error) {
	if s, ok := hanging.SectionNamed(name); ok {
		return s, nil
	}
	kind, size, _ := strings.Cut(strings.ToLower(strings.TrimSpace(name)), " ")
	a, b, two := strings.Cut(strings.TrimSuffix(strings.ReplaceAll(strings.ReplaceAll(size, " ", ""), "×", "x"), "mm"), "x")
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if two && errX == nil && errY == nil && x > 0 && y > 0 && x <= 5000 && y <= 5000 {
		switch kind {
		case "tube":
			if s, err := hanging.Tube(x/1000, y/1000); err == nil {
				return s, nil
			}
		case "rect":
			return hanging.Rectangle(x/1000, y/1000), nil
		}
	}
	return hanging.Section{}, invalid("section", name, "is not a section of the table and not a size in mm", "tube 48.3x4.0, rect 100x200, "+strings.Join(hanging.SectionNames(), ", "))
}

// ComputeSecondary returns the pull of a fall into a secondary suspension.
func (s *Server) ComputeSecondary(_ context.Context, req *pb.ComputeSecondaryRequest) (*pb.ComputeSecondaryResponse, error) {
	if vs := convert.Normalise(req, convert.DisplayOf(&pb.ProjectSettings{Units: req.GetUnits()}, nil)); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	grade := req.GetGrade().GetValueSi() / 1e6
	if grade == 0 {
		grade = 1770
	}
	construction, build, end := named(req.GetConstruction(), "6x7-FC"), named(req.GetBuild(), "7x19"), named(req.GetEnd(), "ferrule")
	breaking, kSource, ok := hanging.RopeBreaking(req.GetDiameter().GetValueSi(), grade, construction)
	if !ok {
		return nil, invalid("construction", construction, "is not in the table", strings.Join(hanging.Constructions(), ", "))
	}
	area := hanging.RopeMetal(req.GetDiameter().GetValueSi(), build)
	if area == 0 {
		return nil, invalid("build", build, "is not in the table", "7x19, 7x7, 6x19-FC, 6x19-IWRC")
	}
	share, endSource, ok := hanging.Efficiency(end)
	if !ok {
		return nil, invalid("end", end, "is not in the table", "ferrule, clips, none")
	}
	mass, drop := req.GetMass().GetValueSi(), req.GetDrop().GetValueSi()
	factor, factorSources := hanging.DesignFactor("over people")
	force := hanging.ArrestForce(mass, drop, area, hanging.RopeModulus, req.GetLength().GetValueSi())
	res := &pb.ComputeSecondaryResponse{ForceN: force, WeightN: mass * si.StandardGravity, BreakingN: breaking, EndBreakingN: breaking * share, UsePct: 100 * force / (breaking * share),
		Factor: factor, WorkingN: hanging.WorkingLoad(breaking, factor, share), MaxDropM: hanging.MaxDrop,
		Rank: map[string]pb.FallRank{hanging.FallNote: pb.FallRank_FALL_RANK_NOTE, hanging.FallWarn: pb.FallRank_FALL_RANK_WARN, hanging.FallStop: pb.FallRank_FALL_RANK_STOP}[hanging.Fall(drop)],
		Basis: &pb.CalcBasis{Formula: "F = W·[1 + √(1 + 2·h·E·A/(W·L))], E 15×10⁶ psi, A = x·d²; with a stopping distance F = W·(1 + h/s); Fmin = K·d²·Rr/1000 kN",
			Source: "D. Hall, Understanding Shock Loads, TD&T 49(2), 2013; drop: DGUV Information 215-313 1.3 and DIN 56927; rope: " + kSource + "; end: " + endSource + "; factor " + strings.Join(factorSources, "; "),
			Cautions: []string{"clamps, bars and hooks give as well: the pull is an upper figure, to rank and to warn, never to approve",
				"the weakest link counts: eye, quick link, structure; values of lag screws, bolts in wood and threaded rod carry about the general factor already and are halved over people", "a rated assembly is confirmed by a qualified rigger"}}}
	weight := mass * si.StandardGravity
	for _, p := range hanging.RatedPieces("") {
		res.Pieces = append(res.Pieces, &pb.RatedPiece{Kind: p.Kind, Name: p.Name, BreakingN: p.BreakingN, Factor: p.Factor, WorkingN: p.WorkingN,
			UsePct: 100 * weight / p.WorkingN, PullPct: 100 * force / p.BreakingN, Source: p.Source})
	}
	if req.GetStopDistance().GetValueSi() > 0 {
		res.StopForceN = known(hanging.StopForce(mass, drop, req.GetStopDistance().GetValueSi()))
	}
	switch hanging.Fall(drop) {
	case hanging.FallStop:
		res.Basis.Cautions = append([]string{fmt.Sprintf("stop: a secondary suspension is meant for a fall of %.2f m at most; take out the slack", hanging.MaxDrop)}, res.Basis.Cautions...)
	case hanging.FallNote:
		res.Basis.Cautions = append([]string{"no slack: the least energy, twice the weight at the moment it takes over"}, res.Basis.Cautions...)
	}
	return res, nil
}

func named(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}
