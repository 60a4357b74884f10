package sheet_test

import (
	"slices"
	"testing"

	"roodbeam/engine/enginetest/sample"
	"roodbeam/engine/sheet"
)

// TestSignOffRecord: what trades signed is listed with who they say they are
// and who let them in; a clearing of leadership is not.
func TestSignOffRecord(t *testing.T) {
	table := func(in sheet.Input) *sheet.Table {
		for _, s := range sheet.Build(in).Sheets {
			for _, b := range s.Blocks {
				if b.Table != nil && b.Table.Name == "sign-offs" {
					return b.Table
				}
			}
		}
		return nil
	}
	in := sample.MeetingHouse()
	if got := table(in); got != nil {
		t.Errorf("nobody signed: %v", got.Rows)
	}
	f := in.Findings[0]
	in.Cleared = []sheet.Clearing{
		{Key: f.Key, Fingerprint: f.Fingerprint, By: "licensed electrician", Reason: "tested", Date: "2027-03-01", Name: "an electrician", Firm: "Wiring Works", Licence: "L-1", Body: "State board", InvitedBy: "the designer", Also: "designer"},
		{Key: f.Key, Fingerprint: "0", By: "qualified rigger", Reason: "seen", Date: "2027-03-02", Name: "a rigger", Firm: "Beam Works", Licence: "R-2", Body: "Guild"},
		{Key: f.Key, Fingerprint: f.Fingerprint, By: "leadership", Reason: "agreed", Date: "2027-03-03"},
	}
	got := table(in)
	if got == nil || len(got.Rows) != 2 {
		t.Fatalf("sign-offs %v, want two", got)
	}
	want := []string{"stands", f.Subject, "licensed electrician", "an electrician", "Wiring Works", "L-1", "State board", "the designer", "designer", "2027-03-01", "tested"}
	if !slices.Equal(got.Rows[0], want) || got.Rows[1][0] != "lapsed" || got.Rows[1][7] != "" {
		t.Errorf("rows %q, want %q and a lapsed one", got.Rows, want)
	}
	if len(got.Heads) != len(want) || len(got.Widths) != len(want) || len(got.Align) != len(want) || got.Note == "" {
		t.Errorf("%d heads, %d widths, %d alignments for %d columns", len(got.Heads), len(got.Widths), len(got.Align), len(want))
	}
}
