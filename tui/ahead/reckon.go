package ahead

import (
	"fmt"
	"slices"
	"sync"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// reckoned is what a plan comes to, once it is worked out.
type reckoned struct {
	sync.Once
	plan    shed.Plan
	when    planner.When
	from    time.Time // one has to look at it
	outlook planner.Outlook
	why     error // it cannot be washed
}

func (r *reckoned) work() (struct{}, error) {
	r.Do(func() {
		r.outlook, r.from, r.why = r.when.Plan(r.plan, planner.AsGiven)
		if loud := r.plan.SayNoQuiet(r.when.Alarms.QuietHours()); loud != "" {
			r.outlook.Cautions = append(r.outlook.Cautions, loud)
		}
	})
	return struct{}{}, nil
}

// changed has the plan reckoned anew. Who waits for it and who shows it have the same work.
func (s *PlanScreen) changed(p shed.Plan) {
	if s.next = (&reckoned{plan: p, when: *whenOf(s.E)}); len(p.Batches) == 0 {
		s.reckoned = s.next
	}
}

// old says that what is shown is of the plan before the last change.
func (s *PlanScreen) old() bool { return s.reckoned != s.next }

// known is the style of what was reckoned, until it is old.
func (s *PlanScreen) known(st theme.Style) theme.Style {
	if s.old() {
		return s.E.Theme.Faint
	}
	return st
}

// reckon works the plan out away from the screen, one at a time: what is overtaken by a change
// is dropped, and the next begins.
func (s *PlanScreen) reckon() tea.Cmd {
	if !s.old() || s.working {
		return nil
	}
	s.working = true
	next := s.next
	return base.Away(s, next.work, func(struct{}, error) tea.Cmd {
		s.working = false
		s.reckonedAs(next)
		return nil
	})
}

// reckonedAs shows what a plan came to, unless that is overtaken by a change.
func (s *PlanScreen) reckonedAs(next *reckoned) {
	if next == s.next {
		s.reckoned = next
		s.rows()
	}
}

// once goes on when the plan as it is has been worked out: nothing is begun or left out by an
// old one.
func (s *PlanScreen) once(then func() tea.Cmd) tea.Cmd {
	if !s.old() {
		return then()
	}
	next := s.next
	return base.Lead(s, s.E, next.work, func(struct{}, error) tea.Cmd {
		s.reckonedAs(next)
		return s.once(then)
	})
}

// totals is what the plan takes: time, and of each fleece; what is wrong with it
// gives way last.
func (s *PlanScreen) totals() []draw.Para {
	t, p := s.E.Theme, &s.next.plan
	u := p.Kit.Units
	var out []draw.Para
	add := func(rank int, lines []string) { out = append(out, draw.Para{Lines: lines, Rank: rank}) }
	lead, more := "About ", "; t: timetable"
	if s.W < 60 {
		lead = ""
	}
	if s.old() {
		if lead, more = "Working it out; was ", ""; s.W < 60 {
			lead = "Working; was "
		}
	}
	switch {
	case len(s.outlook.Plan.Batches) == 0 && s.why == nil:
		add(1, draw.Told(t.Faint, "Working it out", s.W))
	case s.why != nil && s.old():
		add(1, draw.Told(t.Faint, lead+s.why.Error(), s.W))
	case s.why != nil:
		add(1, draw.Told(t.Warn, s.why.Error(), s.W))
	default:
		m := s.outlook.Sums
		inG, what := 0.0, "raw"
		for _, b := range s.outlook.Plan.Batches {
			if inG += b.NowG(); b.WasDryG > 0 {
				what = "in all"
			}
		}
		text := fmt.Sprintf("%s%s; %s %s; %s water, scour %s%s", lead, s.outlook.Timetable.Lasts(), u.Mass(inG), what, u.VolumeSum(m.WaterL), p.Kit.DoseSumText(m.ScourML), more)
		add(1, draw.Told(s.known(t.Text), text, s.W))
		long := ""
		for _, b := range s.outlook.Timetable.Breaks {
			add(2, draw.Told(s.known(t.Next), s.outlook.Timetable.SayBreak(b, &s.outlook.Plan), s.W))
		}
		if days := s.outlook.ByDays; len(days) > 0 {
			text := fmt.Sprintf("l: only %s today, the other %d another day", base.Counted(len(days[0]), "batch", "batches"), len(s.outlook.Plan.Batches)-len(days[0]))
			if len(s.outlook.Nights) == 0 { // what the caution would say again
				why := "More than a day's work"
				if stop := s.outlook.SayStop(); stop != "" {
					why = "The day " + stop
				}
				text, long = why+". "+text, s.outlook.SayDays()
			}
			add(2, draw.Told(s.known(t.Next), text, s.W))
		}
		mind := slices.DeleteFunc(slices.Clone(s.outlook.Cautions), func(c string) bool { return c == long })
		for i, c := range mind {
			if i == 1 && len(mind) > 2 {
				c = fmt.Sprintf("%d more warnings: t shows them", len(mind)-1)
			}
			if i < 2 {
				add(3, draw.Told(s.known(t.Warn), c, s.W))
			}
		}
	}
	if dry := s.outlook.SayDry(); dry != "" && s.why == nil {
		add(4, draw.Told(s.known(t.Faint), dry, s.W))
	}
	if over := s.tooMuch(); over != "" {
		add(2, draw.Told(t.Warn, over, s.W))
	}
	for _, b := range p.Batches {
		if bag := s.bagOf(&b); bag != "" {
			add(3, draw.Told(t.Text, bag, s.W))
		}
	}
	for _, f := range p.Fleeces {
		n, again, letter, g, leftG := 0, 0, "", ledger.PlannedG(p.Batches, f.ID, ""), s.stock.WholeG(f)
		for _, b := range p.Batches {
			if b.FleeceID == f.ID {
				letter, _ = shed.MarkParts(b.ID)
			}
			switch {
			case b.FleeceID == f.ID && b.Raw():
				n++
			case b.FleeceID == f.ID:
				again++
			}
		}
		text := fmt.Sprintf("%s  %s: ", letter, f.Title())
		if n > 0 {
			text += fmt.Sprintf("%s, %s of %s, ", base.Counted(n, "batch", "batches"), u.Mass(g), u.Mass(leftG))
		}
		if again > 0 {
			text += fmt.Sprintf("%d washed again, ", again)
		}
		text += u.Mass(max(0, leftG-g)) + " left"
		add(4, draw.Told(t.Faint, text, s.W))
	}
	return out
}

// bagOf says what a batch of an earlier day was, and which bag to fetch; "" of any other.
func (s *PlanScreen) bagOf(b *shed.Batch) string {
	for _, d := range s.E.Record.Days {
		for _, r := range d.Rows {
			if b.Was() == (shed.Earlier{Day: d.ID, Batch: r.ID}) {
				how := " again"
				if b.Raw() {
					how = ", presoaked"
				}
				text := fmt.Sprintf("%s of %s%s: ", r.ID, s.E.Kit.Units.Moment(d.WashedAt(&r).In(s.E.Zone()), "2 Jan 2006"), how)
				if b.ID != r.ID {
					text = b.ID + " is " + text
				}
				if b.WasDryG > 0 {
					text += "was " + s.E.Kit.Units.Mass(b.RawG) + " raw, "
				}
				if b.FromStep != "" {
					text += "from the " + b.FromStep + ", "
				}
				if r.State() <= ledger.InWater {
					text += "label "
				} else {
					text += "bag "
				}
				code, _ := tag.Code(d.ID, r.ID)
				for _, more := range []string{r.Mark, r.Out.Place} {
					if more != "" {
						code += ", " + more
					}
				}
				if b.DosePart == 0.5 {
					code += "; half the scour"
				}
				return text + code
			}
		}
	}
	return ""
}
