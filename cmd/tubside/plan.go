package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/form"
)

const planHelp = `plan works a wash day out before a drop is poured: how many batches, what goes
into each bath, what to do at which tub and when, when it is done, and what it takes.

Use flags for one fleece, or --file with a JSON file for any number:

  {"kit": {"room_c": 16, "tubs": [{"name": "North", "capacity_l": 25, "fill_l": 19,
           "shape": "deep", "cover": "lid"}]},
   "fleeces": [{"animal": "Invented ewe", "type": "longwool", "wax": "low",
                "raw_g": 900, "form": "loose"}],
   "start": "2026-05-16T08:00:00Z"}

Each batch is sized for its tub, 22 to 28 g for each L of its wash (3 to 3.7 oz
for each US gal) by type and form. More than ten hours of work is spread over
several days. Each batch stays in one tub: with several batches, a tub kept for
rinses ends the day later.

What a kit in the file leaves out is as usual, its "units" too; a file without a
kit goes by your own. "method" may hold a whole method. --file - reads standard input.`

// plan is what the flags of the command ask for.
type plan struct {
	file, kind, form, wax, presoak, cover, start, ready string
	away                                                string
	fleece, basket                                      string // leftOut
	rawG, basketG                                       float64
	kit                                                 shed.Kit // the figures of the flags
	tub                                                 shed.Tub
	tubs                                                int
	alike                                               bool                  // the flags say what the tubs are
	alarms                                              session.AlarmSettings // of the record
	json                                                bool
}

func newPlanCommand(o *options) *cobra.Command {
	p := &plan{tub: shed.Tub{Shape: cooling.Deep}}
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "Plan a wash day: batches, fills, timetable, what it takes",
		Long:  planHelp,
		Example: `  tubside plan --fleece "{1.5 kg}" --type longwool --tubs 3 --size "{25 L}" --bath "{19 L}"
  tubside plan --fleece "{900 g}" --start "tomorrow {07:30}" --break "{12:30}-{13:15}"
  tubside plan --file day.json --json`,
		Args: takesNone("plan takes its file as --file %s"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			own, u, err := o.kitOf(cmd)
			p.kit = shed.UsualKit(u)
			_, p.alarms, _ = store.PeekKit(o.file())
			if own != nil {
				p.kit = *own
				if !cmd.Flags().Changed("tubs") {
					p.tubs = len(own.Tubs)
				}
				if !cmd.Flags().Changed("cover") {
					p.cover = own.Tubs[0].Cover.String()
				}
			}
			if err == nil {
				err = readFigures(cmd.Flags(), u, own)
			}
			if err != nil {
				return err
			}
			for _, name := range []string{"tubs", "size", "bath", "cover"} {
				p.alike = p.alike || cmd.Flags().Changed(name)
			}
			return p.run(cmd.InOrStdin(), cmd.OutOrStdout())
		},
	}
	usual := shed.DefaultKit()
	p.kit = usual
	flags := cmd.Flags()
	flags.StringVar(&p.file, "file", "", "read the day from this JSON `file`")
	weight(flags, &p.rawG, "fleece", "", "raw `weight` of the fleece").or(&p.fleece, "")
	flags.StringVar(&p.kind, "type", "medium", "the fleece's `type`: fine, medium, longwool or double-coated")
	flags.StringVar(&p.form, "form", "loose", "what `form` you keep it in: loose or locks")
	flags.StringVar(&p.wax, "wax", "medium", "how much `wax` it has: low, medium or high, which is washed twice")
	flags.StringVar(&p.presoak, "presoak", "as the method", "which `presoak`: as the method, none, quick dunk or overnight")
	weight(flags, &p.basketG, "basket", "", "most raw `weight` in a basket; otherwise as usual for the type and the tub").or(&p.basket, "")
	count(flags, &p.tubs, "tubs", len(usual.Tubs), shed.MaxTubs, "how many tubs, all alike; without this, --size, --bath and --cover, your kit's or a usual kit's")
	volume(flags, &p.tub.CapacityL, "size", usualL(usual.Tubs[0].CapacityL), "a tub's `size` to the rim").of(func(k shed.Kit) float64 { return k.Tubs[0].CapacityL })
	volume(flags, &p.tub.FillL, "bath", usualL(usual.Tubs[0].FillL), "how much `water` a bath takes").of(func(k shed.Kit) float64 { return k.Tubs[0].FillL })
	flags.StringVar(&p.cover, "cover", usual.Tubs[0].Cover.String(), "what `cover` the tubs have: open, lid, film, or lid and film")
	temperature(flags, &p.kit.HotTapC, "hot", usualC(usual.HotTapC), "the hot tap's `temperature`").of(hotTap)
	temperature(flags, &p.kit.ColdTapC, "cold", usualC(usual.ColdTapC), "the cold tap's `temperature`").of(coldTap)
	temperature(flags, &p.kit.RoomC, "room", usualC(usual.RoomC), "the room's `temperature`").of(roomOf)
	volume(flags, &p.kit.Kettle.CapacityL, "kettle", usualL(usual.Kettle.CapacityL), "the kettle's `size`; 0 for none").of(kettleSize)
	power(flags, &p.kit.Kettle.PowerW, "kettle-power", shed.KettleFor, "the kettle's `power`").of(func(k shed.Kit) float64 { return k.Kettle.PowerW })
	volume(flags, &p.kit.Tank.VolumeL, "tank", "0", "the `size` of the water heater's tank; 0 if it never runs out").of(func(k shed.Kit) float64 { return k.Tank.VolumeL })
	volume(flags, &p.kit.BinL, "bin", "0", "the `size` of a bin or bath for overnight presoaks; 0 to use the tubs").of(func(k shed.Kit) float64 { return k.BinL })
	power(flags, &p.kit.Tank.HeaterW, "heater", shed.HeaterFor, "the water heater's `power`").of(func(k shed.Kit) float64 { return k.Tank.HeaterW })
	altitude(flags, &p.kit.AltitudeM)
	flags.StringVar(&p.start, "start", "", "the `time` you start, such as "+exampleTimes+"; otherwise today at {08:00}")
	flags.StringVar(&p.ready, "ready-by", "", "the `time` to be done by, such as {16:00} or tomorrow {16:00}: it starts as late as that allows")
	kitFlag(flags)
	unitsFlag(flags)
	flags.StringVar(&p.away, "break", "none", "`hours` when you are away, such as \"{12:30}-{13:15}, {16:00}-{16:20}\": nothing is planned for you then")
	flags.BoolVar(&p.json, "json", false, "print JSON")
	return cmd
}

