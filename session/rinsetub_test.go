package session_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// rinsing is two batches in North and South whose rinses are in East, the first in its wash.
func rinsing(t *testing.T) *sessiontest.Run {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit = p.Kit.Clean()
		p.Kit.Tubs[2] = p.Kit.Tubs[0]
		p.Kit.Tubs[2].ID, p.Kit.Tubs[2].Name = "east", "East"
		p.RinseTub, p.Batches = "east", p.Batches[:2]
		for i := range p.Batches {
			p.Batches[i].FleeceID, p.Batches[i].Presoak = "f1", shed.PresoakNone
		}
	}))
	sessiontest.Same(t, "loaded", []string{r.Day.Tubs[0].Batch, r.Day.Tubs[1].Batch, r.Day.Tubs[2].Batch}, []string{"A1", "A2", ""})
	return r.Until(0, shed.Soaking)
}

// A rinse bath is made ready in the last minutes of the wash and covered; the basket goes over
// into it, and the tub that it left is emptied.
func TestBasketGoesOnInTheRinseTub(t *testing.T) {
	r := rinsing(t)
	_ = r.Refused(session.DoNext{Tub: 2, Act: shed.LoadNext}, "not yet at East")
	p := coach.PromptAt(r.Day, 2, r.Now)
	sessiontest.Same(t, "too soon", []any{p.Act, p.Rank, p.Title}, []any{shed.FillTub, coach.Coming, "fill for A1's first rinse"})
	r.Wait(20 - session.ReadyLeadMin)
	p = coach.PromptAt(r.Day, 2, r.Now)
	sessiontest.Same(t, "in time", []any{p.Act, p.Rank, p.Doubt}, []any{shed.FillTub, coach.Now, ""})
	there, due, _ := r.Day.Coming(2, r.Now)
	sessiontest.Near(t, "due in, min", due.Sub(r.Now).Minutes(), session.ReadyLeadMin, 0.1)
	plan := there.FillAt(2, r.Now)
	left := sessiontest.HotLeftL(r.Day, r.Now)
	r.Wait(2).Next(2)
	b := r.Day.Tubs[2].Bath
	sessiontest.Same(t, "ready", []any{r.Day.Tubs[2].Ready(), r.Day.Tubs[2].Batch, b.Batch, b.Step.Name, r.Day.Tubs[2].Cover}, []any{true, "", "A1", "first rinse", r.Day.Plan.Kit.Tubs[2].Cover})
	if now := sessiontest.HotLeftL(r.Day, r.Now); left > 0 && now >= left {
		t.Errorf("its water is not out of the tank: %g L, %g before", now, left)
	}
	sessiontest.Same(t, "then", r.Day.NextAction(2), shed.Wait)
	r.Do(session.TakeReading{Tub: 2, TempC: math.Round(b.FillC), Sure: true})
	r.Wait(session.ReadyLeadMin - 2)
	cooled, _, _ := r.Day.TempNow(2, r.Now)
	if !(cooled < b.FillC-0.5) {
		t.Errorf("it stood at %.1f °C and is %.1f", b.FillC, cooled)
	}
	r.Next(0)
	sessiontest.Same(t, "lifted", []any{r.Day.Tubs[0].Phase, r.Day.NextAction(0), coach.PromptAt(r.Day, 0, r.Now).Title}, []any{shed.Draining, shed.SinkIn, "lower A1 into East"})
	r.Next(0)
	from, to := r.Day.Tubs[0], r.Day.Tubs[2]
	sessiontest.Same(t, "over", []any{from.Phase, from.Used.Name, to.Phase, to.Batch, to.Step().Name, r.Day.Fate["A1"].Tub}, []any{shed.Idle, "hot wash", shed.Soaking, "A1", "first rinse", 2})
	if gap := math.Abs(to.LastLiftC - to.Bath.SinkC); session.TooFar(to.Step(), gap) {
		t.Errorf("lifted at %.1f °C into %.1f", to.LastLiftC, to.Bath.SinkC)
	}
	sessiontest.Near(t, "as planned, °C", to.Bath.SinkC, plan.AfterC, 2)
	sessiontest.Same(t, "left", r.Day.NextAction(0), shed.DrainTub)
	r.Next(0)
	sessiontest.Same(t, "emptied", []any{r.Day.Tubs[0].Used.Name, r.Day.NextAction(0)}, []any{"", shed.Wait})
	r.Until(2, shed.ToRack)
	var tubs []string
	for _, b := range ledger.ReviewOf(r.Day).Batches[0].Baths {
		tubs = append(tubs, b.TubName)
	}
	sessiontest.Same(t, "looked back at", tubs, []string{"North", "East", "East"})
	sessiontest.Same(t, "replayed", session.Replay(throughJSON(t, r.Recs)).Tubs, r.Day.Tubs)
}

