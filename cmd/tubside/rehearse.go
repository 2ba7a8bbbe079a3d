package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/base"
)

// rehearsalTick is how often a rehearsal's screen looks at its fast clock.
const rehearsalTick = 100 * time.Millisecond

const rehearseHelp = `rehearse shows an invented wash day, sixty times as fast as a real one, with an
invented person who does the work and is late now and then. Its alarms sound as on a
day of your own; --quiet leaves the sound out. It never touches your own wash days: it
is kept in a folder of its own and thrown away.

With --no-screen it is played at once and every event is written as a line of
JSON: {"seq", "at", "event", "tub", "name", "body"}; tub is the tub's place in
the kit from 0, or -1 for the whole day. With --figures it writes what sounded instead:
calls, alarms and repeats, how close they came, and what harm they warned of.`

// rehearsal is what the flags of rehearse ask for.
type rehearsal struct {
	pace     pace
	handsOn  bool
	noScreen bool
	quiet    bool
	figures  bool
	script   string
	units    measure.System
	kit      *shed.Kit // the person's own; nil: none
}

// pace is how many times faster than real time a rehearsal runs.
type pace float64

func (p *pace) String() string { return strconv.FormatFloat(float64(*p), 'g', -1, 64) }

func (p *pace) Type() string { return "times" }

func (p *pace) Set(text string) error {
	v, err := measure.Metric.ParseNumber(text, "60")
	if err != nil || v < 1 || v > 600 {
		return errors.New("it should be a number from 1 to 600")
	}
	*p = pace(v)
	return nil
}

func newRehearse(o *options, sys system) *cobra.Command {
	r := &rehearsal{pace: 60}
	cmd := &cobra.Command{
		Use:   "rehearse",
		Short: "Show an invented wash day at sixty times the speed",
		Long:  rehearseHelp,
		Args:  takesNone("rehearse does not know what to do with \"%s\": a script is given with --script"),
		RunE: func(c *cobra.Command, _ []string) error {
			kit, u, err := o.kitOf(c)
			if err != nil {
				return err
			}
			r.kit, r.units = kit, u
			return r.run(o, sys)
		},
	}
	cmd.Flags().Var(&r.pace, "pace", "how many `times` faster than real time")
	cmd.Flags().BoolVar(&r.handsOn, "hands-on", false, "do the work yourself, by the keys")
	cmd.Flags().BoolVar(&r.quiet, "quiet", false, "show the alarms without their sound")
	cmd.Flags().StringVar(&r.script, "script", "", "play the invented day in this `file`")
	kitFlag(cmd.Flags())
	unitsFlag(cmd.Flags())
	cmd.Flags().BoolVar(&r.noScreen, "no-screen", false, "play it at once, one line of JSON for each event")
	cmd.Flags().BoolVar(&r.figures, "figures", false, "with --no-screen: write what sounded, not the events")
	return cmd
}

func (r *rehearsal) run(o *options, sys system) error {
	if r.noScreen && r.handsOn {
		return usage("--hands-on needs the screen that --no-screen leaves out: give one of them")
	}
	if r.figures && !r.noScreen {
		return usage("--figures goes with --no-screen: give both")
	}
	script, err := r.load()
	if err != nil {
		return err
	}
	if r.figures {
		return r.about(playFigures(script, sys.out))
	}
	if r.noScreen {
		return r.about(playLines(script, sys.out))
	}
	if err := sys.needTerminal(); err != nil {
		return err
	}
	if (r.script != "" || r.kit != nil) && !r.handsOn { // before it fails in the middle of the screen
		if _, err := rehearse.Play(script, nil); err != nil {
			return r.about(err)
		}
	}
	script.Plan.Kit = script.Plan.Kit.In(r.units)
	return r.onScreen(o, sys, script)
}

// mostScript bounds what is read of a file, which may have no end: more than any
// script may have.
const mostScript = 2 << 20

