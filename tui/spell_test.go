package tui

import (
	"regexp"
	"strings"
	"testing"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// foreign is what nobody reads whose units are the other ones: words, and figures
// with their unit.
var foreign = map[measure.System]*regexp.Regexp{
	measure.US: regexp.MustCompile(`(?i:litre|colour|\bgrey|fibre|[^o]metre|washing-up|mangle|\bRCD\b|\bgrams?\b|per cent|\bjugs?\b|above the sea|the boil\b|draught)|` +
		`°C|(\d|,|for each) ?(C|L|mL|g|kg|mm|cm)\b`),
	measure.Metric: regexp.MustCompile(`(?i:liter|color|\bgray|fiber|[^o]meter\b|dishpan|wringer|\bGFCI\b|gallon|ounce|pound)|` +
		`°F|\d ?F\b|\b(oz|lb|gal|cups?|ft)\b`),
}

// free is what stands whatever the units: what a person typed, and what says that
// there are others.
var free = []string{
	"Old Grey", "second rinse still a little grey", "silver grey",
	"145 F, 63 C, 8 oz, 225 g, 1 h 30 min, 2 US gal", "145 F, 63 C, 8 oz, 225 g,", "2 US gal.", // over two pages or columns
	"metric: °C, L, g", "US: °F, gal, oz", "imperial: °C, gal, oz", "1 g Go on", // the key
}

// TestSpelled looks through the storybook in both systems of units for words and
// units of the other.
func TestSpelled(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a great deal and starts no goroutine")
	}
	defer func() { tuitest.StoryUnits = measure.Metric }()
	// The pictures are metric: what is foreign there has been looked at.
	for _, u := range long.Of([]measure.System{measure.US}, []measure.System{measure.US, measure.Metric}) {
		tuitest.StoryUnits = u
		for i, x := range storybook() {
			if !long.Turn(i, 5) {
				continue
			}
			t.Run(u.String()+"/"+x.name, func(t *testing.T) {
				a := x.open(t)
				for _, sz := range long.Of([][2]int{{200, 60}}, [][2]int{{40, 12}, {200, 60}}) {
					text := strings.Join(strings.Fields(picture(a, sz[0], sz[1], x.pages)), " ")
					for _, s := range free {
						text = strings.ReplaceAll(text, s, "")
					}
					for _, at := range foreign[a.env.Kit.Units].FindAllStringIndex(text, -1) {
						t.Errorf("%dx%d: %q in ...%s...", sz[0], sz[1], text[at[0]:at[1]], text[max(0, at[0]-60):min(len(text), at[1]+40)])
					}
				}
			})
		}
	}
}

// TestNameStaysAsTyped: what a person typed is not spelled anew.
func TestNameStaysAsTyped(t *testing.T) {
	defer func() { tuitest.StoryUnits = measure.Metric }()
	tuitest.StoryUnits = measure.US
	const farm = "Grey Colour Farm"
	p := newPerson(t, true, withFleeces, func(p *person, _ *base.Deps) {
		p.ledger.Have[0].Farm = farm
		p.ledger.HasKit.Tubs[0].Name = "Grey bucket"
	})
	p.press("f")
	p.sees(farm)
	p.press("enter")
	p.says(farm)
	p.press("e", "tab")
	p.sees(farm)
	p.press("ctrl+s")
	p.press("esc", "esc", "p", "a", "ctrl+s")
	p.says(farm)
	p.press("esc", "esc", "k", "down", "down", "down", "down", "x", "x")
	p.says("Grey bucket is out of the kit")
}
