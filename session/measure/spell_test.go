package measure

import "testing"

func TestSpell(t *testing.T) {
	const said = "Litres in a grey washing-up bowl; Colour, fibre, a mangle, in the spin dryer, a cubic metre, a draught"
	if got := Metric.Spell(said); got != said {
		t.Errorf("metric: %q", got)
	}
	if got, want := US.Spell(said), "Liters in a gray dishpan; Color, fiber, a wringer, in the spin cycle, a cubic meter, a draft"; got != want {
		t.Errorf("US: %q, not %q", got, want)
	}
	for _, s := range spellings { // what it makes it leaves alone
		if got := US.Spell(s[1]); got != s[1] {
			t.Errorf("%q becomes %q", s[1], got)
		}
	}
}

func TestRound(t *testing.T) {
	for _, x := range []struct{ got, want string }{
		{US.Temp(US.RoundTempC(51)), "125 °F"}, {US.Volume(US.RoundVolumeL(19)), "5 gal"},
		{US.Pour(US.RoundVolumeL(1.7), LPerUSCup), "7 cups"}, {US.Mass(US.RoundMassG(225)), "8 oz"},
		{Metric.Temp(Metric.RoundTempC(51)), "51 °C"}, {Metric.Volume(Metric.RoundVolumeL(19)), "19 L"}, {Metric.Mass(Metric.RoundMassG(225)), "225 g"},
	} {
		if x.got != x.want {
			t.Errorf("%s, not %s", x.got, x.want)
		}
	}
}
