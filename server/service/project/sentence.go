package project

import (
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/convert"
	"roodbeam/server/journal"
	"roodbeam/server/store"
)

// sentence says for people what an entry did; its kind where the payload
// cannot be read.
func sentence(e store.Entry) string {
	switch e.Kind {
	case journal.ProjectCreated:
		return "opened the project"
	case journal.ProjectSettings:
		return "changed the settings"
	case journal.DocumentsPut:
		return "put in the whole file"
	case journal.BriefPut:
		return "changed the brief"
	case journal.MemberGranted:
		var m pb.Membership
		if read(e, &m) && m.GetInvitedBy() != "" {
			return fmt.Sprintf("joined as %s, invited by %s", words(convert.Word(m.GetRole())), m.GetInvitedBy())
		}
	case journal.MeasurementAdded:
		var m pb.Measurement
		if read(e, &m) {
			return fmt.Sprintf("measured %s %s = %s", words(convert.Word(m.GetKind())), between(&m), m.GetValue().GetTyped())
		}
	case journal.MeasurementVoided:
		var m pb.VoidMeasurementRequest
		if read(e, &m) {
			return fmt.Sprintf("struck out measurement %s: %s", m.GetMeasurementId(), m.GetReason())
		}
	case journal.FeaturePut:
		var f pb.Feature
		if read(e, &f) {
			kind, name := convert.FeatureKey(&f)
			return strings.TrimSpace(fmt.Sprintf("described %s %s", words(convert.Word(kind)), name))
		}
	case journal.FeatureRemoved:
		var r pb.RemoveFeatureRequest
		if read(e, &r) {
			return strings.TrimSpace(fmt.Sprintf("removed %s %s", words(convert.Word(r.GetKind())), r.GetName()))
		}
	case journal.SchemePut:
		var s pb.Scheme
		if read(e, &s) {
			return fmt.Sprintf("put in scheme %s with %d units", s.GetName(), len(s.GetUnits()))
		}
	case journal.PacketIssued:
		var p pb.Packet
		if read(e, &p) {
			return fmt.Sprintf("issued packet %d %s", p.GetNumber(), words(convert.Word(p.GetStatus())))
		}
	case journal.FindingCleared:
		var c pb.ClearFindingRequest
		if read(e, &c) {
			return fmt.Sprintf("cleared %s: %s", c.GetKey(), c.GetReason())
		}
	case journal.TaskMarked:
		var m pb.MarkTaskRequest
		if read(e, &m) {
			return fmt.Sprintf("marked task %s %s", m.GetMark().GetTaskId(), words(convert.Word(m.GetMark().GetState())))
		}
	case journal.QuestionAnswered:
		var a pb.StoredAnswer
		if read(e, &a) {
			return fmt.Sprintf("wrote down %s's answer to %q", a.GetAnswer().GetBy(), a.GetAsked())
		}
	}
	if kind, ok := strings.CutSuffix(e.Kind, ".put"); ok {
		return "put in " + words(kind)
	}
	if kind, ok := strings.CutSuffix(e.Kind, ".removed"); ok {
		return "removed " + words(kind)
	}
	return e.Kind
}

func read(e store.Entry, m proto.Message) bool { return proto.Unmarshal(e.Payload, m) == nil }

// words makes an enum's word readable.
func words(s string) string { return strings.ReplaceAll(s, "_", " ") }

func between(m *pb.Measurement) string {
	switch {
	case m.GetFrom() != "" && m.GetTo() != "":
		return m.GetFrom() + " to " + m.GetTo()
	case m.GetTo() != "":
		return "of " + m.GetTo()
	}
	return "at " + m.GetAt()
}
