package shed

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
)

// Clean returns the kit with every name made safe to show and every tub and tray given
// a mark that no other has.
func (k Kit) Clean() Kit { return k.CleanBeside(nil) }

// CleanBeside is Clean with marks that none of the other tubs has: a new tub must
// not inherit what was learned of one that is gone.
func (k Kit) CleanBeside(others []Tub) Kit {
	k.Scour.Name, k.Names = measure.CleanText(k.Scour.Name, MaxName), cleanNames(k.Names)
	last := k.Marks
	for _, t := range slices.Concat(k.Tubs, others) {
		last = max(last, markNumber(measure.CleanText(t.ID, MaxName)))
	}
	mark := marker("t", last)
	k.Tubs = slices.Clone(k.Tubs)
	for i, t := range k.Tubs {
		t.ID, t.Name = mark(t.ID), measure.CleanText(t.Name, MaxName)
		k.Tubs[i] = t
	}
	return k.cleanSupply()
}

// marker gives each thing its own mark: the one it has, or where it has none, or one
// before it in the list has that, the next after last.
func marker(letter string, last int) func(id string) string {
	given := map[string]bool{"": true}
	return func(id string) string {
		if id = measure.CleanText(id, MaxName); given[id] {
			last++
			id = fmt.Sprint(letter, last)
		}
		given[id] = true
		return id
	}
}

// Instead is the kit that takes the place of an older one at a moment. It remembers the
// names that have changed, and the marks of what is gone, so that nothing new gets
// them.
func (k Kit) Instead(old Kit, at time.Time) Kit {
	k.Marks = max(k.Marks, old.Marks)
	for _, t := range old.Tubs {
		if i := slices.IndexFunc(k.Tubs, func(o Tub) bool { return o.ID == t.ID }); i < 0 {
			k.Marks = max(k.Marks, markNumber(t.ID))
		} else {
			k.rename(t.ID, t.Name, measure.CleanText(k.Tubs[i].Name, MaxName), at)
		}
	}
	for _, t := range old.Trays {
		if i := slices.IndexFunc(k.Trays, func(o Tray) bool { return o.ID == t.ID }); i < 0 {
			k.Marks = max(k.Marks, markNumber(t.ID))
		} else {
			k.rename(t.ID, t.Name, measure.CleanText(k.Trays[i].Name, MaxName), at)
		}
	}
	return k
}

// Validate checks the whole kit; the error is a sentence for the person.
func (k Kit) Validate() error {
	k = k.Clean() // names appear in the sentences
	if _, err := k.Units.MarshalText(); err != nil {
		return fmt.Errorf("the kit's units are neither metric nor us: choose one")
	}
	checks := []error{
		k.CheckRoomC(k.RoomC), k.checkHotTapC(k.HotTapC), k.CheckColdTapC(k.ColdTapC),
		k.CheckKettleL(k.Kettle.CapacityL), k.CheckKettleL(k.Kettle.AsideL), k.CheckKettleW(k.Kettle.PowerW),
		k.CheckDose(k.Scour.DoseMLPer100G), k.CheckPowder(k.Scour.PowderGPer100G), k.CheckLeadMin(k.LeadMin), k.CheckWaking(),
	}
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	if k.ColdTapC >= k.HotTapC {
		return fmt.Errorf("the cold tap (%s) isn't colder than the hot tap (%s): swap them", k.Units.Temp(k.ColdTapC), k.Units.Temp(k.HotTapC))
	}
	switch {
	case len(k.Tubs) == 0:
		return fmt.Errorf("the kit has no tub: add at least one")
	case len(k.Tubs) > MaxTubs:
		return fmt.Errorf("the kit has %d tubs: %d is the most one screen can watch", len(k.Tubs), MaxTubs)
	}
	if err := k.checkSupply(); err != nil {
		return err
	}
	for i, t := range k.Tubs {
		if err := k.validateTub(t); err != nil {
			return err
		}
		if err := CheckTubName(t.Name, k.Tubs[:i]); err != nil {
			return err
		}
	}
	return nil
}

// CheckTubName says that one of the other tubs has that name, nil if none has.
func CheckTubName(name string, others []Tub) error {
	name = measure.CleanText(name, MaxName)
	for _, o := range others {
		if strings.EqualFold(measure.CleanText(o.Name, MaxName), name) {
			return fmt.Errorf("two tubs are called %s: give each its own name", name)
		}
	}
	return nil
}

// CheckBath checks a tub's usual bath against the limits and against its size.
func (k Kit) CheckBath(t Tub) error {
	if err := k.CheckFillL(t.FillL); err != nil {
		return err
	}
	if t.FillL > t.CapacityL {
		return fmt.Errorf("%s holds %s, so a bath of %s runs over: fill less", measure.CleanText(t.Name, MaxName), k.Units.Volume(t.CapacityL), k.Units.Volume(t.FillL))
	}
	return nil
}

// validateTub checks one tub by itself.
func (k Kit) validateTub(t Tub) error {
	t.Name = measure.CleanText(t.Name, MaxName)
	if t.Name == "" {
		return fmt.Errorf("a tub has no name: give it one, such as North or Blue")
	}
	if _, err := t.Shape.MarshalText(); err != nil {
		return fmt.Errorf("%s has no shape: choose deep or shallow", t.Name)
	}
	if _, err := t.Cover.MarshalText(); err != nil {
		return fmt.Errorf("%s has no cover: choose open, lid, film, or lid and film", t.Name)
	}
	if err := k.CheckCapacityL(t.CapacityL); err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	if err := k.CheckFillL(t.FillL); err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	return k.CheckBath(t)
}

// scaleMark begins the mark of a scale: no other part of the kit has a blank in
// its mark.
const scaleMark = "scale "

