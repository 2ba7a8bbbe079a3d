package rehearse

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// Bounds of a script. A day that needs more is a slip of the pen.
const (
	mostDays    = 7
	mostMin     = mostDays * 24 * 60
	mostEntries = 5000
	mostBusyS   = 6 * 3600
	mostReachS  = 3600
	mostWithinS = 3600
	mostSitsMin = 240
)

// check says in a sentence what in the script contradicts itself.
func (s *Script) check() error {
	if !strings.Contains(strings.ToLower(s.About), "invented") {
		return fmt.Errorf("the script's about does not say that the day is invented: say so, or someone takes it for a record")
	}
	if y := s.Start.Year(); y < 2000 || y > 2200 {
		return fmt.Errorf("the script starts in the year %d: give one between 2000 and 2200", y)
	}
	if err := s.Plan.Validate(); err != nil {
		return fmt.Errorf("the script's plan: %w", err)
	}
	if err := s.checkHands(); err != nil {
		return err
	}
	if t := s.Truth; t != nil {
		if !(t.LossFactor >= 0.2 && t.LossFactor <= 5) {
			return fmt.Errorf("the truth's loss_factor should be between 0.2 and 5; 1 is as the forecast has it")
		}
		if !(t.ThermometerErrorC >= 0 && t.ThermometerErrorC <= 5) {
			return fmt.Errorf("the truth's thermometer_error_c should be between 0 and 5 °C")
		}
	}
	if len(s.Do) > mostEntries || len(s.Expect) > mostEntries {
		return fmt.Errorf("the script has more than %d entries", mostEntries)
	}
	if err := s.checkEntries(); err != nil {
		return err
	}
	for i, x := range s.Expect {
		if err := s.checkExpectation(x); err != nil {
			return fmt.Errorf("expectation %d: %w", i+1, err)
		}
	}
	return nil
}

func (s *Script) checkHands() error {
	h := s.Hands
	if h == nil {
		return nil
	}
	if !(h.ReachesTubS >= 0 && h.ReachesTubS <= mostReachS) {
		return fmt.Errorf("the hands' reaches_tub_s should be between 0 and %d seconds", mostReachS)
	}
	for _, act := range sortedActions(h.BusyS) {
		if act == shed.Wait {
			return fmt.Errorf("the hands' busy_s has a time for wait, which takes no hands: leave it out")
		}
		if v := h.BusyS[act]; !(v >= 0 && v <= mostBusyS) {
			return fmt.Errorf("the hands' busy_s for %s should be between 0 and %d seconds", act, mostBusyS)
		}
	}
	if !(h.SitsMin >= 0 && h.SitsMin <= mostSitsMin) {
		return fmt.Errorf("the hands' sits_min should be between 0 and %d minutes", mostSitsMin)
	}
	if h.Reads && s.Truth == nil {
		return fmt.Errorf("the hands take readings, and the script has no truth to read: add one, or leave reads out")
	}
	if h.ReadsFills && s.Truth == nil {
		return fmt.Errorf("the hands read their fills, and the script has no truth to read: add one, or leave reads_fills out")
	}
	for i, a := range h.Away {
		if !(a.FromMin >= 0 && a.ToMin > a.FromMin && a.ToMin <= mostMin) {
			return fmt.Errorf("time away %d goes from %s to %s: it should end after it begins, within %d days", i+1, minText(a.FromMin), minText(a.ToMin), mostDays)
		}
		if a.Tub != "" {
			if _, err := s.tub(a.Tub); err != nil {
				return fmt.Errorf("time away %d: %w", i+1, err)
			}
		}
		for j, b := range h.Away[:i] {
			if a.Tub == b.Tub && a.FromMin < b.ToMin && b.FromMin < a.ToMin {
				return fmt.Errorf("times away %d and %d overlap: make one of them", j+1, i+1)
			}
		}
	}
	return nil
}

func sortedActions(m map[shed.Action]float64) []shed.Action {
	var out []shed.Action
	for a := range m {
		out = append(out, a)
	}
	slices.Sort(out)
	return out
}

func (s *Script) checkEntries() error {
	last := 0.0
	for i, e := range s.Do {
		if err := s.checkEntry(e, last); err != nil {
			return fmt.Errorf("%s: %w", s.entryName(i), err)
		}
		last = *e.AtMin
	}
	return nil
}

