package session

import (
	"reflect"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/shed"
)

// Event is something that happened. Tub is always an index into the day's kit.
// Figures that a later version might compute otherwise (forecasts) are kept in
// the event, so that an old record stays what it was.
type Event interface{ kind() eventKind }

// eventKind is how an event is written, and what it changes. It is part of the
// interface, so that no new event can leave it open.
type eventKind struct {
	word  string
	scope scope
}

// scope is what an event changes.
type scope int

const (
	ofTub    scope = iota // what stands at a tub, and is gone with its bath
	ofPlan                // the plan, or the day's begin and end
	ofFate                // what becomes of the batch in a tub: which of its baths it is in, too
	ofRecord              // what became of a batch by its mark: also days later, and it opens no day again
	ofAlarm               // alarms alone
	ofWatch               // the program, its clock, what it was told of other days
)

// Recorded is an event with its place in the day's journal and its time.
type Recorded struct {
	Seq   uint64    // 1, 2, 3 … without gaps
	At    time.Time // UTC
	Event Event
}

// The events of a day.
type (
	// DayStarted opens a day with all it needs, so that later changes to the
	// kit or the ledger do not reach back into it, but for names (Day.Named).
	DayStarted struct {
		Plan shed.Plan `json:"plan"`
		// Loads gives the first batches their tubs.
		Loads []BatchLoaded `json:"loads"`
	}
	// BatchLoaded gives a tub its next batch and the steps it will go through.
	BatchLoaded struct {
		Tub   int         `json:"tub"`
		Batch string      `json:"batch"`
		Steps []shed.Step `json:"steps"`
		// AgoMin, here and below: it was over so many minutes before it was written
		// down, with what followed it at once.
		AgoMin float64 `json:"ago_min,omitempty"`
	}
	// BathFilled says water is in the tub, scour stirred in; TempC before the
	// fleece. Read is false when nobody took the temperature.
	BathFilled struct {
		Tub     int     `json:"tub"`
		VolumeL float64 `json:"volume_l"`
		TempC   float64 `json:"temp_c"`
		Read    bool    `json:"read"`
		DoseML  float64 `json:"dose_ml"`
		// HotL was drawn from the hot tap, what the kettle boiled included; 0 in
		// an older record.
		HotL float64 `json:"hot_l,omitempty"`
		// KettleL of it was boiled.
		KettleL float64 `json:"kettle_l,omitempty"`
		AgoMin  float64 `json:"ago_min,omitempty"`
	}
	// KettlePutOn says that the kettle is on for a step of a batch: VolumeL, which
	// takes about BoilMin. Tub is where the batch is, or will be.
	KettlePutOn struct {
		Tub      int     `json:"tub"`
		Batch    string  `json:"batch"`
		Step     int     `json:"step"`
		StepName string  `json:"step_name"`
		VolumeL  float64 `json:"volume_l"`
		BoilMin  float64 `json:"boil_min"`
		// LoadL is what the kettle holds, where it takes more than one boil; else 0, and
		// in an older record.
		LoadL float64 `json:"load_l,omitempty"`
		// Turned: it was on for another bath, and goes on boiling.
		Turned bool `json:"turned,omitempty"`
	}
	// KettleRefilled says that one boil of several is kept hot, and the next is on.
	KettleRefilled struct {
		Tub   int     `json:"tub"`
		MoreL float64 `json:"more_l,omitempty"` // than it was put on for
	}
	// KettleAgain says that what has boiled and stood is on again: what is in the kettle, or All
	// of it. That takes about BoilMin.
	KettleAgain struct {
		Tub     int     `json:"tub"`
		BoilMin float64 `json:"boil_min"`
		All     bool    `json:"all,omitempty"`
	}
	// KettleBoiled says that all of it has boiled.
	KettleBoiled struct {
		Tub int `json:"tub"`
	}
	// FleeceSunk begins the soak. The wet fleece is WetJPerK of heat capacity
	// at WetC; ForecastC is the bath's temperature with it in.
	FleeceSunk struct {
		Tub       int           `json:"tub"`
		WetJPerK  float64       `json:"wet_j_per_k"`
		WetC      float64       `json:"wet_c"`
		ForecastC float64       `json:"forecast_c"`
		Cover     cooling.Cover `json:"cover"`
		SoakMin   float64       `json:"soak_min,omitempty"` // as planned; 0: as the method has it
	}
	// ReadingTaken is a thermometer reading; ForecastC what was expected.
	ReadingTaken struct {
		Tub       int     `json:"tub"`
		TempC     float64 `json:"temp_c"`
		ForecastC float64 `json:"forecast_c"`
	}
	// CoverChanged says what lies on the tub from now on.
	CoverChanged struct {
		Tub   int           `json:"tub"`
		Cover cooling.Cover `json:"cover"`
	}
	// ToppedUp adds hot water.
	ToppedUp struct {
		Tub     int     `json:"tub"`
		VolumeL float64 `json:"volume_l"`
		TempC   float64 `json:"temp_c"`
		BailL   float64 `json:"bail_l,omitempty"` // taken out before
	}
	// FillCorrected is what the bath was really filled with, in place of what BathFilled has.
	FillCorrected struct {
		Tub     int     `json:"tub"`
		VolumeL float64 `json:"volume_l"`
		HotL    float64 `json:"hot_l,omitempty"`
	}
	// SoakChanged sets the planned soak of the bath, whole length in minutes.
	SoakChanged struct {
		Tub     int     `json:"tub"`
		SoakMin float64 `json:"soak_min"`
	}
	// TubHeld stops the soak clock; water goes on cooling.
	TubHeld struct {
		Tub int `json:"tub"`
	}
	// TubResumed lets the soak clock go on.
	TubResumed struct {
		Tub int `json:"tub"`
	}
	// FleeceLifted ends the soak.
	FleeceLifted struct {
		Tub       int     `json:"tub"`
		ForecastC float64 `json:"forecast_c"`
		SdC       float64 `json:"sd_c"`
	}
	// TubDrained ends the bath: fleece drained, tub emptied.
	TubDrained struct {
		Tub    int     `json:"tub"`
		AgoMin float64 `json:"ago_min,omitempty"`
	}
	// StepSkipped goes on to the next step; Emptied: the bath that stood was emptied before.
	StepSkipped struct {
		Tub     int  `json:"tub"`
		Emptied bool `json:"emptied,omitempty"`
	}
	// StepRepeated begins the same step again with fresh water: the last bath, or the Nth
	// step of its batch, from 1, and all behind it. DosePart is of the usual dose; 0: as the
	// step has it.
	StepRepeated struct {
		Tub      int     `json:"tub"`
		Nth      int     `json:"nth,omitempty"`
		DosePart float64 `json:"dose_part,omitempty"`
	}
	// BasketMoved takes a batch on to another tub, its next step there.
	BasketMoved struct {
		Tub int `json:"tub"`
		To  int `json:"to_tub"`
	}
	// FibreSpun ends the spin.
	FibreSpun struct {
		Tub    int     `json:"tub"`
		AgoMin float64 `json:"ago_min,omitempty"`
	}
	// FibreRacked ends the batch's way through the water and frees its tub.
	FibreRacked struct {
		Tub int `json:"tub"`
		// Tray is the mark of the tray it lies on; "" where none is known.
		Tray string `json:"tray,omitempty"`
		// Spots are its places and layers there, on a tray that has layers.
		Spots []shed.Spot `json:"spots,omitempty"`
	}
	// BatchMoved says that a batch lies on another tray from now on, or that one which its day left wet
	// is on the rack.
	BatchMoved struct {
		Batch string      `json:"batch"`
		Tray  string      `json:"tray"`
		Spots []shed.Spot `json:"spots,omitempty"`
	}
	// RackLookedOver is what earlier days have on the rack now: something was
	// bagged, or put back, in the middle of this one.
	RackLookedOver struct {
		OnRack []shed.Lying `json:"on_rack"`
	}
	// NoteAdded is something to remember; Tub -1 means the whole day.
	NoteAdded struct {
		Tub  int    `json:"tub"`
		Text string `json:"text"`
	}
	// BatchWeighed is a batch's dry weight, grams; it may come days later. With
	// it the batch is bagged. RH is the room's humidity as a part, 0: not known.
	BatchWeighed struct {
		Batch string     `json:"batch"`
		DryG  float64    `json:"dry_g"`
		Scale shed.Scale `json:"scale,omitzero"`
		RH    float64    `json:"rh,omitempty"`
	}
	// BatchWeighedWet is a weight on the way to dry: spun, or on the rack. A batch that was
	// bagged lies there again.
	BatchWeighedWet struct {
		Batch string     `json:"batch"`
		MassG float64    `json:"mass_g"`
		Scale shed.Scale `json:"scale,omitzero"`
		// InPlace: it takes the place of the last one, however long ago that was.
		InPlace bool `json:"in_place,omitempty"`
	}
	// BatchWeighedSoaked is a batch's weight after the presoak, dried again
	// before the wash: what it lost till then was soil and suint.
	BatchWeighedSoaked struct {
		Batch string     `json:"batch"`
		MassG float64    `json:"mass_g"`
		Scale shed.Scale `json:"scale,omitzero"`
	}
	// BatchWeighedRaw is a batch's raw weight from the scale, in place of the planned one.
	BatchWeighedRaw struct {
		Batch string     `json:"batch"`
		RawG  float64    `json:"raw_g"`
		Scale shed.Scale `json:"scale,omitzero"`
	}
	// BatchJudged says how a batch came out and where its bag is; it replaces what was said before.
	BatchJudged struct {
		Batch string `json:"batch"`
		Found Found  `json:"found"`
		Note  string `json:"note,omitempty"`
		Place string `json:"place,omitempty"` // of its bag
		// OffTray: it was not thrown away after all, and another has its place on the tray by now.
		OffTray bool `json:"off_tray,omitempty"`
	}
	// PartNamed says from which part of its fleece a batch is; "" not known.
	PartNamed struct {
		Batch string `json:"batch"`
		Part  string `json:"part"`
	}
	// BreakTaken says that the person is away in InMin for ForMin; 0: is back, or does not go.
	BreakTaken struct {
		InMin  float64 `json:"in_min,omitempty"`
		ForMin float64 `json:"for_min,omitempty"`
	}
	// Undone takes back the person's last event, Seq.
	Undone struct {
		Seq uint64 `json:"seq"`
	}
	// WatchResumed says the program was not running for a while.
	WatchResumed struct {
		Gap time.Duration `json:"gap_ns"`
	}
	// DayEnded closes the day.
	DayEnded struct {
		Early bool `json:"early"`
	}
	// SoundChecked is a sound check: what played, and whether it was heard.
	SoundChecked struct {
		Heard bool   `json:"heard"`
		Path  string `json:"path"`
	}
	// KitChanged is the kit as it is from now on: a room that has warmed, a tub
	// more. The tubs in use keep their places.
	KitChanged struct {
		Kit shed.Kit `json:"kit"`
	}
	// BatchAdded puts one more batch at the end of the plan, with its fleece if
	// that was not in the day yet.
	BatchAdded struct {
		Fleece shed.Fleece `json:"fleece"`
		Batch  shed.Batch  `json:"batch"`
	}
	// AlarmRaised comes from time and temperature, like AlarmRepeated and
	// AlarmCleared; AlarmAcknowledged comes from the person.
	AlarmRaised struct {
		Alarm AlarmKind `json:"alarm"`
		Tub   int       `json:"tub"`
	}
	// AlarmRepeated rings an alarm again that nobody has acted on.
	AlarmRepeated struct {
		Alarm AlarmKind `json:"alarm"`
		Tub   int       `json:"tub"`
	}
	// AlarmCleared says the cause is gone.
	AlarmCleared struct {
		Alarm AlarmKind `json:"alarm"`
		Tub   int       `json:"tub"`
		// Answered says that something the person did removed the cause; false
		// when a worse alarm took its place.
		Answered bool `json:"answered"`
		// ByItself says that the cause went without anybody's doing.
		ByItself bool `json:"by_itself,omitempty"`
	}
	// AlarmEscalated raises an alarm's priority: nobody has come.
	AlarmEscalated struct {
		Alarm    AlarmKind `json:"alarm"`
		Tub      int       `json:"tub"`
		Priority Priority  `json:"priority"`
	}
	// AlarmShelved puts an alarm off.
	AlarmShelved struct {
		Alarm AlarmKind `json:"alarm"`
		Tub   int       `json:"tub"`
		Until time.Time `json:"until"`
		Why   string    `json:"why"`
	}
	// AlarmUnshelved ends that, by its time or by the person.
	AlarmUnshelved struct {
		Alarm AlarmKind `json:"alarm"`
		Tub   int       `json:"tub"`
	}
	// AlarmService takes a kind of alarm out of service for the day, or puts it back.
	AlarmService struct {
		Alarm AlarmKind `json:"alarm"`
		Out   bool      `json:"out"`
	}
	// ClockSet says that the machine's clock was set by so much: what runs was
	// moved with it. What is from before the watch was resumed is longer ago by Off.
	ClockSet struct {
		By  time.Duration `json:"by_ns"`
		Off time.Duration `json:"off_ns,omitempty"`
	}
	// AlarmAcknowledged says the person has heard it.
	AlarmAcknowledged struct {
		Alarm AlarmKind `json:"alarm"`
		Tub   int       `json:"tub"`
	}
)

