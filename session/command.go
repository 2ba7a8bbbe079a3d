package session

import (
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/shed"
)

// Command is something a person wants to do.
type Command interface{ isCommand() }

// The commands.
type (
	// StartDay begins the wash day.
	StartDay struct{ Plan shed.Plan }
	// DoNext does the obvious action at a tub. Act must be what NextAction
	// says, so that a key pressed twice does not do two things. TempC with
	// HasTemp is a thermometer reading taken with a fill. Sooner lets a lift
	// come before the shortest soak. Batch is the one to load; "" takes the next
	// in the order of the plan.
	DoNext struct {
		Tub     int
		Act     shed.Action
		Batch   string
		HasTemp bool
		TempC   float64
		Sooner  bool
		Tray    string  // to rack on; "" takes the first with room
		AgoMin  float64 // it was over so many minutes ago
		TapOnly bool    // a fill without the kettle water that it was to have, but for what has boiled
	}
	// TakeReading is a thermometer reading; Sure insists on an unlikely one.
	TakeReading struct {
		Tub   int
		TempC float64
		Sure  bool
	}
	// SetCover changes what lies on the tub.
	SetCover struct {
		Tub   int
		Cover cooling.Cover
	}
	// TopUp pours hot water in; BailL of the bath was taken out before, to make room.
	// Sure insists on water that leaves the bath too hot or too cool.
	TopUp struct {
		Tub            int
		VolumeL, TempC float64
		BailL          float64
		Sure           bool
	}
	// CorrectFill says how much water the bath of a tub holds, with what it was topped up by, in place of
	// what its fill was told with. Sure insists on an unlikely figure.
	CorrectFill struct {
		Tub    int
		LevelL float64
		Sure   bool
	}
	// AdjustSoak makes the soak longer or shorter by so many minutes.
	AdjustSoak struct {
		Tub   int
		ByMin float64
	}
	// TellKettle says that the kettle is on for the next bath of a tub, and once it
	// is on that it has boiled. Sure insists on a boil that came very soon.
	// Batch is the one that an idle tub is to have; "" takes the next. Turn says that what is on, or has
	// boiled, for another tub is for this one now.
	TellKettle struct {
		Tub   int
		Batch string
		Sure  bool
		Turn  bool
	}
	// Hold sets a tub aside, with its batch or without one.
	Hold struct{ Tub int }
	// Resume takes a held tub up again.
	Resume struct{ Tub int }
	// SkipStep goes on to the next step.
	SkipStep struct{ Tub int }
	// RepeatStep does the last bath again; with Wash the last wash, and what comes behind
	// it. DosePart of the usual dose goes in then; 0: as the step has it.
	RepeatStep struct {
		Tub      int
		Wash     bool
		DosePart float64
	}
	// MoveBasket lifts a batch that is out of the water into another tub, which stands idle: its
	// next bath is there, and its last one is still to be emptied.
	MoveBasket struct{ Tub, To int }
	// AddNote keeps a note; Tub -1 for the whole day.
	AddNote struct {
		Tub  int
		Text string
	}
	// Acknowledge says the alarms of a tub are heard; Tub -1 for all.
	Acknowledge struct{ Tub int }
	// Shelve puts an alarm off for so many minutes, for a reason.
	Shelve struct {
		Tub    int
		Kind   AlarmKind
		ForMin float64
		Why    string
	}
	// Unshelve takes that back.
	Unshelve struct {
		Tub  int
		Kind AlarmKind
	}
	// SetService takes a kind of alarm out of service for the day, or puts it back.
	SetService struct {
		Kind AlarmKind
		Out  bool
	}
	// SetClock says that the machine's clock was set by so much, and that nobody watched for Off
	// longer than was said when the watch was resumed.
	SetClock struct{ By, Off time.Duration }
	// Weigh enters what a batch weighs that should be dry, grams: it is bagged with it where
	// its weights show it dry or where Dry says so, and else dries on. RH is the room's
	// humidity, 0 to 1; 0: not known. Sure insists on what is unlikely, RoomSure on the
	// humidity alone, neither on its being dry. AskedAt is that of WeighWet.
	Weigh struct {
		Batch string
		DryG  float64
		Scale shed.Scale
		RH    float64
		Dry   bool
		Sure  bool

		RoomSure bool
		AskedAt  time.Time
	}
	// WeighWet enters the weight of a batch that is spun or dries. InPlace says that the
	// last one was mistyped: this takes its place. AskedAt is when that
	// was asked about which Sure insists on: what was promised then holds.
	WeighWet struct {
		Batch   string
		MassG   float64
		Scale   shed.Scale
		InPlace bool
		Sure    bool
		AskedAt time.Time
	}
	// WeighSoaked enters what a batch weighed after the presoak, dried again.
	WeighSoaked struct {
		Batch string
		MassG float64
		Scale shed.Scale
		Sure  bool
	}
	// NamePart says from which part of its fleece a batch is; "" not known.
	NamePart struct{ Batch, Part string }
	// Judge says how a batch came out and where its bag is, in place of what was said before. OnRack is
	// what other days have on the rack now, for one that was not thrown away after all.
	Judge struct {
		Batch  string
		Out    Outcome
		OnRack []shed.Lying
	}
	// MoveOnRack lays a batch that dries on another tray, or on one at all; one that its day left wet, on
	// the rack. OnRack
	// is what other days have there now; Trays are the kit's of now, for a day that knew of none.
	MoveOnRack struct {
		Batch, Tray string
		Trays       []shed.Tray
		OnRack      []shed.Lying
	}
	// LookOverRack says what earlier days have on the rack now.
	LookOverRack struct{ OnRack []shed.Lying }
	// WeighRaw enters what a batch weighed raw, in place of what was planned.
	WeighRaw struct {
		Batch string
		RawG  float64
		Scale shed.Scale
		Sure  bool
	}
	// TakeBreak says that the person is away in InMin for ForMin; 0: is back, or does not go.
	TakeBreak struct{ InMin, ForMin float64 }
	// Undo takes back the last thing the person did.
	Undo struct{}
	// EndDay closes the day; Anyway even with work left.
	EndDay struct{ Anyway bool }
	// ChangeKit corrects the kit during the day.
	ChangeKit struct{ Kit shed.Kit }
	// AddBatch adds a batch to the running day; Fleece is needed if it is new
	// to the day.
	AddBatch struct {
		Fleece shed.Fleece
		Batch  shed.Batch
	}
	// EnterCard enters a batch of an earlier wash from its card. The first of a day begins and
	// ends it: Plan has the kit, the method and when it is entered.
	EnterCard struct {
		Plan   shed.Plan
		Fleece shed.Fleece
		Batch  shed.Batch
	}
	// ProveSound notes a sound check: whether the person heard the alarm, and
	// which player served.
	ProveSound struct {
		Heard bool
		Path  string
	}
	// ResumeWatch notes that the program was away and is back. Away is for how
	// long, where the clock does not tell; 0: since the last event.
	ResumeWatch struct{ Away time.Duration }
)

