package planner

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Order says in which order a plan's batches are begun.
type Order int

// The orders: as the person has put them, or as the day finishes earliest.
const (
	AsGiven Order = iota
	Earliest
)

// PlanAhead works a plan out for a day that begins at start. The error is a
// sentence: which figures are in each other's way, and what would do.
func PlanAhead(p shed.Plan, start time.Time, order Order, e Effort) (Outlook, error) {
	p = p.Clean()
	if err := p.Validate(); err != nil {
		return Outlook{}, err
	}
	p.GoBy(start)
	looked := start
	start = begins(p, start)
	if p.WashInMin > 0 {
		p.WashInMin = max(0, p.WashInMin-measure.MinutesBetween(looked, start))
		looked = start
	}
	if order == Earliest {
		p = inBestOrder(p, start, e)
	}
	d, _, err := session.Do(session.Day{}, session.StartDay{Plan: p}, start)
	if err != nil {
		return Outlook{}, err
	}
	if problems := problems(d); len(problems) > 0 { // nobody begins a day with a bath that cannot wash
		return Outlook{}, errors.New(problems[0])
	}
	t, err := scheduleAhead(d, start, e)
	if err != nil {
		return Outlook{}, err
	}
	o := Outlook{Plan: p, Timetable: t, Draws: HotWater(d, t), Nights: p.NightsOf(looked)}
	o.sinkNights()
	o.boilAsFilled()
	o.Sums = sums(d, o)
	o.ByDays = o.byDays()
	o.Cautions = o.cautions(d)
	return o, nil
}

// ReadyBy is PlanAhead for a day that begins as late as it can and is done by a moment, and when
// one has to look at it; start is where the search begins. What soaks over night is put off by
// whole days. Where nothing does, it is done later.
func ReadyBy(p shed.Plan, start, by time.Time, order Order) (o Outlook, from time.Time, err error) {
	if from = start; len(p.Break) > 0 || p.Quiet != (shed.Hours{}) { // a plan takes longer then: most are quick ones
		if o, from, err = latest(p, start, by, order, Quick); err != nil {
			return o, from, err
		}
	}
	return latest(p, from, by, order, Thorough)
}

// mostTries are more than halving a month takes.
const mostTries = 32

// latest tries starts until one is in time and the next is not. A later start is never done
// sooner, but a break or the tank makes one day shorter than another.
func latest(p shed.Plan, start, by time.Time, order Order, e Effort) (o Outlook, from time.Time, err error) {
	const never = math.MaxInt32
	lo, hi, best := -never, never, Outlook{}
	n, unit, at := 0, time.Minute, func(n int) time.Time { return start.Add(time.Duration(n) * time.Minute).Truncate(time.Minute) }
	for try := range mostTries {
		if o, err = PlanAhead(p, at(n), order, e); err != nil {
			return o, at(n), err
		}
		if len(o.Nights) > 0 {
			unit, at = 24*time.Hour, func(n int) time.Time { return start.AddDate(0, 0, n) }
		}
		// By what the day has to spare or is late, and at least a step: the next time twice that.
		spare, step := int(math.Floor(float64(by.Sub(o.Timetable.Finish))/float64(unit))), 1<<min(max(0, try-1), 12)
		next := n + min(spare, -step)
		if spare < 0 {
			hi = n
		} else {
			lo, best, next = n, o, n+max(spare, step)
		}
		if hi-lo <= 1 {
			break
		}
		if lo > -never && hi < never && (next <= lo || next >= hi || try%3 == 2) {
			next = lo + (hi-lo)/2
		}
		n = next
	}
	if lo > -never {
		return best, at(lo), nil
	}
	return o, o.Timetable.From, nil
}