func (p *plan) run(in io.Reader, out io.Writer) error {
	day, parts, start, err := p.day(in)
	if err != nil {
		return err
	}
	if day.Break, err = form.ReadHours(day.Kit.Units, p.away, form.UsualBreaks); err != nil {
		return usage("--break %v", err)
	}
	day = day.WithQuiet(p.alarms.QuietHours())
	o, start, err := p.plan(day, start)
	if err != nil {
		return err
	}
	if loud := day.SayNoQuiet(p.alarms.QuietHours()); loud != "" {
		o.Cautions = append(o.Cautions, loud)
	}
	if err := day.Kit.AskFleeceG(p.rawG); p.file == "" && err != nil {
		o.Cautions = append(o.Cautions, err.Error())
	}
	byTubs := planner.CompareTubs(o, start, planner.Earliest, func(day shed.Plan) ([]shed.Batch, error) { return planner.Split(day, parts...) })
	if p.json {
		return writePlanJSON(out, o, byTubs)
	}
	return writePlanText(out, o, byTubs)
}

// day is the day asked for, the parts of fleeces that its batches are split from, and when
// it begins.
func (p *plan) day(in io.Reader) (shed.Plan, []planner.Part, time.Time, error) {
	if p.file != "" {
		day, parts, start, err := readDay(p.file, p.kit, in)
		if err == nil && p.start != "" {
			start, _, err = p.moment("--start", p.start, today(0))
		}
		return day, parts, start, err
	}
	return p.fromFlags()
}

