package shed

import (
	"math"
	"testing"
)

// TestTankCost: ten kWh in a tank's water are those of its electricity, or a quarter more of
// its gas, whose price is what then counts.
func TestTankCost(t *testing.T) {
	for _, c := range []struct {
		p    Prices
		want float64
	}{{Prices{PerKWh: 0.3}, 3}, {Prices{PerKWh: 0.3, PerKWhGas: 0.08}, 1}, {Prices{}, 0}} {
		if got := c.p.TankCost(10); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%+v: %v, want %v", c.p, got, c.want)
		}
	}
	if !(Prices{PerKWhGas: 1}).Given() {
		t.Error("a price of gas is one")
	}
}

// An amount is read without the sign or the letters of its money.
func TestBareMoney(t *testing.T) {
	for text, want := range map[string]string{"$65": "65", "65 $": "65", " € 1.20": "1.20", "65 kr": "65", "KR 65": "65", "65": "65", "65 kg": "65 kg", "": ""} {
		if got := (Prices{MoneyWords: "kr"}).Bare(text); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	}
}