// inBestOrder puts the batches in the order in which the timetable begins them
// when it may choose; the tubs' first ones come first, tub by tub. A plan that
// cannot be timed stays as it is: whoever asks next is told why.
func inBestOrder(p shed.Plan, start time.Time, e Effort) shed.Plan {
	loaded, _, err := session.Do(session.Day{}, session.StartDay{Plan: p}, start)
	if err != nil {
		return p
	}
	free := loaded
	free.Tubs = make([]session.TubRun, len(loaded.Tubs))
	free.Fate = map[string]session.Fate{}
	for _, b := range p.Batches {
		free.Fate[b.ID] = session.Fate{Tub: -1}
	}
	t, err := Schedule(free, start, e)
	if err != nil {
		return p
	}
	first, rest, seen := make([]string, len(free.Tubs)), []string{}, map[string]bool{}
	for _, piece := range t.Pieces {
		switch {
		case piece.Boil() || seen[piece.Batch]:
			continue
		case first[piece.Tub] == "":
			first[piece.Tub] = piece.Batch
		default:
			rest = append(rest, piece.Batch)
		}
		seen[piece.Batch] = true
	}
	for tub := range first { // one that the timetable leaves empty would be given one all the same
		if first[tub] == "" && loaded.Tubs[tub].Batch != "" {
			return p
		}
	}
	first = slices.DeleteFunc(first, func(id string) bool { return id == "" })
	place := map[string]int{}
	for i, id := range append(first, rest...) {
		place[id] = i
	}
	was := p.Batches
	p.Batches = slices.Clone(p.Batches)
	sort.SliceStable(p.Batches, func(i, j int) bool { return place[p.Batches[i].ID] < place[p.Batches[j].ID] })
	better := p.Clean()
	if now, err := finish(p, start, was, e); err == nil {
		if then, err := finish(better, start, better.Batches, e); err == nil && !then.Before(now) {
			p.Batches = was
			return p
		}
	}
	return better
}

// finish is when the day is done with the batches in that order.
func finish(p shed.Plan, start time.Time, batches []shed.Batch, e Effort) (time.Time, error) {
	p.Batches = batches
	d, _, err := session.Do(session.Day{}, session.StartDay{Plan: p}, start)
	if err != nil {
		return time.Time{}, err
	}
	t, err := Schedule(d, start, e)
	return t.Finish, err
}

// withTubs is an outlook as a row of the table of tubs.
func (o *Outlook) withTubs() WithTubs {
	w := WithTubs{Tubs: o.Plan.Kit.Tubs, Finish: o.Timetable.Finish, Proven: o.Timetable.Proven, Gap: o.Timetable.Gap(), HotL: o.Sums.HotL, KettleL: o.Sums.KettleL}
	w.Spare, w.HasSpare = o.Timetable.tightest()
	return w
}

// FillOf is what is poured for a bath, with the tap as the tank then gives it, and how
// warm that tap is, °C.
func (o *Outlook) FillOf(b PlannedBath) (f session.FillPlan, tapC float64) {
	for _, w := range o.Draws {
		if w.Batch == b.Batch && w.StepIndex == b.StepIndex {
			return w.Fill, w.TapC
		}
	}
	return b.Fill, o.Plan.Kit.HotTapC
}

// boilAsFilled gives each boil what its fill then takes.
func (o *Outlook) boilAsFilled() {
	for i, p := range o.Timetable.Pieces {
		b, ok := o.Timetable.BathOf(p)
		if !ok || !p.Boil() || p.On {
			continue
		}
		if f, _ := o.FillOf(b); f.Pour.KettleL > 0 {
			o.Timetable.Pieces[i].BoilL = f.Pour.KettleL
		}
	}
}

const jPerKWh = 3.6e6 // exact, NIST SP 811

