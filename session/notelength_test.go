package session_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A note is kept whole or refused.
func TestNotesAreNotCut(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub())
	whole := strings.Repeat("é", shed.MaxNote)
	r.Do(session.AddNote{Text: whole})
	if got := r.Day.Notes[0].Text; got != whole {
		t.Errorf("kept %d of %d", len(got), len(whole))
	}
	_ = r.Refused(session.AddNote{Text: whole + "e"}, "too long: 400 characters")
	_ = r.Refused(session.AddNote{Text: strings.Repeat("e", 1_000_000)}, "too long")
	for !r.Day.AllRacked() {
		r.Wait(30).Next(0)
	}
	_ = r.Refused(session.Judge{Batch: "A1", Out: session.Outcome{Found: session.FoundClean, Note: whole + "e"}}, "too long")
}