func throughJSON(t *testing.T, recs []session.Recorded) (out []session.Recorded) {
	raw, err := json.Marshal(recs)
	if err == nil {
		err = json.Unmarshal(raw, &out)
	}
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A fill ahead is warmer by what it loses while it stands, where the tap has it to give.
func TestReadyBathAimsHotter(t *testing.T) {
	r := rinsing(t)
	k := r.Day.Plan.Kit
	k.HotTapC, k.JugL = 72, 0.1
	r.Do(session.ChangeKit{Kit: k}).Wait(20 - session.ReadyLeadMin)
	ahead, _, _ := r.Day.Coming(2, r.Now)
	f := ahead.FillAt(2, r.Now)
	r.Wait(session.ReadyLeadMin)
	due, _, _ := r.Day.Coming(2, r.Now)
	at := due.FillAt(2, r.Now)
	if !(f.WaterC > at.WaterC+0.3 && f.WaterC < at.WaterC+4) {
		t.Errorf("ahead %.1f °C, at the lift %.1f", f.WaterC, at.WaterC)
	}
	sessiontest.Near(t, "with the fleece in, °C", f.AfterC, at.AfterC, 0.7)
}

// Nobody is kept to the rinse tub: set aside, or with a batch of its own in it, the batch rinses
// where it was washed; and a bath that nobody comes to is emptied.
func TestRinseTubGivenUp(t *testing.T) {
	r := rinsing(t)
	r.Wait(20).Next(0)
	sessiontest.Same(t, "not filled", []shed.Action{r.Day.NextAction(0), r.Day.NextAction(2)}, []shed.Action{shed.DrainTub, shed.FillTub})
	r.Next(0)
	sessiontest.Same(t, "waits for it", []shed.Action{r.Day.NextAction(0), r.Day.NextAction(2)}, []shed.Action{shed.Wait, shed.FillTub})
	if title := coach.PromptAt(r.Day, 0, r.Now).Title; title != "goes on in East: fill it first" {
		t.Errorf("at North: %s", title)
	}
	r.Do(session.Hold{Tub: 2})
	sessiontest.Same(t, "set aside", []shed.Action{r.Day.NextAction(0), r.Day.NextAction(2)}, []shed.Action{shed.FillTub, shed.Wait})
	r.Do(session.Resume{Tub: 2}).Next(2)
	r.Do(session.Undo{}).Next(2, 0)
	sessiontest.Same(t, "over", []string{r.Day.Tubs[0].Batch, r.Day.Tubs[2].Batch}, []string{"", "A1"})

	r = rinsing(t)
	r.Wait(15).Next(2)
	r.Do(session.Undo{}).Next(2)
	r.Wait(5).Next(0, 0).Do(session.Undo{}, session.Undo{})
	sessiontest.Same(t, "taken back", []any{r.Day.Tubs[0].Phase, r.Day.Tubs[2].Ready()}, []any{shed.Draining, true})
	r.Do(session.Hold{Tub: 2}).Until(0, shed.ToRack)
	r.Do(session.Resume{Tub: 2})
	sessiontest.Same(t, "nobody comes", []any{r.Day.NextAction(2), coach.PromptAt(r.Day, 2, r.Now).Title}, []any{shed.DrainTub, "empty the tub"})
	r.Next(2)
	sessiontest.Same(t, "emptied", []any{r.Day.Tubs[2].Ready(), r.Day.NextAction(2)}, []any{false, shed.Wait})
}

// A plan says what keeps a tub from being its rinse tub.
func TestRinseTubRefused(t *testing.T) {
	for _, x := range []struct{ id, want string }{{"nowhere", "not in the kit"}, {"t1", "needs another tub"}} {
		p := sessiontest.OneTub()
		if p.RinseTub = x.id; x.id == "nowhere" {
			p = sessiontest.ThreeTubs()
			p.RinseTub = x.id
		}
		if err := p.Clean().Validate(); err == nil || !strings.Contains(err.Error(), x.want) {
			t.Errorf("%s: %v", x.id, err)
		}
	}
}
