package shed

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
)

// BuiltInMethodID marks the method that comes with the program; it is never overwritten.
const BuiltInMethodID = "built-in"

const overnightPresoakMin = 12 * 60

// BuiltInMethod is the usual hot wash of small batches in tubs. Its figures
// are facts of the trade: common practice, no published source, except that
// the wash bath of hand scouring is given as 54-60 °C in an older handbook
// (Beech, The Dyeing of Woollen Fabrics, 1902, pp. 18-19); today's practice
// starts hotter and lifts before about 49 °C.
func BuiltInMethod() Method {
	return Method{
		ID: BuiltInMethodID, Name: "Hot wash, two rinses",
		About: "Presoak, hot wash (twice for a fleece with much wax), two rinses, spin, rack.",
		Steps: append([]Step(nil), []Step{ // not kept itself: Go writes code that compares two arrays of it
			{Kind: Presoak, Name: "presoak", SoakMin: 20, ShortestMin: 2, LongestMin: 16 * 60, Water: FromCold, FillPart: 1, DrainTo: Outdoors},
			{Kind: Wash, Name: "hot wash", SoakMin: 20, ShortestMin: 15, LongestMin: 30, Water: Mixed, AimC: 65.5,
				LowestSinkC: 60, ReleaseC: 49, FillPart: 1, Dosed: true, DrainTo: Outdoors, TwiceForHighWax: true},
			{Kind: Rinse, Name: "first rinse", SoakMin: 15, ShortestMin: 10, LongestMin: 40, Water: FromHot, MaxGapC: 12, FillPart: 0.95, DrainTo: Outdoors},
			{Kind: Rinse, Name: "second rinse", SoakMin: 12, ShortestMin: 8, LongestMin: 40, Water: FromHot, MaxGapC: 12, FillPart: 0.9, DrainTo: Sink},
			{Kind: Spin, Name: "spin", FillPart: 1},
			{Kind: Rack, Name: "rack", FillPart: 1},
		}...),
	}
}

// Offer is the step that is offered as the i-th of a method, behind the one before.
func (m Method) Offer(i int) Step {
	kind := Rinse
	if i > 0 && i <= len(m.Steps) {
		kind = m.Steps[i-1].Kind.Facts().Next
	}
	return kind.Usual()
}

// Usual is a step of this kind as it is offered: by its row, else as the built-in method has it,
// once for each fleece.
func (k StepKind) Usual() Step {
	s := k.Facts().Usual
	if steps := BuiltInMethod().Steps; s.Name == "" {
		s = steps[max(0, slices.IndexFunc(steps, func(s Step) bool { return s.Kind == k }))]
	}
	s.Kind, s.TwiceForHighWax = k, false
	return s
}

// In is a step that nobody has set, its temperatures round in a person's own units.
func (s Step) In(u measure.System) Step {
	for _, c := range []*float64{&s.AimC, &s.LowestSinkC, &s.ReleaseC} {
		if *c != 0 {
			*c = u.RoundTempC(*c)
		}
	}
	degrees := u.Degrees(1) - u.Degrees(0) // of the person's, in one of C
	s.MaxGapC = math.Round(s.MaxGapC*degrees) / degrees
	return s
}

// StepsFor is the series one batch goes through: the wash repeated for a
// fleece with much wax, the presoak as chosen.
func (m Method) StepsFor(f Fleece, presoak PresoakChoice) []Step {
	var out []Step
	for _, s := range m.Steps {
		if s.Kind.Facts().ByBatch {
			switch presoak {
			case PresoakNone:
				continue
			case PresoakQuick:
				s.SoakMin = quickPresoakMin
			case PresoakOvernight:
				s.SoakMin = overnightPresoakMin
			case PresoakAsMethod:
			}
			s.ShortestMin = min(s.ShortestMin, s.SoakMin)
			if s.LongestMin > 0 {
				s.LongestMin = max(s.LongestMin, s.SoakMin)
			}
		}
		if s.TwiceForHighWax && f.Wax == High {
			first, second := s, s
			first.Name, second.Name = "first "+s.Name, "second "+s.Name
			out = append(out, first, second)
			continue
		}
		out = append(out, s)
	}
	if len(out) == 0 { // nothing but presoaks, and none wanted: a record of old may hold this
		out = []Step{{Kind: Rack, Name: Rack.String()}}
	}
	return out
}

