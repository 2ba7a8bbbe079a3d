package tui

import (
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/shed"
)

// newFirstStart asks for the kit. Every field has a figure that will do, so
// Enter all the way through gives a kit to begin with.
func newFirstStart(e *env) screen {
	k := e.kit
	if len(k.Tubs) == 0 {
		k = shed.DefaultKit()
	}
	count := len(k.Tubs)
	tubs := make([]shed.Tub, shed.MaxTubs)
	for i := range tubs {
		if i < len(k.Tubs) {
			tubs[i] = k.Tubs[i]
			continue
		}
		tubs[i] = newTub(shed.Kit{Tubs: tubs[:i]})
	}

	proposed := k.Units
	k.Units = e.FirstUnits
	units := unitsField(&k.Units)
	k.Units = proposed // the figures of the other fields are of these
	water := waterPage(&k)
	water.about = "" // the first page says as much
	pages := []*page{
		{title: "Welcome", fields: []*field{units},
			about: "tubside says which tub needs you next, and how soon. First your water and tubs: two minutes.\n" +
				"Enter takes what a field says, so Enter all the way gives a kit to begin with. All of it can be changed later."},
		water,
		{title: "Tubs", about: "A tub is anything you set a basket into: bucket, washing-up bowl, tray.", fields: []*field{
			countField("How many tubs do you use on a day?", "each is watched by itself", &count, 1, shed.MaxTubs)}},
	}
	var each []*shed.Tub
	for i := range tubs {
		each = append(each, &tubs[i])
		// Those before it: the name of one to come can still be changed on its page.
		p := tubPage(&k, &tubs[i], fmt.Sprintf("Tub %d", i+1), func() []shed.Tub { return tubs[:i] })
		p.hide = func() bool { return i >= count }
		pages = append(pages, p)
	}
	follow := followRims(&k.Units, each, pages[len(pages)-len(tubs):])
	last := kettlePage(&k)
	last.title = "Kettle and scour"
	last.fields = append(last.fields, scourPage(&k).fields...)
	pages = append(pages, last, tankPage(&k), leadPage(&k))

	f := newForm(e, "tubside: first start", pages, func() (tea.Cmd, error) {
		k.Tubs = tubs[:count]
		if err := saveKit(e, k); err != nil {
			return nil, err
		}
		e.tell("the kit is saved; change it at any time under Kit")
		return root(newHome(e)), nil
	})
	f.keys = slices.DeleteFunc(f.keys, func(b key.Binding) bool { return b.Help().Key == keyFormEsc.Help().Key })
	f.keys[1] = bind("Ctrl+S", "take all as it is", "ctrl+s")
	f.keys = slices.Insert(f.keys, 2, bind("Ctrl+C", "quit", "ctrl+c"))
	f.esc = func() tea.Cmd {
		e.refuse(fmt.Errorf("the kit comes first: Enter goes on, Ctrl+S takes all as it is, Ctrl+C quits"))
		return nil
	}
	// Units come first; the figures that follow are shown in them.
	was := k.Units
	f.changed = func() {
		for _, x := range fieldsOf(pages) {
			if x.units != nil && k.Units != was {
				x.units(k.Units)
				x.usual(k.Units)
			}
		}
		e.kit.Units, was = k.Units, k.Units
		follow()
	}
	k.Units = e.FirstUnits
	f.changed()
	return f
}
