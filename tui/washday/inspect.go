package washday

import (
	"fmt"
	"strings"
)

// Asking is the question that is open: its title, and what was wrong with the last
// answer; ok is false if none is.
func (s *Screen) Asking() (title, wrong string, ok bool) {
	if s.ask == nil {
		return "", "", false
	}
	return s.ask.title, s.ask.wrong, true
}

// AtTubs says that the tubs are in sight, and neither a question nor a large view.
func (s *Screen) AtTubs() bool { return s.ask == nil && !s.far && !s.large }

// WantsAgain says that the last key has to be pressed again to be done.
func (s *Screen) WantsAgain() bool { return s.pending.cmd != nil }

// InFull is what has to be read in full on the screen as it stands, beside the
// sentence for the person, and whether its foot says how to leave and where help is.
// The error is a line of the band that had to stand and does not.
func (s *Screen) InFull() (said []string, leave, help bool, err error) {
	if !s.far {
		err = s.bandInFull()
	}
	leave = !s.far || s.e.Say == ""
	help = leave
	if s.ask != nil && !s.far {
		for i, l := range s.ask.lines() {
			if i < 2 || i > len(s.ask.says) {
				said = append(said, l)
			}
		}
		help = false
	}
	return said, leave, help, err
}

// bandInFull says whether each line of the band stands in full or not at all, and
// those that have to stand do.
func (s *Screen) bandInFull() error {
	text, figures, unit := s.bandText()
	_, figW := s.figureBeside(text, figures, unit)
	var drawn []string
	for _, l := range wrapBand(text, s.rooms.w-figW, s.rooms.band.Height) {
		drawn = append(drawn, strings.Fields(l.s)...)
	}
	all := " " + strings.Join(drawn, " ") + " "
	for _, l := range text {
		words := strings.Fields(l.s)
		switch {
		case strings.Contains(all, " "+strings.Join(words, " ")+" "):
		case l.brief != "" && strings.Contains(all, " "+strings.Join(strings.Fields(l.brief), " ")+" "):
		case l.keep:
			return fmt.Errorf("%s is not in the band in full", l.s)
		case len(words) > 2 && strings.Contains(all, " "+strings.Join(words[:3], " ")+" "):
			return fmt.Errorf("%s is in the band, and not in full", l.s)
		}
	}
	return nil
}