// Clean returns the method with every text made safe to show.
func (m Method) Clean() Method {
	m.ID, m.Name, m.About = measure.CleanText(m.ID, MaxName), measure.CleanText(m.Name, MaxName), measure.CleanText(m.About, MaxNote)
	steps := make([]Step, len(m.Steps))
	for i, s := range m.Steps {
		s.Name = measure.CleanText(s.Name, MaxName)
		steps[i] = s
	}
	m.Steps = steps
	return m
}

// Validate says in a sentence what is wrong with the method.
func (m Method) Validate() error { return m.ValidateIn(measure.Metric) }

// ValidateIn says in a sentence what is wrong with the method, its figures in a
// person's own units.
func (m Method) ValidateIn(u measure.System) error {
	m = m.Clean() // names appear in the sentences
	if m.Name == "" {
		return fmt.Errorf("the method has no name: give it one of your own")
	}
	if len(m.Steps) == 0 || len(m.Steps) > maxSteps {
		return fmt.Errorf("the method %s has %d steps: it needs 1 to %d", m.Name, len(m.Steps), maxSteps)
	}
	for i, s := range m.Steps {
		if err := s.ValidateIn(u); err != nil {
			return fmt.Errorf("step %d of %s: %w", i+1, m.Name, err)
		}
		if i > 0 && s.Kind.IsBath() && !m.Steps[i-1].Kind.IsBath() {
			return fmt.Errorf("step %d of %s: the %s comes after the %s: baths come first, then spin and rack", i+1, m.Name, s.Kind, m.Steps[i-1].Kind)
		}
		if i > 0 && s.Kind.Facts().Begins < m.Steps[i-1].Kind.Facts().Begins {
			return fmt.Errorf("step %d of %s: %s before you %s", i+1, m.Name, s.Kind, m.Steps[i-1].Kind)
		}
	}
	if !m.Steps[0].Kind.IsBath() {
		return fmt.Errorf("the method %s begins with the %s: it needs a bath first", m.Name, m.Steps[0].Kind)
	}
	return nil
}

// Validate says in a sentence what is wrong with the step.
func (s Step) Validate() error { return s.ValidateIn(measure.Metric) }