func (DayStarted) kind() eventKind         { return eventKind{"day started", ofPlan} }
func (BatchLoaded) kind() eventKind        { return eventKind{"batch loaded", ofFate} }
func (BathFilled) kind() eventKind         { return eventKind{"bath filled", ofTub} }
func (KettlePutOn) kind() eventKind        { return eventKind{"kettle put on", ofTub} }
func (KettleRefilled) kind() eventKind     { return eventKind{"kettle refilled", ofTub} }
func (KettleAgain) kind() eventKind        { return eventKind{"kettle on again", ofTub} }
func (KettleBoiled) kind() eventKind       { return eventKind{"kettle boiled", ofTub} }
func (FleeceSunk) kind() eventKind         { return eventKind{"fleece sunk", ofFate} }
func (ReadingTaken) kind() eventKind       { return eventKind{"reading taken", ofTub} }
func (CoverChanged) kind() eventKind       { return eventKind{"cover changed", ofTub} }
func (ToppedUp) kind() eventKind           { return eventKind{"topped up", ofTub} }
func (FillCorrected) kind() eventKind      { return eventKind{"fill corrected", ofTub} }
func (SoakChanged) kind() eventKind        { return eventKind{"soak changed", ofTub} }
func (TubHeld) kind() eventKind            { return eventKind{"tub held", ofTub} }
func (TubResumed) kind() eventKind         { return eventKind{"tub resumed", ofTub} }
func (FleeceLifted) kind() eventKind       { return eventKind{"fleece lifted", ofFate} }
func (TubDrained) kind() eventKind         { return eventKind{"tub drained", ofFate} }
func (StepSkipped) kind() eventKind        { return eventKind{"step skipped", ofFate} }
func (StepRepeated) kind() eventKind       { return eventKind{"step repeated", ofFate} }
func (BasketMoved) kind() eventKind        { return eventKind{"basket moved", ofFate} }
func (FibreSpun) kind() eventKind          { return eventKind{"fibre spun", ofFate} }
func (FibreRacked) kind() eventKind        { return eventKind{"fibre racked", ofFate} }
func (NoteAdded) kind() eventKind          { return eventKind{"note added", ofTub} }
func (BatchWeighed) kind() eventKind       { return eventKind{"batch weighed", ofRecord} }
func (BatchWeighedWet) kind() eventKind    { return eventKind{"batch weighed wet", ofRecord} }
func (BatchWeighedRaw) kind() eventKind    { return eventKind{"batch weighed raw", ofRecord} }
func (BatchWeighedSoaked) kind() eventKind { return eventKind{"batch weighed soaked", ofRecord} }
func (PartNamed) kind() eventKind          { return eventKind{"part named", ofRecord} }
func (BatchMoved) kind() eventKind         { return eventKind{"batch moved", ofRecord} }
func (BatchJudged) kind() eventKind        { return eventKind{"batch judged", ofRecord} }
func (RackLookedOver) kind() eventKind     { return eventKind{"rack looked over", ofWatch} }
func (BreakTaken) kind() eventKind         { return eventKind{"break taken", ofTub} }
func (Undone) kind() eventKind             { return eventKind{"undone", ofWatch} }
func (WatchResumed) kind() eventKind       { return eventKind{"watch resumed", ofWatch} }
func (DayEnded) kind() eventKind           { return eventKind{"day ended", ofPlan} }
func (KitChanged) kind() eventKind         { return eventKind{"kit changed", ofPlan} }
func (BatchAdded) kind() eventKind         { return eventKind{"batch added", ofPlan} }
func (SoundChecked) kind() eventKind       { return eventKind{"sound checked", ofWatch} }
func (AlarmRaised) kind() eventKind        { return eventKind{"alarm raised", ofAlarm} }
func (AlarmRepeated) kind() eventKind      { return eventKind{"alarm repeated", ofAlarm} }
func (AlarmCleared) kind() eventKind       { return eventKind{"alarm cleared", ofAlarm} }
func (AlarmAcknowledged) kind() eventKind  { return eventKind{"alarm acknowledged", ofAlarm} }
func (AlarmEscalated) kind() eventKind     { return eventKind{"alarm escalated", ofAlarm} }
func (AlarmShelved) kind() eventKind       { return eventKind{"alarm shelved", ofAlarm} }
func (AlarmUnshelved) kind() eventKind     { return eventKind{"alarm unshelved", ofAlarm} }
func (AlarmService) kind() eventKind       { return eventKind{"alarm service", ofAlarm} }
func (ClockSet) kind() eventKind           { return eventKind{"clock set", ofWatch} }

