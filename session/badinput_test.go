package session_test

import (
	"encoding"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// nasty are texts that a terminal, a journal or a table could choke on.
var nasty = []string{
	"", " ", "\x00", "\x1b[2J\x1b[31mred", "\x1b]0;title\aafter", "bell\a", "line\nbreak\r\n", "tab\tbed", "\u009b31m", "\u202egnirts",
	"zero\u200bwidth\ufeff", "\xff\xfe broken", "羊毛の桶", "ﷺ", "e\u0301\u0301\u0301\u0301\u0301\u0301\u0301", "👩‍🌾", "%s %d", `"quoted"\`,
	strings.Repeat("long ", 4000), strings.Repeat("羊", 3000), "<script>", "A1", "{}", "NaN",
}

var nastyNumbers = []float64{
	math.NaN(), math.Inf(1), math.Inf(-1), 1e308, -1e308, 1e18, -1, 0, math.Copysign(0, -1), 5e-324, 1e-9,
}

// fieldsOf lists every field of that kind inside a value, with its path, as
// settable values.
func fieldsOf(v reflect.Value, kind func(reflect.Value) bool, path string, visit func(string, reflect.Value)) {
	switch {
	case kind(v):
		visit(path, v)
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			fieldsOf(v.Field(i), kind, path+"."+v.Type().Field(i).Name, visit)
		}
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			fieldsOf(v.Index(i), kind, fmt.Sprintf("%s[%d]", path, i), visit)
		}
	}
}

func isText(v reflect.Value) bool { return v.Kind() == reflect.String }

func isNumber(v reflect.Value) bool { return v.Kind() == reflect.Float64 }

func isWord(v reflect.Value) bool { return v.Kind() == reflect.Int && v.Type().PkgPath() != "" }

// survive starts a day from a plan and lives a little of it; a refusal has to
// be a sentence, and whatever is accepted has to be written, read back and
// shown without harm. It says whether the plan was accepted.
func survive(t sessiontest.Reporter, p shed.Plan) bool {
	t.Helper()
	for _, err := range []error{p.Validate(), p.Kit.Validate(), p.Method.ValidateIn(measure.Metric)} {
		if err != nil {
			harmless(t, err.Error())
		}
	}
	r := &sessiontest.Run{T: t, Now: sessiontest.Dawn}
	day, recs, err := session.Do(r.Day, session.StartDay{Plan: p}, r.Now)
	if err != nil {
		harmless(t, err.Error())
		return false
	}
	r.Day, r.Recs = day, recs
	for i := range r.Day.Tubs {
		for range 4 {
			if r.Day.NextAction(i) != shed.Wait {
				r.Next(i)
			}
			r.Tick(sessiontest.Minutes(7))
			for _, text := range sessiontest.EverythingSaid(r.Day, r.Now) {
				sessiontest.CheckPrintable(t, text)
			}
		}
	}
	for _, text := range sessiontest.Texts(r.Day.WithoutUndo()) {
		sessiontest.CheckPrintable(t, text)
	}
	sessiontest.CheckReplay(t, r, nil)
	return true
}

// harmless is what a refusal has to be even of nonsense.
func harmless(t sessiontest.Reporter, text string) {
	t.Helper()
	sessiontest.CheckPrintable(t, text)
	if len(strings.Fields(text)) < 4 || strings.Contains(text, "%!") || utf8.RuneCountInString(text) > 1500 {
		t.Errorf("not a sentence: %.200q", text)
	}
}

// Every text of a plan may be anything: it is cleaned or refused, and the rest
// of the plan with it.
func TestNastyTexts(t *testing.T) {
	t.Parallel()
	tried, accepted := 0, 0
	for _, text := range nasty {
		original := sessiontest.ThreeTubs()
		fieldsOf(reflect.ValueOf(&original).Elem(), isText, "plan", func(path string, v reflect.Value) {
			if tried++; !long.Turn(tried, 5) {
				return
			}
			p := sessiontest.ThreeTubs()
			was := v.String()
			fieldsOf(reflect.ValueOf(&p).Elem(), isText, "plan", func(other string, v reflect.Value) {
				if other == path || strings.HasSuffix(path, ".ID") && v.String() == was { // a mark stays the same on both sides
					v.SetString(text)
				}
			})
			if survive(t, p) {
				accepted++
			}
		})
	}
	if accepted < long.Of(40, 200) {
		t.Errorf("only %d plans got through to be looked at", accepted)
	}
}

// Every figure of a plan may be anything.
func TestNastyFigures(t *testing.T) {
	t.Parallel()
	tried := 0
	for _, units := range []measure.System{measure.Metric, measure.US} {
		for _, n := range nastyNumbers {
			original := sessiontest.ThreeTubs()
			fieldsOf(reflect.ValueOf(&original).Elem(), isNumber, "plan", func(path string, _ reflect.Value) {
				if tried++; !long.Turn(tried, 5) {
					return
				}
				p := sessiontest.ThreeTubs(func(p *shed.Plan) { p.Kit.Units = units })
				fieldsOf(reflect.ValueOf(&p).Elem(), isNumber, "plan", func(other string, v reflect.Value) {
					if other == path {
						v.SetFloat(n)
					}
				})
				if survive(t, p) && (math.IsNaN(n) || math.IsInf(n, 0)) {
					t.Errorf("%s = %g was accepted", path, n)
				}
			})
		}
	}
}

// A value that has no word would be written as one that cannot be read back.
func TestNastyWords(t *testing.T) {
	for _, n := range []int64{-1, 9999, math.MaxInt32} {
		original := sessiontest.ThreeTubs()
		fieldsOf(reflect.ValueOf(&original).Elem(), isWord, "plan", func(path string, _ reflect.Value) {
			p := sessiontest.ThreeTubs()
			fieldsOf(reflect.ValueOf(&p).Elem(), isWord, "plan", func(other string, v reflect.Value) {
				if other == path {
					v.SetInt(n)
				}
			})
			if survive(t, p) {
				t.Errorf("%s = %d was accepted", path, n)
			}
		})
	}
}

// Every word of every enumeration can be written and read back, and nothing else.
func TestWordsThereAndBack(t *testing.T) {
	thereAndBack[shed.FleeceType](t, 4)
	thereAndBack[shed.Level](t, 3)
	thereAndBack[shed.Form](t, 3)
	thereAndBack[shed.PresoakChoice](t, 4)
	thereAndBack[shed.StepKind](t, len(shed.StepKinds()))
	thereAndBack[shed.WaterFrom](t, 3)
	thereAndBack[shed.DrainTo](t, 2)
	thereAndBack[shed.Phase](t, 7)
	thereAndBack[shed.Action](t, 9)
	thereAndBack[session.AlarmKind](t, len(session.AlarmKinds()))
	thereAndBack[session.Priority](t, 4)
}

func thereAndBack[T interface {
	~int | ~int8
	encoding.TextMarshaler
	fmt.Stringer
}, P interface {
	*T
	encoding.TextUnmarshaler
}](t *testing.T, count int) {
	t.Helper()
	for i := -1; i <= count; i++ {
		v := T(i)
		text, err := v.MarshalText()
		if known := i >= 0 && i < count; known != (err == nil) {
			t.Errorf("%T %d: %q, %v", v, i, text, err)
		} else if !known {
			harmless(t, err.Error())
			continue
		}
		back := T(-7)
		err = P(&back).UnmarshalText([]byte(" " + strings.ToUpper(string(text)) + " "))
		if err != nil || back != v || string(text) != v.String() {
			t.Errorf("%T %d: %q read back as %v, %v", v, i, text, back, err)
		}
	}
	for _, text := range nasty {
		v := T(1)
		if err := P(&v).UnmarshalText([]byte(text)); err == nil || v != T(1) {
			t.Errorf("%q is read as %v, %v", text, v, err)
		} else {
			harmless(t, err.Error())
		}
	}
}

// Commands with any figure and any text, in every stage.
func TestNastyCommands(t *testing.T) {
	for _, stage := range stages {
		r := &sessiontest.Run{T: t, Now: sessiontest.Dawn}
		if stage.come != nil {
			r = sessiontest.Start(t, matrixPlan())
			stage.come(r)
		}
		var all []session.Command
		for _, n := range append(nastyNumbers, 50, 1e6) {
			all = append(all,
				session.DoNext{Act: r.Day.NextAction(0), HasTemp: true, TempC: n, Sooner: true}, session.TakeReading{TempC: n},
				session.TakeReading{TempC: n, Sure: true}, session.TopUp{VolumeL: n, TempC: 90}, session.TopUp{VolumeL: 1, TempC: n},
				session.AdjustSoak{ByMin: n}, session.AdjustSoak{ByMin: -n}, session.Weigh{Batch: "A1", DryG: n, Dry: true},
				session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: n}},
				session.SetCover{Cover: cooling.Cover(int32(min(max(n, -1e9), 1e9)))}, session.DoNext{Act: shed.Action(int32(min(max(n, -1e9), 1e9)))},
			)
		}
		for _, text := range nasty {
			kit := matrixPlan().Kit
			kit.Tubs = append(kit.Tubs[:1:1], shed.Tub{ID: text, Name: text, CapacityL: 9, FillL: 8})
			all = append(all, session.AddNote{Text: text}, session.AddNote{Tub: -1, Text: text}, session.Weigh{Batch: text, DryG: 100, Dry: true},
				session.ChangeKit{Kit: kit}, session.AddBatch{Fleece: shed.Fleece{ID: text, Animal: text, Farm: text, RawG: 500}, Batch: shed.Batch{FleeceID: text, RawG: 100}})
		}
		all = append(all, nil, session.StartDay{}, session.ChangeKit{}, session.AddBatch{})
		for _, c := range all {
			day, recs, err := session.Do(r.Day, c, r.Now)
			if err != nil {
				harmless(t, err.Error())
				continue
			}
			for _, text := range append(sessiontest.EverythingSaid(day, r.Now), sessiontest.Texts(day.WithoutUndo())...) {
				sessiontest.CheckPrintable(t, text)
			}
			for _, rec := range recs {
				b, err := json.Marshal(rec)
				if err != nil {
					t.Errorf("%s: %#v cannot be written: %v", stage.name, c, err)
					continue
				}
				var back session.Recorded
				if err := json.Unmarshal(b, &back); err != nil || !reflect.DeepEqual(back, rec) {
					t.Errorf("%s: %#v is read back as %+v, %v", stage.name, c, back, err)
				}
			}
		}
	}
}

// Cleaning a plan leaves the caller's alone: a form on the screen still holds it.
func TestCleanLeavesTheOriginal(t *testing.T) {
	dirty := func() shed.Plan {
		return sessiontest.ThreeTubs(func(p *shed.Plan) {
			p.Batches[0].FleeceID, p.Batches[0].ID = "\x1b[1mf1", "keep"
			p.Kit.Tubs[0].Name, p.Method.Steps[0].Name, p.Fleeces[0].Animal = "\aNorth", "\apresoak", "\aBramble"
		})
	}
	p := dirty()
	clean := p.Clean()
	sessiontest.Same(t, "the original", p, dirty())
	sessiontest.Same(t, "cleaned", []string{clean.Batches[0].FleeceID, clean.Kit.Tubs[0].Name, clean.Fleeces[0].Animal}, []string{"f1", "North", "Bramble"})
	sessiontest.Same(t, "cleaned twice", clean.Clean(), clean)
	if err := p.Validate(); err != nil {
		t.Error(err)
	}
}

// A bound that the person was shown is a bound that they may type, in their
// own units too.
func TestShownBoundsAreAccepted(t *testing.T) {
	us := shed.DefaultKit()
	us.Units = measure.US
	for _, row := range []struct {
		check func(float64) error
		parse func(string) (float64, error)
		wrong float64
	}{
		{us.CheckCapacityL, us.Units.ParseVolumeL, 0.1}, {us.CheckFillL, us.Units.ParseVolumeL, 900}, {us.CheckKettleL, us.Units.ParseVolumeL, 900},
		{us.CheckColdTapC, us.Units.ParseTempC, 90}, {us.CheckRoomC, us.Units.ParseTempC, -40}, {us.CheckFleeceG, us.Units.ParseMassG, 1},
		{us.CheckBatchG, us.Units.ParseMassG, 1},
	} {
		err := row.check(row.wrong)
		if err == nil {
			t.Fatalf("%g was accepted", row.wrong)
		}
		harmless(t, err.Error())
		bounds := strings.Split(strings.SplitN(strings.SplitN(err.Error(), "give between ", 2)[1], ",", 2)[0], " and ")
		for _, text := range bounds {
			v, err := row.parse(text)
			if err != nil {
				t.Errorf("%q: %v", text, err)
			} else if err := row.check(v); err != nil {
				t.Errorf("%q was shown as a bound and is refused: %v", text, err)
			}
		}
	}
}