func sums(d session.Day, o Outlook) Sums {
	k := d.Plan.Kit
	s := Sums{LengthMin: o.Timetable.Finish.Sub(o.Timetable.From).Minutes()}
	kettle := func(litres float64) { // it is filled from the hot tap
		s.KettleL += litres
		s.KettleKWh += cooling.WaterPortion(litres, k.HotTapC).HeatJPerK * max(0, k.BoilingC()-k.HotTapC) / shed.KettleEfficiency / jPerKWh
	}
	tank := func(litres, tapC float64) {
		s.TankKWh += cooling.WaterPortion(litres, tapC).HeatJPerK * max(0, tapC-k.ColdTapC) / jPerKWh
	}
	for _, b := range o.Timetable.Baths {
		f, tapC := o.FillOf(b)
		s.WaterL += f.VolumeL
		s.HotL += f.Pour.HotL
		s.ColdL += f.Pour.ColdL
		s.ScourML += f.DoseML
		s.Boils += f.KettleLoads
		kettle(f.Pour.KettleL)
		tank(f.Pour.HotL+f.Pour.KettleL, tapC)
	}
	for _, n := range o.Nights {
		s.WaterL += n.BinL
		s.ColdL += n.BinL
	}
	for _, p := range o.Timetable.Pieces {
		if !p.Boil() {
			s.HandsMin += p.End.Sub(p.Start).Minutes()
		}
	}
	if s.HasCost = k.Prices.Given(); s.HasCost {
		s.Cost = s.WaterL/1000*k.Prices.PerM3 + k.Prices.TankCost(s.TankKWh) + s.KettleKWh*k.Prices.PerKWh + s.ScourML/1000*k.Prices.PerLScour
	}
	return s
}

// TapHotL is all that the hot tap gives, what the kettle boils included, L.
func (s Sums) TapHotL() float64 { return s.HotL + s.KettleL }

// CostText is the cost as it is shown.
func (s Sums) CostText(k shed.Kit) string { return k.Prices.Money(s.Cost) }

// longDayMin is a day's work, from the first fill to the last batch on the rack;
// more is divided. Our own choice.
const longDayMin = 10 * 60.0

// byDays divides the batches over days as even as can be, each no more than a
// day's work holds; nil where one day does, or a soak goes over night.
func (o *Outlook) byDays() [][]string {
	n, limit := len(o.Plan.Batches), o.Timetable.From.Add(measure.Lasting(longDayMin))
	stop, stops := o.stop()
	if stops && stop.From.Before(limit) {
		limit = stop.From
	}
	if nights := o.Plan.NightOf(o.Plan.Batches, nil); len(nights) > 0 {
		if len(o.Nights) < 2 {
			return nil
		}
		out := make([][]string, len(o.Nights))
		for _, b := range o.Plan.Batches {
			out[nights[b.ID]] = append(out[nights[b.ID]], b.ID)
		}
		return out
	}
	if !stops && math.Round(o.Sums.LengthMin) <= longDayMin || n < 2 {
		return nil
	}
	done := map[string]time.Time{}
	for _, p := range o.Timetable.Pieces {
		if p.End.After(done[p.Batch]) {
			done[p.Batch] = p.End
		}
	}
	holds := 0
	for _, end := range done {
		if !end.After(limit) {
			holds++
		}
	}
	if stops && (holds == 0 || holds == n) {
		return nil
	}
	holds = max(1, holds)
	days := (n + holds - 1) / holds
	var out [][]string
	for at := range days {
		var day []string
		for _, b := range o.Plan.Batches[at*n/days : (at+1)*n/days] {
			day = append(day, b.ID)
		}
		out = append(out, day)
	}
	sort.SliceStable(out, func(i, j int) bool { return len(out[i]) > len(out[j]) })
	return out
}

// stop is the first quiet hours, of a night or as long, behind which the work goes on.
func (o *Outlook) stop() (s shed.Span, ok bool) {
	i := slices.IndexFunc(o.Timetable.Breaks, func(s shed.Span) bool {
		_, quiet := o.Plan.QuietIn(s)
		return quiet && s.To.Sub(s.From) > measure.Lasting(longSoakMin)
	})
	if i < 0 || len(o.Nights) > 0 { // a night of presoaking is planned for
		return s, false
	}
	s = o.Timetable.Breaks[i]
	return s, slices.ContainsFunc(o.Timetable.Pieces, func(p Piece) bool { return !p.Start.Before(s.To) })
}