// eventTypes maps an event's written kind to its Go type.
var eventTypes = func() map[string]reflect.Type {
	m := map[string]reflect.Type{}
	for _, e := range AllEvents() {
		m[e.kind().word] = reflect.TypeOf(e)
	}
	return m
}()

// AllEvents has one empty value of each kind of event, for codecs and tests.
func AllEvents() []Event {
	return []Event{
		DayStarted{}, BatchLoaded{}, BathFilled{}, KettlePutOn{}, KettleRefilled{}, KettleAgain{}, KettleBoiled{}, FleeceSunk{}, ReadingTaken{}, CoverChanged{}, ToppedUp{}, FillCorrected{},
		SoakChanged{}, TubHeld{}, TubResumed{}, FleeceLifted{}, TubDrained{}, StepSkipped{}, StepRepeated{}, BasketMoved{},
		FibreSpun{}, FibreRacked{}, NoteAdded{}, BatchWeighed{}, BatchWeighedWet{}, BatchWeighedRaw{}, BatchWeighedSoaked{}, RackLookedOver{}, BatchMoved{}, BatchJudged{}, PartNamed{}, BreakTaken{}, Undone{}, WatchResumed{}, DayEnded{}, KitChanged{}, BatchAdded{}, SoundChecked{},
		AlarmRaised{}, AlarmRepeated{}, AlarmCleared{}, AlarmAcknowledged{}, AlarmEscalated{}, AlarmShelved{}, AlarmUnshelved{}, AlarmService{}, ClockSet{},
	}
}

// KindOf is the written kind of an event, such as "fleece lifted".
func KindOf(e Event) string { return e.kind().word }

// Outlines says that an event changes the plan or what becomes of a batch. A replay of
// these events alone gives the same batches as the whole journal.
func Outlines(e Event) bool {
	a := e.kind().scope
	return a == ofPlan || a == ofFate || a == ofRecord
}

// TubOf is the tub an event belongs to, -1 for none.
func TubOf(e Event) int {
	f := reflect.ValueOf(e).FieldByName("Tub")
	if !f.IsValid() {
		return -1
	}
	return int(f.Int())
}
