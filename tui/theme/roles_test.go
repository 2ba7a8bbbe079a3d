package theme

import (
	"io"
	"math"
	"slices"
	"strconv"
	"testing"

	"fleece.example/tubside/session/must"
)

// roles are those that say something, on the terminal's ground; grounds are painted.
var roles = map[string]role{"quiet": quiet, "text": text, "strong": strong, "hot": hot, "cool": cool, "release": release, "low": low, "good": good}

// vision is how linear red, green and blue are seen: as they are, and without one kind of
// cone, by the matrices for severity 1.0 of Machado, Oliveira and Fernandes, "A Physiologically-based
// Model for Simulation of Color Vision Deficiency", IEEE TVCG 15(6), 2009. The figures were taken from
// three published programs that name it and agree; the paper itself was not read.
var vision = map[string][3]rgb{
	"as it is":     {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// rgb is a colour: linear red, green and blue, 0 to 1.
type rgb [3]float64

// sixteen are the sixteen colours as terminals show them: the console, and xterm (from memory).
var (
	sixteen = vga
	vga     = [16][3]int{{}, {170, 0, 0}, {0, 170, 0}, {170, 85, 0}, {0, 0, 170}, {170, 0, 170}, {0, 170, 170}, {170, 170, 170},
		{85, 85, 85}, {255, 85, 85}, {85, 255, 85}, {255, 255, 85}, {85, 85, 255}, {255, 85, 255}, {85, 255, 255}, {255, 255, 255}}
	xterm = [16][3]int{{}, {205, 0, 0}, {0, 205, 0}, {205, 205, 0}, {0, 0, 238}, {205, 0, 205}, {0, 205, 205}, {229, 229, 229},
		{127, 127, 127}, {255, 0, 0}, {0, 255, 0}, {255, 255, 0}, {92, 92, 255}, {255, 0, 255}, {0, 255, 255}, {255, 255, 255}}
)

// colour is a number of the 256 as terminals show it: sixteen, a cube of six steps, greys.
func colour(t *testing.T, number string) rgb {
	t.Helper()
	n := must.Get(strconv.Atoi(number)).In(t)
	steps, c := []int{0, 95, 135, 175, 215, 255}, [3]int{8 + 10*(n-232), 8 + 10*(n-232), 8 + 10*(n-232)}
	switch {
	case n < 16:
		c = sixteen[n]
	case n < 232:
		c = [3]int{steps[(n-16)/36], steps[(n-16)/6%6], steps[(n-16)%6]}
	}
	var out rgb
	for i, v := range c { // the transfer function of sRGB, IEC 61966-2-1
		if out[i] = float64(v) / 255; out[i] <= 0.04045 {
			out[i] /= 12.92
		} else {
			out[i] = math.Pow((out[i]+0.055)/1.055, 2.4)
		}
	}
	return out
}

// luminance is relative, as WCAG 2.2 defines it.
func (c rgb) luminance() float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }

// contrast is the ratio of WCAG 2.2.
func contrast(a, b rgb) float64 {
	x, y := a.luminance(), b.luminance()
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// lab is a colour in CIE L*a*b* (ISO/CIE 11664-4), white that of sRGB.
func (c rgb) lab() rgb {
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x, y, z := f((0.4124*c[0]+0.3576*c[1]+0.1805*c[2])/0.9505), f(c.luminance()), f((0.0193*c[0]+0.1192*c[1]+0.9505*c[2])/1.089)
	return rgb{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// seen is a colour by one kind of vision.
func (c rgb) seen(by [3]rgb) (out rgb) {
	for i, row := range by {
		out[i] = min(1, max(0, row[0]*c[0]+row[1]*c[1]+row[2]*c[2]))
	}
	return out
}

// leastApart is how far two roles lie apart, in CIE 1976's measure: about 2.3 is just noticed
// (from memory), and the eye has to know them apart on small letters.
const leastApart = 8

// TestRolesAreReadable: each role has a contrast of 4.5:1 (WCAG 2.2, 1.4.3) on what it stands on, with 256
// colours and with sixteen; a line of a curve has 3:1 (1.4.11) on the ground of its band.
func TestRolesAreReadable(t *testing.T) {
	grounds := map[bool][]string{false: {"16", "235"}, true: {"231", "255"}}
	least := math.Inf(1)
	for i, o := range []Options{{}, {Light: true}, {Few: true}, {Few: true, Light: true}, {Few: true}, {Few: true, Light: true}} {
		if sixteen = vga; i > 3 {
			sixteen = xterm
		}
		on := grounds[o.Light]
		if o.Few {
			on = on[:1]
		}
		holds := func(name string, fg, ground string, ratio float64) {
			got := contrast(colour(t, fg), colour(t, ground))
			if least = min(least, got/ratio*4.5); got < ratio {
				t.Errorf("%+v: %s has a contrast of %.2f on %s, less than %.1f", o, name, got, ground, ratio)
			}
		}
		for name, r := range roles {
			fg := string(r.of(o))
			if fg == "" {
				continue // the terminal's own
			}
			for _, g := range on {
				holds(name, fg, g, 4.5)
			}
			if ground := string(likely.of(o)); ground != "" {
				holds(name, fg, ground, map[bool]float64{true: 3, false: 4.5}[slices.Contains([]string{"hot", "cool", "quiet", "good"}, name)])
			}
		}
		holds("an alarm of high priority", string(onHigh.of(o)), string(high.of(o)), 4.5)
		holds("an alarm of medium priority", string(onMedium.of(o)), string(medium.of(o)), 4.5)
	}
	sixteen = vga
	t.Logf("the least contrast is %.2f", least)
}

// TestRolesAreApart: with each kind of colour blindness too.
func TestRolesAreApart(t *testing.T) {
	for _, o := range []Options{{}, {Light: true}} {
		least, seen := math.Inf(1), ""
		apart := func(by, a, b string, x, y role) {
			p, q := colour(t, string(x.of(o))).seen(vision[by]).lab(), colour(t, string(y.of(o))).seen(vision[by]).lab()
			d := math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
			if d < least {
				least, seen = d, a+" and "+b+", "+by
			}
			if d < leastApart {
				t.Errorf("%+v: %s and %s lie %.1f apart, %s", o, a, b, d, by)
			}
		}
		for by := range vision {
			for a, x := range roles {
				for b, y := range roles {
					if a < b {
						apart(by, a, b, x, y)
					}
				}
			}
			apart(by, "high", "medium", high, medium)
		}
		t.Logf("%+v: nearest are %s, %.1f", o, seen, least)
	}
}

// TestNoColours: without them nothing is coloured, and what has to stand out does.
func TestNoColours(t *testing.T) {
	th := New(io.Discard, Options{NoColor: true})
	for name, s := range map[string]Style{"text": th.Text, "quiet": th.Faint, "water": *th.Water(60), "release": th.Release, "band": th.Likely, "lines": th.Rule} {
		if s.Render("x") != "x" {
			t.Errorf("%s is %q", name, s.Render("x"))
		}
	}
	alarm, warn, title := th.Alarm.Render("x"), th.Warn.Render("x"), th.Title.Render("x")
	if alarm == warn || warn == "x" || title == "x" || alarm != th.Medium.Render("x") {
		t.Errorf("an alarm is %q, a warning %q, a title %q", alarm, warn, title)
	}
}