// fromFlags makes a day of one invented fleece from the flags.
func (p *plan) fromFlags() (shed.Plan, []planner.Part, time.Time, error) {
	k, none := p.kit, time.Time{}
	if p.fleece != "" {
		return shed.Plan{}, nil, none, usage("say what is to be washed: --fleece \"%s\", or --file day.json", k.Units.Mass(k.Units.RoundMassG(1500)))
	}
	start, err := today(8), error(nil)
	if p.start != "" {
		start, _, err = p.moment("--start", p.start, today(0))
	}
	if err != nil {
		return shed.Plan{}, nil, none, err
	}
	f := shed.Fleece{ID: "f1", Animal: "the fleece", RawG: p.rawG}
	part := planner.Part{BasketG: p.basketG}
	tub := p.tub
	for _, x := range []struct {
		flag, text string
		read       func(string) error
	}{
		{"--type", p.kind, words(&f.Type)}, {"--wax", p.wax, words(&f.Wax)},
		{"--form", p.form, words(&part.Form)}, {"--presoak", p.presoak, words(&part.Presoak)}, {"--cover", p.cover, words(&tub.Cover)},
	} {
		if err := x.read(x.text); err != nil {
			return shed.Plan{}, nil, none, usage("%s: %v", x.flag, err)
		}
	}
	if p.tubs < 1 {
		return shed.Plan{}, nil, none, usage("--tubs %d: give at least one tub and no more than %d", p.tubs, shed.MaxTubs)
	}
	if p.alike {
		k.Tubs = nil
		for i := range p.tubs {
			tub.Name = fmt.Sprintf("Tub %d", i+1)
			k.Tubs = append(k.Tubs, tub)
		}
	}
	day := shed.Plan{Kit: k, Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{f}}
	if err := k.Validate(); err != nil { // before it is divided by
		return shed.Plan{}, nil, none, usage("%v", err)
	}
	part.Fleece, part.RawG = f, f.RawG
	if day.Batches, err = planner.Split(day, part); err != nil {
		return shed.Plan{}, nil, none, usage("%v", err)
	}
	return day, []planner.Part{part}, start, nil
}

// exampleTimes are times as they may be given.
const exampleTimes = "{07:30}, tomorrow {07:00} or {13 Jun 2026} {07:30}"

// today is a full hour of this day; a day that does not say when begins at eight.
func today(hour int) time.Time {
	t := time.Now()
	return time.Date(t.Year(), t.Month(), t.Day(), hour, 0, 0, 0, t.Location())
}

// moment reads when something is to be; dated says that its day was said.
func (p *plan) moment(flag, text string, day time.Time) (at time.Time, dated bool, err error) {
	at, dated, ok := form.Moment(p.kit.Units, text, day, time.Now())
	if !ok {
		return at, dated, usage("%s %s isn't a time: write it such as %s", flag, measure.CleanText(text, 40), ownExamples(p.kit.Units, exampleTimes))
	}
	if err := checkStart(at); err != nil {
		return at, dated, usage("%s: %v", flag, err)
	}
	return at, dated, nil
}

// plan is a day planned to begin then or, where that is asked for, as late as it can to be done
// by a moment: without a day that was said, the next that can still be made.
func (p *plan) plan(day shed.Plan, start time.Time) (planner.Outlook, time.Time, error) {
	w := planner.When{Now: start, Kit: day.Kit, Alarms: p.alarms}
	if slices.ContainsFunc(day.Batches, func(b shed.Batch) bool { return day.SoaksOvernight(&b) }) && (p.start != "" || !start.Equal(today(8))) { // a presoak over the night before is told of too
		if w.Begin, w.Now = start, time.Now().Truncate(time.Minute).In(start.Location()); !start.After(w.Now) {
			w.Now = start.AddDate(0, 0, -1)
		}
	}
	dated := true
	if p.ready != "" {
		var err error
		if w.By, dated, err = p.moment("--ready-by", p.ready, start); err != nil {
			return planner.Outlook{}, start, err
		}
		if p.start == "" { // any moment will do that is to come
			w.Now = time.Now().Truncate(time.Minute)
		}
		if dated = dated || p.start != "" || p.file != ""; !dated && !w.By.After(w.Now) {
			w.By = w.By.AddDate(0, 0, 1)
		} else if !w.By.After(w.Now) { // it is told of a day that was
			w.Now = w.By.AddDate(0, 0, -7)
		}
	}
	o, from, err := w.Plan(day, planner.Earliest)
	if err != nil && !dated {
		w.By = w.By.AddDate(0, 0, 1)
		o, from, err = w.Plan(day, planner.Earliest)
	}
	if p.ready != "" {
		if from = o.Timetable.From; p.start != "" && from.Sub(start) >= planner.Look {
			o.Cautions = append(o.Cautions, fmt.Sprintf("it begins at %s, not at %s: it is ready by %s all the same", w.Text(from), w.Text(start), w.Text(w.By)))
		}
	}
	return o, from, err
}