// SayStop says of the day that it does not fit before the quiet hours, and when it goes on; "" where it does.
func (o *Outlook) SayStop() string {
	s, ok := o.stop()
	if !ok {
		return ""
	}
	u := o.Plan.Kit.Units
	quiet, _ := o.Plan.QuietIn(s)
	return fmt.Sprintf("doesn't fit before your quiet hours at %s: goes on %s", u.Clock(quiet.From), u.Moment(o.Plan.OnTheWall(s.To), "Mon 15:04"))
}

// SayDays says how a day that is too long is divided.
func (o *Outlook) SayDays() string {
	if len(o.ByDays) == 0 || len(o.Nights) > 0 {
		if stop := o.SayStop(); stop != "" {
			return "the day " + stop
		}
		return o.sayNights()
	}
	parts := make([]string, len(o.ByDays))
	for i, day := range o.ByDays {
		parts[i] = fmt.Sprint(len(day))
	}
	last := len(parts) - 1
	why := fmt.Sprintf("that is %s, more than a day's work (%s): ", o.Timetable.Lasts(), measure.Minutes(longDayMin))
	if stop := o.SayStop(); stop != "" {
		why = "the day " + stop + "; or "
	}
	return fmt.Sprintf("%ssplit it over %d days, %s and %s", why, len(parts), strings.Join(parts[:last], ", "), countedBatches(len(o.ByDays[last])))
}

