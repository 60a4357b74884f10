package app_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// TestAnswers: an answer stands beside its question everywhere, counts once, and
// changes neither a figure nor a finding.
func TestAnswers(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		project := h.create(demo(t, "brick-meeting-house"))
		load := pb.NewLoadServiceClient(h.owner.conn)
		plan := func() *pb.LoadPlan {
			r, err := load.GetLoadPlan(t.Context(), &pb.GetLoadPlanRequest{ProjectId: project})
			if err != nil {
				t.Fatal(err)
			}
			return r.GetPlan()
		}
		open := func() *pb.ListFindingsResponse {
			r, err := h.owner.project.ListFindings(t.Context(), &pb.ListFindingsRequest{ProjectId: project})
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		before, found := plan(), open()
		list, err := load.ListTradeQuestions(t.Context(), &pb.ListTradeQuestionsRequest{ProjectId: project})
		if err != nil {
			t.Fatal(err)
		}
		var fault *pb.TradeQuestion
		keys, trades := map[string]bool{}, map[string]bool{}
		for _, q := range list.GetQuestions() {
			if keys[q.GetKey()] || q.GetWhy() == "" || q.GetNo() == 0 {
				t.Errorf("question %+v", q)
			}
			keys[q.GetKey()], trades[q.GetWho()] = true, true
			if strings.Contains(q.GetText(), "fault current") {
				fault = q
			}
		}
		if fault == nil || len(trades) < 2 {
			t.Fatalf("no question of the fault current, trades %v", trades)
		}
		entry := newID()
		send := func() *pb.AnswerQuestionResponse {
			r, err := load.AnswerQuestion(t.Context(), &pb.AnswerQuestionRequest{ProjectId: project, EntryId: entry, QuestionKey: fault.GetKey(), Text: "6 kA by the supplier's letter", By: "licensed electrician"})
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		first := send()
		if first.GetCaution() == "" || first.GetAnswer().GetBy() != "licensed electrician" || first.GetAnswer().GetDay() == "" {
			t.Errorf("%+v", first)
		}
		h.clock.move(49 * time.Hour)
		if again := send(); again.GetRevision() != first.GetRevision() {
			t.Errorf("sent twice: revisions %d and %d", first.GetRevision(), again.GetRevision())
		}
		after := plan()
		seen := 0
		for _, q := range after.GetQuestions() {
			for _, a := range q.GetAnswers() {
				if q.GetKey() == fault.GetKey() && a.GetText() == "6 kA by the supplier's letter" {
					seen++
				}
			}
			q.Answers = nil
		}
		if seen != 1 {
			t.Errorf("the answer stands %d times beside its question", seen)
		}
		if !proto.Equal(before, after) {
			t.Error("an answer changed the plan")
		}
		if now := open(); now.GetOpenStops() != found.GetOpenStops() || len(now.GetFindings()) != len(found.GetFindings()) {
			t.Errorf("open stops %d, then %d", found.GetOpenStops(), now.GetOpenStops())
		}
		_, err = load.AnswerQuestion(t.Context(), &pb.AnswerQuestionRequest{ProjectId: project, EntryId: newID(), QuestionKey: "q-000000000000", Text: "yes"})
		if status.Code(err) != codes.InvalidArgument {
			t.Errorf("an answer to nothing: %v", err)
		}
		if _, err := pb.NewLoadServiceClient(h.invite(project, pb.Role_ROLE_VIEWER).conn).AnswerQuestion(t.Context(),
			&pb.AnswerQuestionRequest{ProjectId: project, EntryId: newID(), QuestionKey: fault.GetKey(), Text: "yes"}); status.Code(err) != codes.PermissionDenied {
			t.Errorf("a viewer answers: %v", err)
		}
	})
}

