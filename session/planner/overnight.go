package planner

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// InBin names the batches that soak over night in the kit's bin, "A1 to A6"; "" for
// none.
func InBin(p *shed.Plan) string {
	var ids []string
	for _, b := range p.Batches {
		if p.InBin(&b) {
			ids = append(ids, b.ID)
		}
	}
	if len(ids) == 0 {
		return ""
	}
	return namedBatches(ids)
}

// begins is when a plan that is looked at at t has its first work: in the evening
// where all of it soaks over a night, and where that is in a bin, in the morning; never in a
// break or in quiet hours.
func begins(p shed.Plan, t time.Time) time.Time {
	if s, ok := p.Away(p.OnTheWall(t)); ok && s.Has(t) {
		t = s.To.In(t.Location())
	}
	nights := p.NightsOf(t)
	if len(nights) == 0 || slices.ContainsFunc(p.Batches, func(b shed.Batch) bool { return !p.SoaksOvernight(&b) }) {
		return t
	}
	first := nights[0].At
	if nights[0].BinL > 0 {
		first = nights[0].Until
	}
	if first.Before(t) {
		return t
	}
	return first
}

// sinkNights has each night in the tubs begin when its timetable sinks the first of it in: others may have the
// tubs till then.
func (o *Outlook) sinkNights() {
	for i := range o.Nights {
		n := &o.Nights[i]
		for j := range o.Timetable.Pieces {
			if p := &o.Timetable.Pieces[j]; n.BinL == 0 && slices.Contains(n.Batches, p.Batch) && slices.Contains(p.Acts, shed.FillTub) {
				n.At = p.Start.In(n.At.Location())
				break
			}
		}
	}
}

// FirstNight is the night in the tubs that the day begins with; ok is false where it begins otherwise, or others
// are washed before it is over.
func (o *Outlook) FirstNight() (n shed.Night, ok bool) {
	if len(o.Nights) == 0 || o.Nights[0].BinL > 0 {
		return n, false
	}
	n = o.Nights[0]
	for i := range o.Timetable.Pieces {
		if p := &o.Timetable.Pieces[i]; p.Start.Before(n.Until) && !slices.Contains(n.Batches, p.Batch) {
			return n, false
		}
	}
	return n, n.At.Sub(o.Timetable.From) < nightGap
}

// evenings is how long after midnight the night is still that of the day before; our own choice.
const evenings = 6 * time.Hour

// SayWhere says in which tub, or in the bin, a batch soaks over a night to come, and over which as one looks at
// it at now; "" if it does not, and of what is in the bin since an evening before that.
func (o *Outlook) SayWhere(batch string, now time.Time) string {
	day := func(t time.Time) string { return o.Plan.OnTheWall(t).Add(-evenings).Format(time.DateOnly) }
	for _, n := range o.Nights {
		where := ""
		if n.BinL > 0 && day(n.At) >= day(now) {
			where = "bin"
		}
		for i := range o.Timetable.Soaks {
			if s := &o.Timetable.Soaks[i]; s.Batch == batch && s.Step.Overnight() {
				where = o.Plan.Kit.Tubs[s.Tub].Name
				break
			}
		}
		switch {
		case where == "" || !slices.Contains(n.Batches, batch):
		case day(n.At) == day(now):
			return where + " tonight"
		default:
			return where + " " + o.Plan.Kit.Units.Moment(o.Plan.OnTheWall(n.At).Add(-evenings), "Mon") + " night"
		}
	}
	return ""
}

// SayNight is what is done, or at now was to be done, on the evening of a night.
func SayNight(n shed.Night, k *shed.Kit, now time.Time) string {
	text := sayNight(n, k)
	if n.BinL > 0 && n.At.Before(now) {
		text += ". Not in the bin yet? Then begin tonight, and wash tomorrow"
	}
	return text
}

func sayNight(n shed.Night, k *shed.Kit) string {
	if n.BinL == 0 {
		return fmt.Sprintf("overnight presoak: %s, each in its tub; lifted from %s on", namedBatches(n.Batches), k.Units.Moment(n.Until, "Mon 15:04"))
	}
	enough := ""
	if n.BinL < k.BinL/2 {
		enough = ", no more"
	}
	return fmt.Sprintf("overnight presoak: %s, %s raw, into %s of cold water in the bin%s; lifted %s", namedBatches(n.Batches), k.Units.Mass(n.RawG), k.Units.Volume(n.BinL), enough, k.Units.Moment(n.Until, "Mon 15:04"))
}

// sayNights says that one night is not enough, and what would be.
func (o *Outlook) sayNights() string {
	n := len(o.Nights)
	if n < 2 {
		return ""
	}
	if k := o.Plan.Kit; k.BinL > 0 {
		return fmt.Sprintf("the bin of %s takes about %s a night: the presoak takes %d nights", k.Units.Volume(k.BinL), k.Units.Mass(k.Units.RoundMassG(k.BinL*shed.SoakGPerL)), n)
	}
	return fmt.Sprintf("the tubs take %s a night: the presoak takes %d nights. A bin or a bath (Kit) takes a whole fleece in one", countedBatches(len(o.Nights[0].Batches)), n)
}

// namedBatches are marks in a row: "A1 to A4", "A1, B1 and B2".
func namedBatches(ids []string) string {
	last := len(ids) - 1
	if last > 1 && ids[0][:1] == ids[last][:1] {
		return ids[0] + " to " + ids[last]
	}
	return listed(ids)
}

// listed are names in a row: "A1, B1 and B2".
func listed(names []string) string {
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// sayLongSoaks says which soaks of many hours, which the search has no limit for, are longer than they may be; "" if none.
func (o *Outlook) sayLongSoaks() string {
	var batches []string
	var longest *Soak
	lasts := func(s *Soak) float64 { return measure.ShownMin(s.Start, s.End) }
	for i := range o.Timetable.Soaks {
		s := &o.Timetable.Soaks[i]
		if s.Step.LongestMin <= longSoakMin || lasts(s) <= s.Step.LongestMin {
			continue
		}
		if batches = append(batches, s.Batch); longest == nil || lasts(s) > lasts(longest) {
			longest = s
		}
	}
	if longest == nil {
		return ""
	}
	return fmt.Sprintf("%s: %s in the %s, %s at the longest: begin later, or take batches out", namedBatches(batches),
		measure.Minutes(lasts(longest)), longest.Step.Name, measure.Minutes(longest.Step.LongestMin))
}