func (r *rehearsal) load() (rehearse.Script, error) {
	if r.script == "" {
		demo := rehearse.Demo()
		if r.kit == nil {
			return demo, nil
		}
		own := demo
		own.Plan.Kit = *r.kit
		if _, err := rehearse.Play(own, nil); err == nil {
			return own, nil
		}
		return demo.With(*r.kit), nil
	}
	text, err := readWhole(r.script, "the script", nil, mostScript)
	if err != nil {
		return rehearse.Script{}, err
	}
	s, err := rehearse.Read(text)
	return s, r.about(err)
}

// about says which script an error is about.
func (r *rehearsal) about(err error) error {
	if err == nil || r.script == "" {
		return err
	}
	return fmt.Errorf("%s: %w", r.script, err)
}

// line is one event as --no-screen writes it.
type line struct {
	Seq   uint64        `json:"seq"`
	At    time.Time     `json:"at"`
	Event string        `json:"event"`
	Tub   int           `json:"tub"`
	Name  string        `json:"name,omitempty"`
	Body  session.Event `json:"body"`
}

func playLines(s rehearse.Script, out io.Writer) error {
	w := bufio.NewWriter(out)
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	var writeErr error
	_, err := rehearse.Play(s, func(r session.Recorded, d session.Day) {
		l := line{Seq: r.Seq, At: r.At, Event: session.KindOf(r.Event), Tub: session.TubOf(r.Event), Body: r.Event}
		if l.Tub >= 0 && l.Tub < len(d.Plan.Kit.Tubs) {
			l.Name = d.Plan.Kit.Tubs[l.Tub].Name
		}
		if writeErr == nil {
			writeErr = enc.Encode(l)
		}
	})
	if flushErr := w.Flush(); writeErr == nil {
		writeErr = flushErr
	}
	if writeErr != nil {
		writeErr = fmt.Errorf("the lines cannot be written: %w", writeErr)
	}
	return errors.Join(err, writeErr)
}

// playFigures plays the day and writes what sounded in it.
func playFigures(s rehearse.Script, out io.Writer) error {
	f, err := rehearse.Count(s)
	if err != nil {
		return err
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	if err := enc.Encode(f); err != nil {
		return fmt.Errorf("the figures cannot be written: %w", err)
	}
	return nil
}

// onScreen shows the day with the program's own screens in a throw-away store.
func (r *rehearsal) onScreen(o *options, sys system, script rehearse.Script) (err error) {
	s, done, err := store.OpenThrowaway()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, done()) }()
	plan, err := settle(s, script.Plan)
	if err != nil {
		return err
	}
	d := base.Deps{
		Journal: s, Ledger: s, Clock: newPacedClock(script.Start, float64(r.pace)), TickEvery: rehearsalTick, Pace: float64(r.pace),
		Where: "nowhere: this day is invented and thrown away", Rehearsal: &plan, Along: along{s},
	}
	if !r.handsOn {
		d.Hands = rehearse.NewPlayer(script)
	}
	return show(o, sys, d, r.quiet)
}

// settle puts kit and fleeces where the other screens look for them. The
// ledger gives the fleeces marks of its own.
func settle(l ledger.Ledger, p shed.Plan) (shed.Plan, error) {
	if err := l.SaveKit(p.Kit); err != nil {
		return p, err
	}
	marks := map[string]string{}
	fleeces := make([]shed.Fleece, len(p.Fleeces))
	for i, f := range p.Fleeces {
		old := f.ID
		f.ID = ""
		saved, err := l.SaveFleece(f)
		if err != nil {
			return p, err
		}
		fleeces[i], marks[old] = saved, saved.ID
	}
	batches := make([]shed.Batch, len(p.Batches))
	for i, b := range p.Batches {
		b.FleeceID = marks[b.FleeceID]
		batches[i] = b
	}
	p.Fleeces, p.Batches = fleeces, batches
	return p, nil
}