// checkStart refuses a year that nobody washes in.
func checkStart(at time.Time) error {
	if y := at.Year(); y < 1950 || y > 2200 {
		return fmt.Errorf("the year %d cannot be right, it should be between 1950 and 2200: write it as 2026-05-16T08:00:00Z", y)
	}
	return nil
}

// words stores one of the words of an enum.
func words(into interface{ UnmarshalText([]byte) error }) func(string) error {
	return func(text string) error { return into.UnmarshalText([]byte(strings.ToLower(strings.TrimSpace(text)))) }
}

// dayFile is the JSON file of a day.
type dayFile struct {
	Kit     shed.Kit     `json:"kit"`
	Method  *shed.Method `json:"method"`
	Fleeces []fleeceFile `json:"fleeces"`
	Start   time.Time    `json:"start"`
}

type fleeceFile struct {
	_       [0]func()          // nobody compares two: no code for it
	Animal  string             `json:"animal"`
	Farm    string             `json:"farm"`
	Type    shed.FleeceType    `json:"type"`
	Wax     shed.Level         `json:"wax"`
	RawG    float64            `json:"raw_g"`
	Form    shed.Form          `json:"form"`
	Presoak shed.PresoakChoice `json:"presoak"`
	BasketG float64            `json:"basket_g"`
	Part    string             `json:"part"`   // which part of it is washed
	Layers  int                `json:"layers"` // of locks in a basket
}

// mostDayFile bounds a file: a day is a few kilobytes.
const mostDayFile = 1 << 20

func readDay(name string, kit shed.Kit, in io.Reader) (shed.Plan, []planner.Part, time.Time, error) {
	raw, err := readWhole(name, "the day", in, mostDayFile)
	if err != nil {
		return shed.Plan{}, nil, time.Time{}, err
	}
	day, parts, start, err := parseDay(raw, kit)
	if err != nil {
		return day, nil, start, fmt.Errorf("%s: %w", measure.CleanText(name, 80), err)
	}
	return day, parts, start, nil
}

// parseDay reads the JSON of a day; without a kit it goes by this one.
func parseDay(raw []byte, kit shed.Kit) (shed.Plan, []planner.Part, time.Time, error) {
	if len(raw) > mostDayFile {
		return shed.Plan{}, nil, time.Time{}, fmt.Errorf("it is larger than 1 MB: a day is a few kilobytes")
	}
	f := dayFile{Kit: kit, Start: today(8)}
	if own, ok, err := kitIn(raw, kit.Units); ok || err != nil { // what is wrong with it is said below
		f.Kit = shed.UsualKit(own.Units)
	}
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		return shed.Plan{}, nil, f.Start, measure.NotJSON("day", raw, dec.InputOffset(), err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return shed.Plan{}, nil, f.Start, fmt.Errorf("something follows the day: give one object")
	}
	day := shed.Plan{Kit: f.Kit, Method: shed.BuiltInMethod()}
	if f.Method != nil {
		day.Method = *f.Method
	}
	if len(f.Fleeces) == 0 {
		return day, nil, f.Start, fmt.Errorf("it has no fleece: give at least one under \"fleeces\"")
	}
	if err := checkStart(f.Start); err != nil {
		return day, nil, f.Start, fmt.Errorf("its start: %w", err)
	}
	if err := day.Kit.Validate(); err != nil { // before it is divided by
		return day, nil, f.Start, err
	}
	var parts []planner.Part
	for i, x := range f.Fleeces {
		fleece := shed.Fleece{ID: fmt.Sprintf("f%d", i+1), Animal: x.Animal, Farm: x.Farm, Type: x.Type, Wax: x.Wax, RawG: x.RawG}
		if err := fleece.Validate(); err != nil {
			return day, nil, f.Start, err
		}
		day.Fleeces = append(day.Fleeces, fleece)
		parts = append(parts, planner.Part{Fleece: fleece, RawG: x.RawG, Form: x.Form, Presoak: x.Presoak, BasketG: x.BasketG, Name: x.Part, Layers: x.Layers})
	}
	var err error
	day.Batches, err = planner.Split(day, parts...)
	return day, parts, f.Start, err
}
