package ledger

import (
	"cmp"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// Summary is one line of the list of past days.
type Summary struct {
	ID        shed.DayID `json:"id"`
	StartedAt time.Time  `json:"started_at"`
	EndedAt   time.Time  `json:"ended_at"` // zero: still running
	// EnteredAt is when it was entered later, from cards; zero: it was lived.
	EnteredAt time.Time `json:"entered_at,omitzero"`
	Fleeces   []string  `json:"fleeces"`              // titles
	FleeceIDs []string  `json:"fleece_ids,omitempty"` // their marks, in the same order; an older version wrote none
	Method    string    `json:"method,omitempty"`     // its name then; an older version wrote none, nor its mark
	MethodID  string    `json:"method_id,omitempty"`
	Batches   int       `json:"batches"`
	Sunk      int       `json:"sunk,omitempty"` // went into the water; an older version wrote none
	Racked    int       `json:"racked"`
	RawG      float64   `json:"raw_g"`         // of the batches that were racked
	DryG      float64   `json:"dry_g"`         // of those weighed
	WeighedG  float64   `json:"weighed_raw_g"` // raw grams of the batches that have a dry weight
	Alarms    int       `json:"alarms"`
	// Lessons is what the day's baths taught about their tubs, once it has ended.
	Lessons []shed.BathLesson `json:"lessons,omitempty"`
	// Rows are the batches, so that the ledger need not read the events; nil in
	// what an older version wrote (FillRows).
	Rows BatchRows `json:"rows,omitempty"`
	// Hands is what the person's acts took.
	Hands []shed.HandsTime `json:"hands,omitempty"`
	// Measures is what days are compared by, once the day has ended, as room compare writes
	// it; "" in what an older version wrote. It is a text so that only a comparison reads it.
	Measures string `json:"measures,omitempty"`
}

// Journal keeps the days. Implementations save all events of one Append in one
// transaction or none, in the order given, and report success only when they
// are safe.
type Journal interface {
	// NewDay returns an ID for a day about to start.
	NewDay() (shed.DayID, error)
	// Append saves events and the day's summary after them. The first event of
	// a day has Seq 1; a gap or a repeat is refused.
	Append(id shed.DayID, events []session.Recorded, sum Summary) error
	// DeleteDay removes a day that has ended, or one on which nothing has gone into
	// the water. Its ID is not given again.
	DeleteDay(id shed.DayID) error
	// OpenDay finds the day that has not ended; ok is false if there is none.
	OpenDay() (id shed.DayID, ok bool, err error)
	// Day is the day that its journal tells, with the names as they are now.
	Day(id shed.DayID) (session.Day, error)
	// Days lists past and running days, newest first, with the names as they are now: at
	// most limit (0: all) of those that were lived, and what was entered later from cards
	// among them.
	Days(limit int) ([]Summary, error)
}

// Ledger keeps what outlives a day.
type Ledger interface {
	// Kit returns the saved kit; ok is false before the first start is through.
	Kit() (k shed.Kit, ok bool, err error)
	SaveKit(shed.Kit) error
	// AlarmSettings are how alarms reach the person; the zero value before any
	// were saved.
	AlarmSettings() (session.AlarmSettings, error)
	SaveAlarmSettings(session.AlarmSettings) error
	// Fleeces lists all, newest first.
	Fleeces() ([]shed.Fleece, error)
	// SaveFleece stores a fleece and returns it with its ID; an empty ID makes a new one.
	SaveFleece(shed.Fleece) (shed.Fleece, error)
	// DeleteFleece removes a fleece that no day uses.
	DeleteFleece(id string) error
	// Methods lists the person's own methods; the built-in one is not among them.
	Methods() ([]shed.Method, error)
	// SaveMethod stores a method and returns it with its ID; an empty ID makes a new one.
	SaveMethod(shed.Method) (shed.Method, error)
	// DeleteMethod removes one of the person's own methods.
	DeleteMethod(id string) error
	// Printed lists the tags that were printed, each as it was last.
	Printed() ([]tag.Printed, error)
	// Left is how the program was left last while a day ran; the zero value if it never was.
	Left() (session.Left, error)
	SaveLeft(session.Left) error
	// Draft is the plan of the next day as it was kept last; without batches there is none.
	Draft() (Draft, error)
	SaveDraft(Draft) error
}

// Draft is a plan in the making: its batches, fleeces and method, when it is to begin and by
// when it is to be done; zero: now, and no matter.
type Draft struct {
	Plan    shed.Plan `json:"plan"`
	Begin   time.Time `json:"begin,omitzero"`
	ReadyBy time.Time `json:"ready_by,omitzero"`
}

// Summarise makes the day's line for the list of days.
func Summarise(id shed.DayID, d session.Day) Summary {
	s := Summary{Rows: rowsOf(d), ID: id, StartedAt: d.StartedAt, EndedAt: d.EndedAt, EnteredAt: d.Plan.EnteredAt, Batches: len(d.Plan.Batches), Method: d.Plan.Method.Name, MethodID: d.Plan.Method.ID, Alarms: session.CountAlarms(d.EveryAlarm())}
	if !d.EndedAt.IsZero() {
		s.Lessons, s.Hands = d.Lessons(), d.HandsTimes()
	}
	for _, f := range d.Plan.Fleeces {
		s.Fleeces, s.FleeceIDs = append(s.Fleeces, f.Title()), append(s.FleeceIDs, f.ID)
	}
	for _, b := range d.Plan.Batches {
		f := d.Fate[b.ID]
		if !f.SunkAt.IsZero() {
			s.Sunk++
		}
		if !f.RackedAt.IsZero() {
			s.Racked++
			s.RawG += b.RawG
		}
		if f.DryG > 0 {
			s.DryG += f.DryG
			s.WeighedG += b.RawG
		}
	}
	return s
}

// WashedAt is Fate.WashedAt, or else when its day began.
func (s *Summary) WashedAt(r *BatchRow) time.Time {
	return cmp.Or(session.WashedAt(r.SunkAt, r.LiftedAt, r.RackedAt, s.EndedAt), s.StartedAt)
}

// WashedOn is Day.WashedOn.
func (s *Summary) WashedOn() (first time.Time) {
	for i := range s.Rows {
		if r := &s.Rows[i]; r.State() > Presoaked {
			first = session.Sooner(first, session.WashedAt(r.SunkAt, r.LiftedAt, r.RackedAt, s.EndedAt))
		}
	}
	return cmp.Or(first, s.StartedAt)
}
