package session

import "time"

// DayID names a day in the journal; days count up from 1.
type DayID uint64

// DaySummary is one line of the list of past days.
type DaySummary struct {
	ID        DayID     `json:"id"`
	StartedAt time.Time `json:"started_at"`
	EndedAt   time.Time `json:"ended_at"` // zero: still running
	Fleeces   []string  `json:"fleeces"`  // titles
	Batches   int       `json:"batches"`
	Sunk      int       `json:"sunk,omitempty"` // went into the water; an older version wrote none
	Racked    int       `json:"racked"`
	RawG      float64   `json:"raw_g"`         // of the batches that were racked
	DryG      float64   `json:"dry_g"`         // of those weighed
	WeighedG  float64   `json:"weighed_raw_g"` // raw grams of the batches that have a dry weight
	Alarms    int       `json:"alarms"`
	// Lessons is what the day's baths taught about their tubs, once it has ended.
	Lessons []BathLesson `json:"lessons,omitempty"`
	// Rows are the batches, so that the ledger need not read the events; nil in
	// what an older version wrote (FillRows).
	Rows BatchRows `json:"rows,omitempty"`
	// Hands is what the person's acts took.
	Hands []HandsTime `json:"hands,omitempty"`
}

// Journal keeps the days. Implementations save all events of one Append in one
// transaction or none, in the order given, and report success only when they
// are safe.
type Journal interface {
	// NewDay returns an ID for a day about to start.
	NewDay() (DayID, error)
	// Append saves events and the day's summary after them. The first event of
	// a day has Seq 1; a gap or a repeat is refused.
	Append(id DayID, events []Recorded, sum DaySummary) error
	// DeleteDay removes a day that has ended, or one on which nothing has gone into
	// the water. Its ID is not given again.
	DeleteDay(id DayID) error
	// OpenDay finds the day that has not ended; ok is false if there is none.
	OpenDay() (id DayID, ok bool, err error)
	// Day is the day that its journal tells, with the names as they are now.
	Day(id DayID) (Day, error)
	// Days lists past and running days, newest first, at most limit (0: all), with
	// the names as they are now.
	Days(limit int) ([]DaySummary, error)
}

// Left is when the program was closed, and the last event of the running day at that
// time. A day with later events was cut off without a close.
type Left struct {
	Day DayID     `json:"day"`
	Seq uint64    `json:"seq"`
	At  time.Time `json:"at"`
}

// Ledger keeps what outlives a day.
type Ledger interface {
	// Kit returns the saved kit; ok is false before the first start is through.
	Kit() (k Kit, ok bool, err error)
	SaveKit(Kit) error
	// AlarmSettings are how alarms reach the person; the zero value before any
	// were saved.
	AlarmSettings() (AlarmSettings, error)
	SaveAlarmSettings(AlarmSettings) error
	// Fleeces lists all, newest first.
	Fleeces() ([]Fleece, error)
	// SaveFleece stores a fleece and returns it with its ID; an empty ID makes a new one.
	SaveFleece(Fleece) (Fleece, error)
	// DeleteFleece removes a fleece that no day uses.
	DeleteFleece(id string) error
	// Methods lists the person's own methods; the built-in one is not among them.
	Methods() ([]Method, error)
	// SaveMethod stores a method and returns it with its ID; an empty ID makes a new one.
	SaveMethod(Method) (Method, error)
	// DeleteMethod removes one of the person's own methods.
	DeleteMethod(id string) error
	// Printed lists the tags that were printed, each as it was last.
	Printed() ([]PrintedTag, error)
	// Left is how the program was left last while a day ran; the zero value if it never was.
	Left() (Left, error)
	SaveLeft(Left) error
}

// Summarise makes the day's line for the list of days.
func Summarise(id DayID, d Day) DaySummary {
	s := DaySummary{Rows: rowsOf(d), ID: id, StartedAt: d.StartedAt, EndedAt: d.EndedAt, Batches: len(d.Plan.Batches), Alarms: countAlarms(d.AlarmLog) + countAlarms(d.Alarms)}
	if !d.EndedAt.IsZero() {
		s.Lessons, s.Hands = d.Lessons(), d.HandsTimes()
	}
	for _, f := range d.Plan.Fleeces {
		s.Fleeces = append(s.Fleeces, f.Title())
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