// ValidateIn is Validate with its figures in a person's own units.
func (s Step) ValidateIn(u measure.System) error {
	s.Name = measure.CleanText(s.Name, MaxName)
	if s.Name == "" {
		return fmt.Errorf("it has no name: call it what you call it at the tub, such as rinse")
	}
	for _, err := range []error{
		stepKindWords.Check(s.Kind), waterFromWords.Check(s.Water), drainToWords.Check(s.DrainTo),
	} {
		if err != nil {
			return fmt.Errorf("%s: %w", s.Name, err)
		}
	}
	// Also those that nobody looks at: they are written to the journal.
	for _, v := range []float64{s.SoakMin, s.ShortestMin, s.LongestMin, s.AimC, s.LowestSinkC, s.ReleaseC, s.MaxGapC, s.HangMin, s.FillPart, s.DosePart} {
		if !measure.Finite(v) {
			return fmt.Errorf("%s: one of its figures is not a number", s.Name)
		}
	}
	if !s.Kind.IsBath() {
		return s.checkUnseen()
	}
	if err := s.ValidateSoak(); err != nil {
		return err
	}
	switch {
	case !FillPart.Contains(s.FillPart):
		return fmt.Errorf("%s: the fill should be between %g and %g of the tub's usual bath", s.Name, FillPart.Min, FillPart.Max)
	case s.Water == Mixed && !AimC.Contains(s.AimC):
		return fmt.Errorf("%s: the bath should be between %s and %s", s.Name, u.Temp(AimC.Min), u.Temp(AimC.Max))
	case s.ReleaseC != 0 && !ReleaseC.Contains(s.ReleaseC):
		return fmt.Errorf("%s: the lift-by temperature should be between %s and %s, usually %s", s.Name, u.Temp(ReleaseC.Min), u.Temp(ReleaseC.Max), u.Temp(49))
	case s.Kind.Facts().Release && s.ReleaseC == 0:
		return fmt.Errorf("%s: a wash needs a lift-by temperature, usually %s: below it the wax sets again", s.Name, u.Temp(49))
	case !s.Kind.Facts().Release && s.ReleaseC != 0:
		return fmt.Errorf("%s: only a wash has a lift-by temperature", s.Name)
	case s.Water == Mixed && s.ReleaseC > 0 && s.AimC <= s.ReleaseC:
		return fmt.Errorf("%s: the bath at %s starts no warmer than its lift-by temperature %s", s.Name, u.TempRead(s.AimC), u.TempRead(s.ReleaseC))
	case !SinkC.Contains(s.LowestSinkC):
		return fmt.Errorf("%s: the coolest start should be between %s and %s", s.Name, u.Temp(SinkC.Min), u.Temp(SinkC.Max))
	case s.Water == Mixed && s.LowestSinkC > s.AimC:
		return fmt.Errorf("%s: the coolest start (%s) is above the aim (%s)", s.Name, u.TempRead(s.LowestSinkC), u.TempRead(s.AimC))
	case !MaxGapC.Contains(s.MaxGapC):
		return fmt.Errorf("%s: the change from the last bath should be between 0 and %s", s.Name, u.TempDelta(MaxGapC.Max))
	case s.HangMin != 0 && !HangRange.Contains(s.HangMin):
		return fmt.Errorf("%s: from its lift to the next bath should be between 3 minutes and 4 hours, usually %s", s.Name, measure.Minutes(s.Kind.UsualHangMin()))
	}
	return s.checkUnseen()
}

// checkUnseen checks the figures that its kind of step leaves alone: they are written to
// the journal all the same.
func (s Step) checkUnseen() error {
	if err := Limits.Check(s, time.Time{}); err != nil {
		return fmt.Errorf("%s: %w", s.Name, err)
	}
	return nil
}

// ValidateSoak says in a sentence what is wrong with the minutes of a bath.
func (s *Step) ValidateSoak() error {
	name := measure.CleanText(s.Name, MaxName)
	for _, v := range []float64{s.SoakMin, s.ShortestMin, s.LongestMin} {
		if !SoakMin.Contains(v) {
			return fmt.Errorf("%s: minutes should be between 0 and a week", name)
		}
	}
	switch {
	case s.SoakMin < 0.5:
		return fmt.Errorf("%s: the soak is shorter than half a minute", name)
	case s.ShortestMin > s.SoakMin:
		return fmt.Errorf("%s: the soak (%s) is shorter than the shortest allowed (%s)", name, measure.Minutes(s.SoakMin), measure.Minutes(s.ShortestMin))
	case s.LongestMin > 0 && s.LongestMin < s.SoakMin:
		return fmt.Errorf("%s: the soak (%s) is longer than the longest allowed (%s)", name, measure.Minutes(s.SoakMin), measure.Minutes(s.LongestMin))
	}
	return nil
}

// AskKind asks about a step whose name is that of another kind: one that is called
// a wash but set as a rinse has neither scour nor a release temperature.
func (s Step) AskKind() error {
	named := StepKind(-1)
	for _, k := range StepKinds() {
		switch {
		case !slices.ContainsFunc(k.Facts().Names, func(w string) bool { return strings.Contains(strings.ToLower(s.Name), w) }):
		case k == s.Kind:
			return nil
		default:
			named = k
		}
	}
	if named < 0 {
		return nil
	}
	return Unlikelyf("%s is set as a %s, not as a %s: change its kind, or leave it", measure.CleanText(s.Name, MaxName), s.Kind, named)
}
