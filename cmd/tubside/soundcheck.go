package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"fleece.example/tubside/cmd/tubside/sound"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

const soundCheckHelp = `soundcheck plays each alarm once, low, medium and high, as on a wash day. It says
which player played it and how loud the output is set, and asks whether you heard it:
that a sound was sent proves nothing about a loudspeaker in a shed. Put the machine
where it will stand, go where you will be, and have somebody answer, or come back to
answer. If you missed it, r plays that alarm again.

Without a terminal it asks nothing. It ends with 0 if every alarm was heard, or, where
nobody could be asked, if every one was played.`

// soundAnswer is one alarm of a sound check, with what the person said.
type soundAnswer struct {
	sound.Result
	Asked bool // somebody could be asked
	Heard bool // they said yes
}

// soundOutcome is a whole sound check, fit to be remembered.
type soundOutcome struct {
	At      time.Time
	Answers []soundAnswer
}

// failure says what is wrong with it, nil if nothing is.
func (o soundOutcome) failure() error {
	for _, a := range o.Answers {
		switch {
		case !a.Played && a.Problem != "":
			return fmt.Errorf("the %v alarm was not played: %s", a.Priority, a.Problem)
		case !a.Played:
			return fmt.Errorf("the %v alarm was not played", a.Priority)
		case a.Asked && !a.Heard:
			return fmt.Errorf("the %v alarm was played but not heard: turn the loudspeaker up, choose another output, or come nearer, and check again", a.Priority)
		}
	}
	if len(o.Answers) == 0 {
		return errors.New("nothing was played")
	}
	return nil
}

// soundCheck is one run of the command.
type soundCheck struct {
	in    *bufio.Reader
	out   io.Writer
	ask   bool
	check func(context.Context, session.Priority) sound.Result
}

// run plays, asks and prints; at is the time it is remembered by.
func (c soundCheck) run(ctx context.Context, at time.Time) soundOutcome {
	outcome := soundOutcome{At: at}
	for _, p := range []session.Priority{session.LowPriority, session.MediumPriority, session.HighPriority} {
		answer := soundAnswer{Asked: c.ask}
		for again := true; again; {
			c.print("%-6v alarm: ", p)
			answer.Result = c.check(ctx, p)
			c.print("%s\n", describe(answer.Result))
			again = false
			if c.ask && answer.Path != "" {
				answer.Heard, again = c.question()
			}
		}
		outcome.Answers = append(outcome.Answers, answer)
	}
	return outcome
}

// question asks until it is answered; an end of the answers is a no.
func (c soundCheck) question() (heard, again bool) {
	for {
		c.print("  did you hear it? (y yes, n no, r play it again) ")
		line, err := c.in.ReadString('\n')
		switch strings.ToLower(strings.TrimSpace(line)) {
		case "y", "yes":
			return true, false
		case "n", "no":
			return false, false
		case "r":
			return false, true
		}
		if err != nil {
			c.print("\n")
			return false, false
		}
	}
}

// print shows progress; what it is printed to is the person's own affair.
func (c soundCheck) print(format string, args ...any) { _, _ = fmt.Fprintf(c.out, format, args...) }

// describe is a check in one line.
func describe(r sound.Result) string {
	problem := measure.CleanText(r.Problem, 300)
	if r.Path == "" {
		return "not played: " + problem
	}
	text := "played by " + measure.CleanText(r.Path, 80)
	if !r.Played {
		text = "not to be heard by " + measure.CleanText(r.Path, 80)
	}
	if !math.IsNaN(r.Volume) {
		text += fmt.Sprintf(", output at %.0f %%", 100*r.Volume)
	}
	if problem != "" {
		text += "; " + problem
	}
	return text
}

func newSoundCheck(sys system) *cobra.Command {
	var raise bool
	cmd := &cobra.Command{
		Use:   "soundcheck",
		Short: "Play each alarm once and say whether it can be heard",
		Long:  soundCheckHelp,
		Args:  takes(0, 0, "soundcheck takes no files or names: tubside soundcheck"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			o := sound.Options{Consent: raise}
			c := soundCheck{in: bufio.NewReader(sys.in), out: sys.out,
				ask: term.IsTerminal(sys.in.Fd()) && term.IsTerminal(sys.out.Fd()),
				check: func(ctx context.Context, p session.Priority) sound.Result {
					return sound.Check(ctx, o, p)
				}}
			ctx := cmd.Context()
			if ctx == nil {
				ctx = context.Background()
			}
			return c.run(ctx, time.Now().UTC()).failure()
		},
	}
	cmd.Flags().BoolVar(&raise, "raise", false, "turn a muted or low output up while it plays")
	return cmd
}

// newSoundHelper is the program's own player, started by itself.
func newSoundHelper(sys system) *cobra.Command {
	return &cobra.Command{
		Use:                sound.HelperName,
		Hidden:             true,
		DisableFlagParsing: true,
		RunE: func(_ *cobra.Command, args []string) error {
			if code := sound.HelperMain(args, sys.in, sys.out); code != 0 {
				return errors.New("the sound could not be played")
			}
			return nil
		},
	}
}
