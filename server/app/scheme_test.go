package app_test

import (
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// TestProposalAndItsModel: a streamed proposal tells its progress, is the same as
// the plain one, and is worth in the written model what it says, by the outside
// judge's reckoning too.
func TestProposalAndItsModel(t *testing.T) {
	h := onSQLite(t)
	project := h.create(demo(t, "brick-meeting-house"))
	ask := &pb.ProposeSchemeRequest{ProjectId: project, Name: "proposed", Seed: 5}
	stream, err := h.owner.design.StreamProposal(t.Context(), &pb.StreamProposalRequest{ProjectId: project, Proposal: ask})
	if err != nil {
		t.Fatal(err)
	}
	var made *pb.ProposeSchemeResponse
	progress := 0
	for {
		msg, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if p := msg.GetProgress(); p != nil {
			progress++
			if p.GetStage() < 1 || p.GetStage() > p.GetStages() || p.GetModelBound() > p.GetModelCost() || p.GetZone() == "" {
				t.Errorf("progress %v", p)
			}
		} else {
			made = msg.GetProposal()
		}
	}
	if made == nil || progress < len(made.GetStages()) {
		t.Fatalf("%d messages of progress, proposal %v", progress, made)
	}
	plain, err := h.owner.design.ProposeScheme(t.Context(), ask)
	if err != nil {
		t.Fatal(err)
	}
	if !proto.Equal(plain, made) {
		t.Error("the streamed proposal differs from the plain one")
	}
	sum := 0.0
	for n, st := range made.GetStages() {
		sum += st.GetModelCost()
		m, err := h.owner.design.GetModel(t.Context(), &pb.GetModelRequest{ProjectId: project, Seed: 5, Stage: uint32(n + 1)})
		if err != nil {
			t.Fatal(err)
		}
		if m.GetModelCost() != st.GetModelCost() || st.GetColumns() > 5000 {
			t.Errorf("stage %d: %v in the model, %v in the proposal; %d columns", n+1, m.GetModelCost(), st.GetModelCost(), st.GetColumns())
		}
		if n == 1 {
			best := judged(t, m.GetLp())
			if m.GetModelCost() > best*1.01 || m.GetModelCost() < best*(1-1e-6) || m.GetModelBound() > best*(1+1e-6) {
				t.Errorf("stage %d: cost %v, bound %v, the judge's best %v", n+1, m.GetModelCost(), m.GetModelBound(), best)
			}
		}
	}
	if math.Abs(sum-made.GetModelCost()) > 1e-6*sum || made.GetModelBound() > made.GetModelCost() {
		t.Errorf("cost %v of stages that add up to %v", made.GetModelCost(), sum)
	}
	if _, err := h.owner.design.GetModel(t.Context(), &pb.GetModelRequest{ProjectId: project, Stage: 100}); err == nil {
		t.Error("a stage that is not there")
	}
}

// judged lets cbc solve a written model to its proven optimum.
func judged(t *testing.T, lp string) float64 {
	t.Helper()
	dir := t.TempDir()
	path, sol := filepath.Join(dir, "m.lp"), filepath.Join(dir, "m.sol")
	if err := os.WriteFile(path, []byte(lp), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("cbc", path, "sec", "120", "ratio", "0", "threads", "1", "solve", "solution", sol).CombinedOutput(); err != nil {
		t.Fatalf("cbc (package coinor-cbc): %v\n%s", err, out)
	}
	raw, err := os.ReadFile(sol)
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(raw), "\n")
	_, s, ok := strings.Cut(first, "Optimal - objective value")
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if !ok || err != nil {
		t.Fatalf("cbc says %q", first)
	}
	return v
}

func TestAlternativesComparisonsAndWhatIfs(t *testing.T) {
	h := onSQLite(t)
	project := h.create(demo(t, "brick-meeting-house"))
	res, err := h.owner.design.ProposeAlternatives(t.Context(), &pb.ProposeAlternativesRequest{ProjectId: project})
	if err != nil {
		t.Fatal(err)
	}
	list := res.GetAlternatives()
	if len(list) != 3 || len(res.GetCurve()) < 5 {
		t.Fatalf("%d alternatives, %d points", len(list), len(res.GetCurve()))
	}
	for i := 1; i < len(list); i++ {
		if list[i].GetFigures().GetCostMinor() < list[i-1].GetFigures().GetCostMinor() {
			t.Errorf("%s costs less than %s", list[i].GetName(), list[i-1].GetName())
		}
	}
	for i := 1; i < len(res.GetCurve()); i++ {
		if res.GetCurve()[i].GetFigures().GetCostMinor() < res.GetCurve()[i-1].GetFigures().GetCostMinor() {
			t.Error("the curve is not by cost")
		}
	}
	revision := res.GetRevision()
	for _, a := range list {
		got, err := h.owner.design.PutScheme(t.Context(), &pb.PutSchemeRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: revision, Scheme: a.GetScheme()})
		if err != nil {
			t.Fatal(err)
		}
		revision = got.GetRevision()
	}
	same, err := h.owner.design.CompareSchemes(t.Context(), &pb.CompareSchemesRequest{ProjectId: project, First: "essential", Second: "essential"})
	if err != nil {
		t.Fatal(err)
	}
	if c := same.GetComparison(); len(c.GetUnits())+len(c.GetNumbers())+len(c.GetOnlyInFirst())+len(c.GetOnlyInSecond())+len(c.GetChanged()) != 0 {
		t.Errorf("a scheme differs from itself: %v", c)
	}
	two, err := h.owner.design.CompareSchemes(t.Context(), &pb.CompareSchemesRequest{ProjectId: project, First: "essential", Second: "recommended"})
	if err != nil {
		t.Fatal(err)
	}
	back := 0
	for _, u := range two.GetComparison().GetUnits() {
		if u.GetFirst() == nil && u.GetSecond().GetUnit().GetPurpose() == pb.Purpose_PURPOSE_BACK_LIGHT {
			back++
		}
	}
	if back == 0 || len(two.GetComparison().GetNumbers()) == 0 {
		t.Errorf("the recommended scheme has %d back lights more", back)
	}
	what, err := h.owner.design.WhatIf(t.Context(), &pb.WhatIfRequest{ProjectId: project, Scheme: "recommended", Changes: []*pb.SchemeChange{
		{WithoutLine: "W2"}, {Fixture: "T-FRE", Into: "T-PRO"}, {PlatformWiderM: 1}, {Screen: "main screen", ScreenZM: 0.5}, {WithoutLine: "no such line"}}})
	if err != nil {
		t.Fatal(err)
	}
	a := what.GetAnswers()
	if len(a) != 5 || a[4].GetUnknown() == "" {
		t.Fatalf("answers %v", a)
	}
	for i, x := range a[:4] {
		if x.GetUnknown() != "" || x.GetFigures().GetUnits() == 0 {
			t.Errorf("what-if %d: %s %s", i, x.GetText(), x.GetUnknown())
		}
	}
	if now := what.GetNow(); a[0].GetFigures().GetLines() >= now.GetLines() || a[1].GetFigures().GetPowerW() <= now.GetPowerW() {
		t.Errorf("without a line: %d of %d lines; with stronger fixtures %v W, was %v W", a[0].GetFigures().GetLines(), now.GetLines(), a[1].GetFigures().GetPowerW(), now.GetPowerW())
	}
	dim := proto.CloneOf(list[1].GetScheme())
	for _, u := range dim.GetUnits() {
		u.LevelPct = 100
	}
	levels, err := h.owner.design.BalanceLevels(t.Context(), &pb.BalanceLevelsRequest{ProjectId: project, Scheme: dim})
	if err != nil {
		t.Fatal(err)
	}
	dimmed := 0
	for i, u := range levels.GetScheme().GetUnits() {
		if u.GetLevelPct() < 100 {
			dimmed++
		}
		if u.GetId() != dim.GetUnits()[i].GetId() {
			t.Errorf("unit %s became %s", dim.GetUnits()[i].GetId(), u.GetId())
		}
	}
	if dimmed == 0 {
		t.Error("no level was set")
	}
}

// BenchmarkWhatIf asks four what-ifs in one call.
func BenchmarkWhatIf(b *testing.B) {
	h := onSQLite(b)
	project := h.create(demo(b, "brick-meeting-house"))
	ask := func(seed uint64) {
		if _, err := h.owner.design.WhatIf(b.Context(), &pb.WhatIfRequest{ProjectId: project, Scheme: "hand", Seed: seed, Changes: []*pb.SchemeChange{
			{WithoutLine: "W2"}, {Fixture: "T-FRE", Into: "T-PRO"}, {PlatformWiderM: 1}, {Screen: "main screen", ScreenZM: 0.5}}}); err != nil {
			b.Fatal(err)
		}
	}
	ask(0)
	seed := uint64(0)
	for b.Loop() {
		seed++
		ask(seed)
	}
}
