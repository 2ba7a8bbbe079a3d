package tui

import (
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/gear"
)

// A page with an unlikely figure asks about it once, and takes the same again.
func TestFormsAskAboutWhatIsUnlikely(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "end", "up", "up", "enter")
	p.types("150")
	p.press("tab")
	p.types("none")
	p.press("ctrl+s")
	p.says("is not a power")
	p.types("130")
	p.press("ctrl+s")
	p.says("130 W takes")
	if k := p.ledger.HasKit; k.Tank != shed.DefaultKit().Tank {
		t.Fatalf("taken without a word: %+v", k.Tank)
	}
	p.types("140")
	p.press("ctrl+s")
	p.says("140 W takes") // another figure is asked about anew
	p.press("ctrl+s")
	if k := p.ledger.HasKit; k.Tank != (shed.Tank{VolumeL: 150, HeaterW: 140}) {
		t.Fatalf("tank %+v", k.Tank)
	}
	p.press("end", "up", "enter")
	p.types("12")
	p.press("ctrl+s")
	p.says("is a number without a name")
	if k := p.ledger.HasKit; len(k.Trays) > 0 {
		t.Fatalf("trays %+v", k.Trays)
	}
}

// The hours at which the person is up are part of the kit.
func TestWakingHoursAreSet(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "4")
	p.sees("You are up from")
	p.press("tab")
	p.types("9")
	p.press("tab")
	p.types("1")
	p.press("ctrl+s")
	if k := p.ledger.HasKit; k.UpH != 9 || k.BedH != 1 {
		t.Fatalf("up %d, to bed %d", k.UpH, k.BedH)
	}
}

// The same animal of the same farm and year is asked about before it is a second
// fleece.
func TestATwinFleeceIsAskedAbout(t *testing.T) {
	p := newPerson(t, true)
	f := must.Get(p.ledger.SaveFleece(shed.Fleece{Animal: "Invented ewe", Farm: "Invented Hill", Year: 2026, RawG: 2000})).In(t)
	p.press("f")
	twin := f
	twin.ID = ""
	leave := ahead.FleecePages(p.app.env, &twin)[0].Leave
	if err := leave(); !base.Unlikely(err) {
		t.Errorf("a twin: %v", err)
	}
	if twin.Year = 2025; leave() != nil {
		t.Errorf("of another year: %v", leave())
	}
	if err := ahead.FleecePages(p.app.env, &f)[0].Leave(); err != nil {
		t.Errorf("itself: %v", err)
	}
}

// A step that is called a wash and set as a rinse is asked about.
func TestAStepsNameAndKindAreHeldTogether(t *testing.T) {
	p := newPerson(t, true)
	st := shed.Step{Kind: shed.Rinse, Name: "second wash", FillPart: 1}
	pages := gear.StepPages(p.app.env.Kit.Units, &st)
	if err := pages[0].Leave(); !base.Unlikely(err) {
		t.Errorf("a wash as a rinse: %v", err)
	}
	if st.Kind = shed.Wash; pages[0].Leave() != nil {
		t.Errorf("a wash: %v", pages[0].Leave())
	}
}

// The form of any step, the built-in method's or a new one of its kind, takes the figures that it
// opens with.
func TestStepFormTakesWhatItOpensWith(t *testing.T) {
	p := newPerson(t, true)
	for _, u := range []measure.System{measure.Metric, measure.US} {
		steps := shed.BuiltInMethod().Steps
		for _, k := range shed.StepKinds() {
			steps = append(steps, k.Usual())
		}
		for _, st := range steps {
			st = st.In(u)
			name := st.Kind.String() + " " + st.Name
			takesWhatItOpensWith(t, name, form.NewForm(p.app.env, name, gear.StepPages(u, &st), nil))
		}
	}
}

// A presoak of one's own method is changed without a word about how long its fleece waits.
func TestPresoaksMinutesAreChanged(t *testing.T) {
	p := newPerson(t, true)
	p.resize(120, 40)
	p.press("m", "c", "ctrl+s", "enter", "e", "enter", "enter")
	p.types("45")
	p.press("ctrl+s")
	list := gear.MethodList(p.app.env)
	was := shed.BuiltInMethod().Steps[0]
	was.SoakMin = 45
	if own := list[len(list)-1]; own.Steps[0] != was {
		t.Errorf("%+v\n%s", own.Steps[0], p.view())
	}
}

// A step of another kind takes that kind's own name, limits and scour, round in the person's units;
// a copy of the built-in method has no words of its yet.
func TestKindChangesTheStep(t *testing.T) {
	p := newPerson(t, true)
	p.app.env.Kit.Units = measure.US
	p.resize(120, 40)
	p.press("m", "enter", "down", "down", "a") // behind the first rinse of the built-in method
	p.seesNot("twice for a fleece")
	p.press("ctrl+s")
	p.sees("> rinse")
	p.press("left")
	p.sees("> hot wash") // the field: the picture of the method names its others
	p.press("right")
	p.seesNot("> hot wash")
	p.press("left", "ctrl+s")
	list := gear.MethodList(p.app.env)
	own := list[len(list)-1]
	want := shed.Wash.Usual().In(measure.US)
	if len(own.Steps) != 7 || own.Steps[3] != want || own.About != "" {
		t.Errorf("%q, steps %+v, want a %+v\n%s", own.About, own.Steps, want, p.view())
	}
	for _, st := range own.Steps {
		for _, c := range []float64{st.AimC, st.ReleaseC} {
			if c != 0 && measure.US.TempField(c) != measure.US.TempWhole(c) {
				t.Errorf("%s: the list has %s, the form %s", st.Name, measure.US.TempWhole(c), measure.US.TempField(c))
			}
		}
	}
}

// More of a part than is left of it is asked about.
func TestMoreOfAPartThanIsLeftIsAskedAbout(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("p", "a", "enter", "enter") // Curly, loose
	p.types("shoulder")
	p.press("enter")
	p.sees("> 300") // 500 g sorted, 200 g of it washed
	p.types("420")
	p.press("ctrl+s")
	p.says("420 g of shoulder is more than the 300 g that is left of it")
	if n := len(p.app.env.Planned.Plan.Batches); n > 0 {
		t.Fatalf("%d batches without a word", n)
	}
	p.press("ctrl+s")
	if n := len(p.app.env.Planned.Plan.Batches); n == 0 {
		t.Fatal("the same figure again was not taken")
	}
}