func (o *Outlook) cautions(d session.Day) []string {
	k := d.Plan.Kit
	var out []string
	add := func(text string) {
		if text != "" && !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	look := d.LookAhead()
	cool, short, far := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, b := range o.Timetable.Baths { // what cannot wash comes first
		if a := at(look, b, k.HotTapC); look.Idle(a) && !cool[k.Tubs[b.Tub].Name+b.Step.Name] {
			cool[k.Tubs[b.Tub].Name+b.Step.Name] = true
			batch, _ := d.Batch(b.Batch)
			add(sayUnfit(look, b.Tub, batch, a))
		}
	}
	for _, w := range o.Draws {
		if w.TooCool != "" {
			add(w.Say(k))
		}
	}
	if room := shed.NewRackRoom(k, d.Plan.Lying()).Fits(d.Plan.Batches); len(k.Trays) > 0 && room == 0 {
		add("there is no room on the rack: bag what is dry, or clear a tray, before you begin")
	} else if len(k.Trays) > 0 && len(d.Plan.Batches) > room {
		add(fmt.Sprintf("the rack has room for %s, the plan has %d: wash %d today, or clear another tray", countedBatches(room), len(d.Plan.Batches), room))
	}
	add(o.SayDays())
	for _, p := range o.Timetable.Late() {
		what := "the " + p.Name + " of " + p.Batch
		if p.LateWash {
			add(fmt.Sprintf("%s comes %s after its bath may be below the lift-by temperature: use fewer tubs at once", what, measure.Minutes(math.Round(p.Late.Minutes()))))
		} else {
			add(fmt.Sprintf("%s waits %s past its limit", what, measure.Minutes(math.Round(p.Late.Minutes()))))
		}
	}
	add(o.sayLongSoaks())
	for _, b := range o.Timetable.Baths {
		if b.Fill.Short() && !session.TooCoolToBegin(&b.Step, b.Fill.WaterC) && !short[b.Step.Name] {
			short[b.Step.Name] = true
			add(b.sayShort(&k))
		}
	}
	for _, b := range o.Timetable.Baths {
		if session.TooFar(&b.Step, b.Fill.GapC) && !far[b.Step.Name] {
			far[b.Step.Name] = true
			add(b.sayFar(&k))
		}
	}
	add(o.sayTooFull(d))
	for _, w := range o.Draws {
		add(w.Say(k))
	}
	return out
}

// namedFull is how many batches are named, of those that are too full.
const namedFull = 6

// sayTooFull says once which batches won't open out in the tubs they go to.
func (o *Outlook) sayTooFull(d session.Day) string {
	p, tubs := &d.Plan, map[string]int{}
	for _, s := range o.Timetable.Soaks {
		tubs[s.Batch] = s.Tub
	}
	var full []string
	first, mostG, alike := shed.Batch{}, 0.0, true
	for _, b := range p.Batches {
		tub, known := tubs[b.ID]
		g := 0.0
		if known {
			g = OverfullG(p, &b, tub)
		}
		if g == 0 {
			continue
		}
		if len(full) == 0 {
			first, mostG = b, g
		}
		alike = alike && g == mostG
		full, mostG = append(full, b.ID), max(mostG, g)
	}
	switch n := len(full); {
	case n == 0:
		return ""
	case n == 1:
		return SayTooFull(p, &first, tubs[first.ID])
	case n > namedFull:
		full = append(full[:namedFull-1:namedFull-1], fmt.Sprintf("%d more", n-namedFull+1))
	}
	take := "take "
	if !alike {
		take = "take up to "
	}
	last := len(full) - 1
	return fmt.Sprintf("%s and %s won't open out in their tubs: %s%s out of each", strings.Join(full[:last], ", "), full[last], take, p.Kit.Units.Mass(mostG))
}

// sayShort says by how much tap and kettle miss a bath, and what would do.
func (b PlannedBath) sayShort(k *shed.Kit) string {
	u := k.Units
	text := fmt.Sprintf("the %s comes to %s, not %s: tap and kettle can't do it", b.Step.Name, u.Temp(b.Fill.AfterC), u.Temp(b.Fill.AfterC+b.Fill.ShortC))
	ways := ShortRemedies(b.Fill, k)
	if len(ways) == 0 {
		return text
	}
	return text + "; it takes " + strings.Join(ways, ", or ")
}

// mostKettlePart is the most of a bath that anybody is told to boil; our own choice.
const mostKettlePart = 0.5

// ShortRemedies are what would bring a bath that stays short to its aim, each by itself.
func ShortRemedies(f session.FillPlan, k *shed.Kit) []string {
	u, n := k.Units, f.Pour.Need
	var ways []string
	if k.Kettle.CapacityL <= 0 {
		ways = append(ways, "a kettle")
	}
	if measure.Finite(n.KettleL) && n.KettleL > f.Pour.KettleL+0.05 && n.KettleL <= mostKettlePart*f.VolumeL {
		l := n.KettleL
		if mark := k.KettleMarkL(); mark > 0 {
			l = math.Ceil(l/mark-1e-9) * mark
		}
		ways = append(ways, k.KettleText(l)+" from the kettle in all")
	}
	if measure.Finite(n.HotC) && n.HotC <= 65 {
		ways = append(ways, fmt.Sprintf("a hot tap of %s", u.TempUp(n.HotC)))
	}
	if l := math.Floor(n.VolumeL*4) / 4; l >= f.LeastL {
		ways = append(ways, fmt.Sprintf("a bath of %s", u.Volume(l)))
	}
	return ways
}

// sayFar says beforehand that a bath is further from the one before than its step
// allows, and what would do.
func (b PlannedBath) sayFar(k *shed.Kit) string {
	u, gapC := k.Units, b.Fill.GapC
	if gapC < 0 {
		return fmt.Sprintf("the %s is %s hotter than the bath before, and the method allows %s: lower it in slowly", b.Step.Name, u.TempBy(-gapC), u.TempBy(b.Step.MaxGapC))
	}
	way := ""
	if c := math.Ceil(k.HotTapC + gapC - b.Step.MaxGapC); c <= session.HottestTankC {
		way = fmt.Sprintf("raise the tank to %s, or ", u.Temp(c))
	}
	return fmt.Sprintf("the %s is %s cooler than the bath before, and the method allows %s: %slower the fleece in slowly", b.Step.Name, u.TempBy(gapC), u.TempBy(b.Step.MaxGapC), way)
}