func (s *Script) checkEntry(e Entry, last float64) error {
	w, ok := findWord(e.Do)
	if !ok {
		return fmt.Errorf("there is no such thing to do: use one of %s", wordNames())
	}
	switch {
	case e.AtMin == nil:
		return fmt.Errorf("it does not say when: give at_min, minutes since the start")
	case !(*e.AtMin >= 0 && *e.AtMin <= mostMin):
		return fmt.Errorf("it is not within the %d days after the start", mostDays)
	case *e.AtMin < last:
		return fmt.Errorf("it comes before the entry above it, at %s: put them in order", minText(last))
	}
	if err := w.checkFields(e); err != nil {
		return err
	}
	if e.Tub != "" {
		if _, err := s.tub(e.Tub); err != nil {
			return err
		}
	}
	if a, away := s.Hands.awayAt(*e.AtMin, e.Tub); away {
		return fmt.Errorf("the person is away from %s to %s and cannot do it", minText(a.FromMin), minText(a.ToMin))
	}
	if e.Do == "reading" && e.TempC == nil && s.Truth == nil {
		return fmt.Errorf("it has no temp_c, and the script has no truth to take one from")
	}
	if e.Batch != "" && !slices.ContainsFunc(s.Plan.Batches, func(b shed.Batch) bool { return b.ID == e.Batch }) {
		return fmt.Errorf("there is no batch \"%s\": the plan has %s", shown(e.Batch), s.batchNames())
	}
	return nil
}

func (s *Script) checkExpectation(x Expectation) error {
	isAlarm := false
	known := slices.ContainsFunc(session.AllEvents(), func(e session.Event) bool { return session.KindOf(e) == x.Event })
	switch x.Event {
	case "alarm raised", "alarm repeated", "alarm cleared", "alarm acknowledged", "alarm escalated", "alarm shelved", "alarm unshelved":
		isAlarm = true
	}
	switch {
	case !known:
		return fmt.Errorf("\"%s\" is not an event: use one such as fleece lifted or alarm raised", shown(x.Event))
	case x.AtMin == nil || !(*x.AtMin >= 0 && *x.AtMin <= mostMin):
		return fmt.Errorf("it does not say when: give at_min, minutes since the start, within %d days", mostDays)
	case !(x.WithinS >= 0 && x.WithinS <= mostWithinS):
		return fmt.Errorf("within_s should be between 0 and %d seconds", mostWithinS)
	case x.Alarm != nil && !isAlarm:
		return fmt.Errorf("%s has no alarm: leave it out", x.Event)
	}
	if x.Tub != "" {
		_, err := s.tub(x.Tub)
		return err
	}
	return nil
}

// tub finds a tub by its name.
func (s *Script) tub(name string) (int, error) {
	var names []string
	for i, t := range s.Plan.Kit.Tubs {
		if strings.EqualFold(t.Name, name) {
			return i, nil
		}
		names = append(names, t.Name)
	}
	return 0, fmt.Errorf("there is no tub \"%s\": the kit has %s", shown(name), strings.Join(names, ", "))
}

// tubOr is the tub of that name, -1 for none: names have been checked.
func (s *Script) tubOr(name string) int {
	if i, err := s.tub(name); name != "" && err == nil {
		return i
	}
	return -1
}

func (s *Script) batchNames() string {
	var out []string
	for _, b := range s.Plan.Batches {
		out = append(out, b.ID)
	}
	return strings.Join(out, ", ")
}

// entryName is an entry as the person can find it: its number, time, tub, word.
func (s *Script) entryName(i int) string {
	e := s.Do[i]
	name := fmt.Sprintf("entry %d (", i+1)
	if e.AtMin != nil {
		name += "at " + minText(*e.AtMin) + ", "
	}
	if e.Tub != "" {
		name += shown(e.Tub) + ", "
	}
	return name + shown(e.Do) + ")"
}

func minText(m float64) string { return fmt.Sprintf("%.4g min", m) }

// after is the moment so many minutes after the start.
func after(start time.Time, min float64) time.Time {
	return start.Add(time.Duration(min * float64(time.Minute)))
}