// lastName is the name that a mark was given last; ok is false if it never had
// another.
func (k *Kit) lastName(mark string) (name string, ok bool) {
	for _, n := range slices.Backward(k.Names) {
		if n.Mark == mark && mark != "" {
			return n.Name, true
		}
	}
	return "", false
}

// NameNow is the name now of what had a mark and a name. Where the mark never had
// that name it is another thing, of a kit from elsewhere, and keeps it.
func (k *Kit) NameNow(mark, name string) string {
	if slices.ContainsFunc(k.Names, func(n MarkName) bool { return n.Mark == mark && n.Name == name }) {
		now, _ := k.lastName(mark)
		return now
	}
	return name
}

// ScaleName is the name now of a scale that was written down under a name.
func (k Kit) ScaleName(name string) string {
	for _, n := range slices.Backward(k.Names) {
		if name != "" && strings.HasPrefix(n.Mark, scaleMark) && strings.EqualFold(n.Name, name) {
			now, _ := k.lastName(n.Mark)
			return now
		}
	}
	return name
}

// rename remembers that a mark has another name from now on.
func (k *Kit) rename(mark, was, is string, at time.Time) {
	if was == "" || was == is || k.NameNow(mark, was) == is {
		return
	}
	names := k.Names
	if k.NameNow(mark, was) == was && !slices.ContainsFunc(names, func(n MarkName) bool { return n.Mark == mark && n.Name == was }) {
		names = append(slices.Clip(names), MarkName{Mark: mark, Name: was})
	}
	k.Names = nil
	for _, n := range names {
		if n.Mark != mark || n.Name != is {
			k.Names = append(k.Names, n)
		}
	}
	k.Names = append(k.Names, MarkName{Mark: mark, Name: is, At: at})
}

// cleanNames makes the names safe to show, and has each name of a mark be later than
// the one before it: the clock may have been set back between the two, and copies
// are put together by time.
func cleanNames(names []MarkName) []MarkName {
	out, last := slices.Clone(names), map[string]time.Time{}
	for i, n := range out {
		n.Mark, n.Name = measure.CleanText(n.Mark, 2*MaxName), measure.CleanText(n.Name, MaxName)
		if was := last[n.Mark]; !was.IsZero() && !n.At.After(was) {
			n.At = was.Add(time.Millisecond)
		}
		out[i], last[n.Mark] = n, n.At
	}
	return out
}

// Scale is the one used last.
func (k *Kit) Scale() Scale {
	if len(k.Scales) > 0 {
		return k.Scales[0]
	}
	return UsualScale(k.Units)
}

// Used returns the kit with that scale as the one used last.
func (k Kit) Used(s Scale) Kit {
	s = s.Clean()
	s.Name = k.ScaleName(s.Name) // its first one may have been typed again
	out := []Scale{s}
	for _, o := range k.Scales {
		if o.Name != s.Name && len(out) < mostScales {
			out = append(out, o)
		}
	}
	k.Scales = out
	return k
}

// checkSupply checks heater, jug, rack and prices.
func (k Kit) checkSupply() error {
	for _, err := range []error{
		k.CheckAltitudeM(k.AltitudeM), k.CheckJugL(k.JugL), k.CheckTankL(k.Tank.VolumeL), k.CheckBinL(k.BinL), k.CheckTankW(k.Tank.HeaterW),
		k.CheckPrice(k.Prices.PerM3), k.CheckPrice(k.Prices.PerKWh), k.CheckPrice(k.Prices.PerKWhGas), k.CheckPrice(k.Prices.PerLScour),
	} {
		if err != nil {
			return err
		}
	}
	names := map[string]bool{}
	for _, t := range k.Trays {
		n := strings.ToLower(t.Name)
		switch {
		case t.Name == "":
			return fmt.Errorf("a tray has no name: call it by its place, such as top")
		case names[n]:
			return fmt.Errorf("two trays are called %s: give each its own name", t.Name)
		case !trayHolds.Contains(float64(t.Places)):
			return fmt.Errorf("the tray %s should have room for %.0f to %.0f batches", t.Name, trayHolds.Min, trayHolds.Max)
		case t.Layers < 0 || t.Layers > maxTrayLayers:
			return fmt.Errorf("the tray %s should have 1 to %d layers, such as 4; none if you do not count them", t.Name, maxTrayLayers)
		}
		names[n] = true
	}
	for _, s := range k.Scales {
		if err := s.Check(k.Units); err != nil {
			return err
		}
	}
	if len(k.Trays) > maxTrays {
		return fmt.Errorf("the rack has %d trays: %d are the most", len(k.Trays), maxTrays)
	}
	return nil
}

// cleanSupply makes the texts safe to show and gives every tray a mark.
func (k Kit) cleanSupply() Kit {
	k.Prices.MoneyWords = measure.CleanText(k.Prices.MoneyWords, MaxName)
	k.Trays, k.Scales = slices.Clone(k.Trays), slices.Clone(k.Scales)
	for i, s := range k.Scales {
		k.Scales[i] = s.Clean()
	}
	last := k.Marks
	for _, t := range k.Trays {
		last = max(last, markNumber(measure.CleanText(t.ID, MaxName)))
	}
	mark := marker("r", last)
	for i, t := range k.Trays {
		t.ID, t.Name = mark(t.ID), measure.CleanText(t.Name, MaxName)
		k.Trays[i] = t
	}
	return k
}

// markNumber is the number of a mark such as t3 or r12, 0 if it has none.
func markNumber(id string) int {
	if len(id) < 2 || len(id) > 9 {
		return 0
	}
	n, err := strconv.Atoi(id[1:])
	if err != nil || n < 0 {
		return 0
	}
	return n
}
