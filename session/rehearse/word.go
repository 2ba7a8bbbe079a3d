package rehearse

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// need says whether a word goes with a tub.
type need int

const (
	never need = iota
	may
	must
)

// word is one thing an entry can do: which fields go with it, and the command
// that it comes to.
type word struct {
	name    string
	tub     need
	needs   []string
	allows  []string
	command func(e Entry, tub int, s *Script, d session.Day, now time.Time) (session.Command, error)
}

// words is the table of everything an entry can do.
func words() []word {
	plain := func(c func(e Entry, tub int) session.Command) func(Entry, int, *Script, session.Day, time.Time) (session.Command, error) {
		return func(e Entry, tub int, _ *Script, _ session.Day, _ time.Time) (session.Command, error) {
			return c(e, tub), nil
		}
	}
	return []word{
		{name: "next", tub: must, allows: []string{"act", "temp_c", "sooner"}, command: nextCommand},
		{name: "reading", tub: must, allows: []string{"temp_c", "sure"}, command: readingCommand},
		{name: "cover", tub: must, needs: []string{"cover"}, command: plain(func(e Entry, tub int) session.Command {
			return session.SetCover{Tub: tub, Cover: *e.Cover}
		})},
		{name: "top up", tub: must, needs: []string{"volume_l", "temp_c"}, command: plain(func(e Entry, tub int) session.Command {
			return session.TopUp{Tub: tub, VolumeL: *e.VolumeL, TempC: *e.TempC, Sure: true} // a script tells what was done
		})},
		{name: "soak", tub: must, needs: []string{"by_min"}, command: plain(func(e Entry, tub int) session.Command {
			return session.AdjustSoak{Tub: tub, ByMin: *e.ByMin}
		})},
		{name: "hold", tub: must, command: plain(func(_ Entry, tub int) session.Command { return session.Hold{Tub: tub} })},
		{name: "resume", tub: must, command: plain(func(_ Entry, tub int) session.Command { return session.Resume{Tub: tub} })},
		{name: "skip", tub: must, command: plain(func(_ Entry, tub int) session.Command { return session.SkipStep{Tub: tub} })},
		{name: "repeat", tub: must, command: plain(func(_ Entry, tub int) session.Command { return session.RepeatStep{Tub: tub} })},
		{name: "note", tub: may, needs: []string{"text"}, command: plain(func(e Entry, tub int) session.Command {
			return session.AddNote{Tub: tub, Text: e.Text}
		})},
		{name: "kettle", tub: must, command: plain(func(_ Entry, tub int) session.Command { return session.TellKettle{Tub: tub, Sure: true} })},
		{name: "hear", tub: may, command: plain(func(_ Entry, tub int) session.Command { return session.Acknowledge{Tub: tub} })},
		{name: "weigh", needs: []string{"batch", "dry_g"}, command: plain(func(e Entry, _ int) session.Command {
			// An invented day is too short for wool to dry in it.
			return session.Weigh{Batch: e.Batch, DryG: *e.DryG, Dry: true, Sure: true}
		})},
		{name: "undo", command: plain(func(Entry, int) session.Command { return session.Undo{} })},
		{name: "end", allows: []string{"anyway"}, command: plain(func(e Entry, _ int) session.Command {
			return session.EndDay{Anyway: e.Anyway}
		})},
	}
}

func findWord(name string) (word, bool) {
	for _, w := range words() {
		if w.name == name {
			return w, true
		}
	}
	return word{}, false
}

func wordNames() string {
	var out []string
	for _, w := range words() {
		out = append(out, w.name)
	}
	return strings.Join(out, ", ")
}

// given lists the fields that an entry has beside its time, tub and word.
func (e Entry) given() []string {
	var out []string
	for _, f := range []struct {
		name string
		is   bool
	}{
		{"act", e.Act != nil}, {"temp_c", e.TempC != nil}, {"volume_l", e.VolumeL != nil}, {"cover", e.Cover != nil},
		{"by_min", e.ByMin != nil}, {"batch", e.Batch != ""}, {"dry_g", e.DryG != nil}, {"text", e.Text != ""},
		{"sooner", e.Sooner}, {"sure", e.Sure}, {"anyway", e.Anyway},
	} {
		if f.is {
			out = append(out, f.name)
		}
	}
	return out
}

// checkFields says which field is missing or does not belong.
func (w word) checkFields(e Entry) error {
	given := e.given()
	for _, f := range w.needs {
		if !slices.Contains(given, f) {
			return fmt.Errorf("it needs \"%s\"", f)
		}
	}
	for _, f := range given {
		if !slices.Contains(w.needs, f) && !slices.Contains(w.allows, f) {
			return fmt.Errorf("\"%s\" does not go with %s: leave it out", f, w.name)
		}
	}
	switch {
	case w.tub == must && e.Tub == "":
		return fmt.Errorf("it does not say at which tub")
	case w.tub == never && e.Tub != "":
		return fmt.Errorf("%s is not done at a tub: leave the tub out", w.name)
	}
	return nil
}

func nextCommand(e Entry, tub int, _ *Script, d session.Day, _ time.Time) (session.Command, error) {
	c := session.DoNext{Tub: tub, Act: d.NextAction(tub), Sooner: e.Sooner}
	if e.Act != nil {
		c.Act = *e.Act
	}
	if e.TempC != nil {
		if c.Act != shed.FillTub {
			return nil, fmt.Errorf("a temperature goes with a fill, and next is %s: use reading", c.Act)
		}
		c.HasTemp, c.TempC = true, *e.TempC
	}
	return c, nil
}

func readingCommand(e Entry, tub int, s *Script, d session.Day, now time.Time) (session.Command, error) {
	c := session.TakeReading{Tub: tub, Sure: e.Sure}
	if e.TempC != nil {
		c.TempC = *e.TempC
		return c, nil
	}
	tempC, ok := s.Truth.reading(d, tub, now)
	if !ok {
		return nil, fmt.Errorf("there is no bath to take the temperature of: fill it first")
	}
	c.TempC = tempC
	return c, nil
}
