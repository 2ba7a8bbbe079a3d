package gear

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// soundScreen proves the sound: it plays each alarm the way it would ring and
// asks whether it was heard, for a player that says it played proves nothing.
type soundScreen struct {
	base.Frame
	at      session.Priority
	playing bool
	asked   bool // a result is in, and the person has not said
	last    keep.Played
	heard   []string
	missed  bool
	silent  bool // something could not be played at all
	done    bool
	yes, no key.Binding
}

// NewSoundCheck is a sound check that has not begun.
func NewSoundCheck(e *base.Env) base.Screen {
	s := &soundScreen{at: session.LowPriority, yes: base.Bind("y", "I heard it"), no: base.Bind("n", "not heard")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyEnter("play"), s.yes, s.no, base.KeyBack, base.KeyHelp}}
	s.Idle = func() []string {
		switch {
		case s.playing:
			return []string{"Enter", "y", "n"}
		case !s.asked:
			return []string{"y", "n"}
		}
		return nil
	}
	return s
}

func (s *soundScreen) Title() string { return "Sound check" }

func (s *soundScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, cmd, ok := s.OnPage(msg)
	if !ok {
		return s, cmd
	}
	switch {
	case key.Matches(k, s.yes) && s.asked:
		return s, s.answer(true)
	case key.Matches(k, s.no) && s.asked:
		return s, s.answer(false)
	case k.String() == "enter" && s.done:
		return s, s.Back()
	case k.String() == "enter" && !s.playing:
		return s, s.play()
	}
	return s, nil
}

func (s *soundScreen) play() tea.Cmd {
	if s.E.Outside == nil {
		s.E.Refuse(fmt.Errorf("no sound here: just the terminal's bell and the screen"))
		return nil
	}
	for _, a := range s.E.Live.Day.Alarms {
		if a.Unanswered() { // it would be heard instead
			s.E.Refuse(fmt.Errorf("ringing now: %s. Space silences it, then Enter plays", base.AtTub(s.E.Live.Day, a, ", ", a.Kind.Shown())))
			return nil
		}
	}
	s.playing, s.asked = true, false
	out, at, a := s.E.Outside, s.at, s.E.Keeper.Alarms()
	return base.Away(s, func() (keep.Played, error) { return out.Play(at, a), nil }, func(r keep.Played, _ error) tea.Cmd {
		s.playing, s.asked, s.last = false, true, r
		return nil
	})
}

func (s *soundScreen) answer(yes bool) tea.Cmd {
	s.asked = false
	if yes && s.last.Path == "" {
		s.E.Refuse(fmt.Errorf("nothing was played, so you heard something else: Enter tries again"))
		return nil
	}
	s.missed, s.silent = s.missed || !yes, s.silent || s.last.Path == ""
	word := "heard"
	if !yes {
		word = "not heard"
	}
	s.heard = append(s.heard, s.at.String()+" "+word)
	if s.at < session.HighPriority {
		s.at++
		return s.play()
	}
	s.done, s.Own[0] = true, base.KeyEnter("go back")
	s.E.Prove(!s.missed, s.last.Path)
	switch {
	case s.silent:
		s.E.Refuse(fmt.Errorf("no sound can be played here"))
	case s.missed:
		s.E.Refuse(fmt.Errorf("not all alarms were heard"))
	default:
		s.E.Tell("all three were heard")
	}
	return nil
}

// letters name the alarm that is played, to be read from where its sound is listened for; nil once all three were.
func (s *soundScreen) letters(w, room int) []string {
	name, size := s.at.String(), room/5
	for size > 0 && paint.FiguresWidth(name, size) > w-2 {
		size--
	}
	if s.done || size <= 0 {
		return nil
	}
	lines := paint.Figures(name, size, s.E.Theme.ASCII)
	for i, l := range lines {
		lines[i] = s.E.Theme.Big.Render(strings.Repeat(" ", (w-ansi.StringWidthWc(l))/2) + l)
	}
	return lines
}

func (s *soundScreen) View() string {
	t := s.E.Theme
	var paras []draw.Para
	say := func(rank int, style theme.Style, text string) {
		paras = append(paras, draw.Para{Lines: draw.Told(style, text, s.Column()), Rank: rank})
	}
	gap := func() { paras = append(paras, draw.Para{Lines: []string{""}, Rank: 9}) }
	if !s.done {
		say(2, t.Text, "Each alarm is played as it will ring. Go where you'll be working, and listen.")
	}
	for _, h := range s.heard {
		say(3, t.Faint, "  "+h)
	}
	switch {
	case s.done:
		gap()
		if s.missed {
			say(0, t.Warn, "Turn the volume up, check the speaker's plug and cable, then check again.")
			say(1, t.Text, "A command of your own can call you instead: it is in the alarm settings.")
			say(0, t.Text, "Till then stay in sight of the screen, or set a kitchen timer for each soak.")
		}
		say(0, t.Next, "Done. Enter goes back.")
	case s.playing:
		gap()
		say(0, t.Next, "playing the "+s.at.String()+" alarm")
	case s.asked:
		text := "not played"
		if s.last.Path != "" {
			text = "played by " + s.last.Path
		}
		gap()
		say(0, t.Text, "The "+s.at.String()+" alarm: "+text)
		if s.last.Problem != "" {
			say(1, t.Warn, s.last.Problem)
		}
		if s.last.Path == "" {
			say(0, t.Next, "NO SOUND CAME OUT. n goes on without it, Enter tries again.")
			break
		}
		say(0, t.Next, "DID YOU HEAR IT? y yes, n no, Enter plays it again.")
	default:
		gap()
		say(0, t.Next, "Enter plays the "+s.at.String()+" alarm.")
	}
	if s.E.Outside != nil {
		for _, p := range s.E.Outside.State().Problems {
			say(1, t.Warn, p)
		}
	}
	return s.Draw(s.Middle(nil, draw.Whole(s.Room(), paras...), s.letters))
}