// TestElectricalSums: the published figures come back through the door, with
// formula, source and cautions, and bad input is named.
func TestElectricalSums(t *testing.T) {
	h := onSQLite(t)
	ctx, calc := t.Context(), h.owner.calc
	sourced := func(name string, b *pb.CalcBasis, err error) {
		t.Helper()
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if b.GetFormula() == "" || b.GetSource() == "" || len(b.GetCautions()) == 0 {
			t.Errorf("%s rests on %+v", name, b)
		}
	}
	near := func(name string, got, want, tol float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tol) {
			t.Errorf("%s = %v, want %v", name, got, want)
		}
	}
	two := pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W
	// 2 · 28 A · 160 ft · 0.778 Ω/kft.
	drop, err := calc.ComputeVoltageDrop(ctx, &pb.ComputeVoltageDropRequest{Region: "us", System: two, Voltage: typed("208V"), Current: typed("28A"), Length: typed("160ft"), Conductor: "8awg"})
	sourced("volt-drop", drop.GetBasis(), err)
	near("volt-drop", drop.GetDropV(), 2*28*.160*.778, 1e-3)
	// 18 A of continuous lighting on 25 A with nothing spare; 20 A cannot carry 22.5 A.
	none := 0.0
	circuit, err := calc.ComputeCircuit(ctx, &pb.ComputeCircuitRequest{Region: "us", System: two, Voltage: typed("120 V"), Current: typed("18 A"), Length: typed("20 ft"), SparePct: &none})
	sourced("circuit", circuit.GetBasis(), err)
	near("design", circuit.GetDesignA(), 22.5, 1e-9)
	near("breaker", circuit.GetBreakerA(), 25, 0)
	fill, err := calc.ComputeFill(ctx, &pb.ComputeFillRequest{Region: "us", Wires: []*pb.WireCount{{Conductor: "12 AWG", Count: 1}, {Conductor: "10 AWG", Count: 1}, {Conductor: "8 AWG", Count: 3}}})
	sourced("fill", fill.GetBasis(), err)
	near("fill", fill.GetConductorMm2()/645.16, .1442, 5e-5)
	if fill.GetSize() != "3/4" || !fill.GetWithin() {
		t.Errorf("%+v", fill)
	}
	pay, err := calc.ComputePayback(ctx, &pb.ComputePaybackRequest{Cost: 24000, Before: typed("13600 W"), After: typed("2620 W"), HoursPerWeek: 12, PricePerKwh: .16,
		OtherPerYear: 288, DiscountPct: 3, EnergyRisePct: 2, Years: 20})
	sourced("payback", pay.GetBasis(), err)
	near("simple", pay.GetSimpleYears(), 17.34, 5e-3)
	near("net", pay.GetNet(), 106.14, 5e-3)
	never, err := calc.ComputePayback(ctx, &pb.ComputePaybackRequest{Cost: 1000})
	sourced("never", never.GetBasis(), err)
	if never.SimpleYears != nil || never.DiscountedYears != nil {
		t.Errorf("%+v", never)
	}
	lx, err := calc.ComputeExposure(ctx, &pb.ComputeExposureRequest{Aperture: 2.8, ShutterS: 1.0 / 60, Iso: 800, Constant: 250})
	sourced("exposure", lx.GetBasis(), err)
	near("exposure", lx.GetIlluminanceLx(), 147.0, .05)
	// Reda and Andreas, NREL/TP-560-34302: zenith 50.11162°, azimuth 194.34024°, with
	// refraction and parallax; the series used are good to 0.02°.
	sun, err := calc.ComputeSun(ctx, &pb.ComputeSunRequest{LatitudeDeg: 39.742476, LongitudeDeg: -105.1786, Time: timestamppb.New(time.Date(2003, 10, 17, 19, 30, 30, 0, time.UTC)), OffsetMin: -420})
	sourced("sun", sun.GetBasis(), err)
	near("elevation", sun.GetApparentElevationDeg(), 90-50.11162, .02)
	near("azimuth", sun.GetAzimuthDeg(), 194.34024, .02)
	if sun.GetRise() == nil || !sun.GetRise().AsTime().Before(sun.GetSet().AsTime()) {
		t.Errorf("%+v", sun)
	}

	for name, call := range map[string]func() error{
		"unknown gauge": func() error {
			_, err := calc.ComputeVoltageDrop(ctx, &pb.ComputeVoltageDropRequest{Region: "us", System: two, Voltage: typed("120V"), Current: typed("3A"), Length: typed("10ft"), Conductor: "13 AWG"})
			return err
		},
		"negative current": func() error {
			_, err := calc.ComputeCircuit(ctx, &pb.ComputeCircuitRequest{Region: "us", System: two, Voltage: typed("120 V"), Current: typed("-3 A"), Length: typed("10 ft")})
			return err
		},
		"no load": func() error {
			_, err := calc.ComputeCircuit(ctx, &pb.ComputeCircuitRequest{Region: "us", System: two, Voltage: typed("120 V"), Length: typed("10 ft")})
			return err
		},
		"too much load": func() error {
			_, err := calc.ComputeCircuit(ctx, &pb.ComputeCircuitRequest{Region: "metric", System: two, Voltage: typed("230 V"), Current: typed("400 A"), Length: typed("10 m")})
			return err
		},
		"no raceways there": func() error {
			_, err := calc.ComputeFill(ctx, &pb.ComputeFillRequest{Region: "metric", Wires: []*pb.WireCount{{Conductor: "2.5 mm²", Count: 3}}})
			return err
		},
		"no such region": func() error {
			_, err := calc.ComputeFill(ctx, &pb.ComputeFillRequest{Region: "moon", Wires: []*pb.WireCount{{Conductor: "12 AWG", Count: 3}}})
			return err
		},
		"a year too far": func() error {
			_, err := calc.ComputeSun(ctx, &pb.ComputeSunRequest{LatitudeDeg: 10, Time: timestamppb.New(time.Date(2450, 1, 1, 0, 0, 0, 0, time.UTC))})
			return err
		},
		"no time": func() error {
			_, err := calc.ComputeSun(ctx, &pb.ComputeSunRequest{LatitudeDeg: 10})
			return err
		},
		"beyond the pole": func() error {
			_, err := calc.ComputeSun(ctx, &pb.ComputeSunRequest{LatitudeDeg: 91, Time: timestamppb.New(time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC))})
			return err
		},
		"nan": func() error {
			_, err := calc.ComputeExposure(ctx, &pb.ComputeExposureRequest{Aperture: math.NaN(), ShutterS: 1, Iso: 100})
			return err
		},
		"watts without hours": func() error {
			_, err := calc.ComputePayback(ctx, &pb.ComputePaybackRequest{Cost: 10, Before: typed("100 W")})
			return err
		},
	} {
		if err := call(); status.Code(err) != codes.InvalidArgument {
			t.Errorf("%s: %v, want InvalidArgument", name, err)
		}
	}
}