func (StartDay) isCommand()     {}
func (DoNext) isCommand()       {}
func (TakeReading) isCommand()  {}
func (SetCover) isCommand()     {}
func (TopUp) isCommand()        {}
func (CorrectFill) isCommand()  {}
func (AdjustSoak) isCommand()   {}
func (TellKettle) isCommand()   {}
func (Hold) isCommand()         {}
func (Resume) isCommand()       {}
func (SkipStep) isCommand()     {}
func (RepeatStep) isCommand()   {}
func (MoveBasket) isCommand()   {}
func (AddNote) isCommand()      {}
func (Acknowledge) isCommand()  {}
func (Shelve) isCommand()       {}
func (Unshelve) isCommand()     {}
func (SetService) isCommand()   {}
func (SetClock) isCommand()     {}
func (Weigh) isCommand()        {}
func (WeighWet) isCommand()     {}
func (WeighRaw) isCommand()     {}
func (WeighSoaked) isCommand()  {}
func (NamePart) isCommand()     {}
func (MoveOnRack) isCommand()   {}
func (Judge) isCommand()        {}
func (LookOverRack) isCommand() {}
func (TakeBreak) isCommand()    {}
func (Undo) isCommand()         {}
func (EndDay) isCommand()       {}
func (ChangeKit) isCommand()    {}
func (AddBatch) isCommand()     {}
func (EnterCard) isCommand()    {}
func (ProveSound) isCommand()   {}
func (ResumeWatch) isCommand()  {}
