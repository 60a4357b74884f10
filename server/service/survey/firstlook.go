package survey

import (
	"context"
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/plan"
	"roodbeam/engine/region"
	"roodbeam/engine/si"
	enginesurvey "roodbeam/engine/survey"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// FirstLook turns the answers of a telephone call into a card; it needs no project.
func (s *Server) FirstLook(_ context.Context, req *pb.FirstLookRequest) (*pb.FirstLookResponse, error) {
	display := convert.DisplayOf(&pb.ProjectSettings{Units: req.GetUnits()}, nil)
	vs := convert.Normalise(req, display)
	names := map[string]bool{}
	for i, b := range req.GetBeams() {
		if names[b.GetName()] {
			vs = append(vs, convert.Violation{Field: fmt.Sprintf("beams[%d].name", i), Given: b.GetName(), Reason: "is given twice"})
		}
		names[b.GetName()] = true
	}
	if len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	id := "metric"
	if req.GetUnits() == pb.DisplayUnits_DISPLAY_UNITS_US {
		id = "us"
	}
	profile, _ := region.Get(id) // both are built in
	a := plan.Answers{Length: length(req.GetLength()), Width: length(req.GetWidth()), CeilingHeight: length(req.GetCeilingHeight()),
		PlatformWidth: length(req.GetPlatformWidth()), PlatformDepth: length(req.GetPlatformDepth()), PlatformHeight: length(req.GetPlatformHeight()),
		DoorWidth: length(req.GetDoorWidth()), DoorHeight: length(req.GetDoorHeight()), Steps: int(req.GetSteps()),
		YearBuilt: int(req.GetYearBuilt()), Cameras: int(req.GetCameras()), Profile: profile,
		YearAltered: int(req.GetYearAltered()), Protected: convert.Word(req.GetProtected()), FireAlarm: convert.Word(req.GetDetectors()),
		Landlord: convert.Word(req.GetLandlord()), Damp: convert.Word(req.GetDamp()), Bats: convert.Word(req.GetBats()),
		FacingDeg: req.GetCongregationFacingDeg(), Facing: req.CongregationFacingDeg != nil,
		Uses: req.GetUses(), Trouble: req.GetTrouble(), Money: req.GetMoney(), Deadline: req.GetDeadline()}
	a.Supply = convert.SurveyToEngine(&pb.Survey{Supply: &pb.Supply{System: req.GetSupply(), Voltage: req.GetVoltage(), Main: req.GetMain()}}).Supply
	for _, b := range req.GetBeams() {
		a.Beams = append(a.Beams, plan.BeamAnswer{Name: b.GetName(), Height: length(b.GetHeight()), FromPlatform: length(b.GetFromPlatform())})
	}
	out := cardToAPI(plan.FirstLook(a, s.Planner.Book), s, display)
	if req.Cameras == nil {
		for _, n := range out.GetNotes() {
			if n.GetAbout() == "camera" {
				n.Text = "Whether there are cameras is not answered; until it is, the card is for a room without. " + n.GetText()
			}
		}
	}
	return out, nil
}

// length reads a normalised quantity the way documents are read.
func length(q *pb.Quantity) enginesurvey.L {
	sv := convert.SurveyToEngine(&pb.Survey{Levels: []*pb.Level{{Name: "x", Height: q}}})
	return sv.Levels[0].Height
}

func cardToAPI(c plan.Card, s *Server, display si.Display) *pb.FirstLookResponse {
	out := &pb.FirstLookResponse{Why: c.Why, Reasons: c.Reasons, Verdict: pb.FirstLookVerdict(pb.FirstLookVerdict_value["FIRST_LOOK_VERDICT_"+strings.ToUpper(c.Verdict)]),
		Findings: convert.Findings(c.Findings, s.Planner.Book, display)}
	for _, p := range c.Places {
		out.Places = append(out.Places, &pb.FirstLookPlace{Beam: p.Beam, Zone: p.Zone, ElevationDeg: p.ElevationDeg, SigmaDeg: p.SigmaDeg,
			ThrowM: p.ThrowM, SigmaThrowM: p.SigmaThrowM, Band: pb.ElevationBand(pb.ElevationBand_value["ELEVATION_BAND_"+strings.ToUpper(p.Band)]), Best: p.Best})
	}
	for _, n := range c.Notes {
		out.Notes = append(out.Notes, &pb.FirstLookNote{About: n.About, Text: n.Text})
	}
	for _, q := range c.Next {
		out.MeasureNext = append(out.MeasureNext, convert.Question(q))
	}
	return out
}
