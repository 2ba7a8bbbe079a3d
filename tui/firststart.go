package tui

import (
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/gear"
)

// newFirstStart asks for the kit. Every field has a figure that will do, so
// Enter all the way through gives a kit to begin with.
func newFirstStart(e *base.Env) base.Screen {
	k := e.Kit
	if len(k.Tubs) == 0 {
		k = shed.DefaultKit()
	}
	count, more := len(k.Tubs), false
	tubs := make([]shed.Tub, shed.MaxTubs)
	for i := range tubs {
		if i < len(k.Tubs) {
			tubs[i] = k.Tubs[i]
			continue
		}
		tubs[i] = gear.NewTub(shed.Kit{Tubs: tubs[:i]})
	}

	proposed := k.Units
	k.Units = e.FirstUnits
	units, apart := gear.UnitsPages(&k.Units)
	k.Units = proposed // the figures of the other fields are of these
	water := gear.WaterPage(&k)
	water.About = "" // the first page says as much
	pages := []*form.Page{
		{Title: "Welcome", Fields: []*form.Field{units},
			About: "tubside says which tub needs you next, and how soon. First your water and tubs: two minutes.\n" +
				"Enter accepts what is shown, so Enter all the way gives you a kit to start with. Change any of it later."},
		apart, water,
	}
	ask := &form.Page{Title: "Tubs", About: "A tub is anything you set a basket into: bucket, washing-up bowl, tray.", Fields: []*form.Field{
		form.CountField("How many tubs at once?", "each is timed by itself", &count, 1, shed.MaxTubs)}}
	var each []*shed.Tub
	var tubPages []*form.Page
	for i := range tubs {
		each = append(each, &tubs[i])
		// Those before it: the name of one to come can still be changed on its page.
		p := gear.TubPage(&k, &tubs[i], fmt.Sprintf("Tub %d", i+1), func() []shed.Tub { return tubs[:i] })
		p.Hide = func() bool { return !more || i >= count }
		tubPages = append(tubPages, p)
	}
	follow := gear.FollowRims(&k.Units, each, tubPages)
	sizes := gear.TubSizes(tubPages)
	for i, x := range sizes {
		x.Of = tubPages[i].Title + ": "
	}
	kettle, scour := gear.KettlePage(&k), gear.ScourPage(&k)
	scour.Title = "Height and scour"
	scour.Fields = append(kettle.Fields[2:3:3], scour.Fields...)
	kettle.Fields[2] = form.YesNo("More now?", "each tub's name, shape and cover; scour, hot water tank, your way to the tubs; all have usual figures, and are under Kit later", &more)
	kettle.Fields[2], kettle.Fields[3] = kettle.Fields[3], kettle.Fields[2]
	pages = append(append(pages, ask, kettle), tubPages...)
	for _, p := range []*form.Page{scour, gear.TankPage(&k), gear.LeadPage(&k)} {
		p.Hide = func() bool { return !more }
		pages = append(pages, p)
	}

	f := form.NewForm(e, "tubside: first start", pages, func() (tea.Cmd, error) {
		k.Tubs = tubs[:count]
		if err := gear.SaveKit(e, k); err != nil {
			return nil, err
		}
		e.Tell("the kit is saved; change it at any time under Kit")
		return base.Root(newHome(e)), nil
	})
	f.Own = slices.DeleteFunc(f.Own, func(b key.Binding) bool { return b.Help().Key == form.KeyFormEsc.Help().Key })
	f.Own[1] = base.Bind("Ctrl+S", "accept all", "ctrl+s")
	f.Own = append(f.Own[:2:2], append([]key.Binding{base.Bind("Ctrl+C", "quit", "ctrl+c")}, f.Own[2:]...)...)
	f.Esc = func() tea.Cmd {
		e.Refuse(fmt.Errorf("the kit comes first: Enter goes on, Ctrl+S accepts all, Ctrl+C quits"))
		return nil
	}
	f.Below = func(w, room int) []string {
		shown := k
		shown.Tubs = tubs[:count]
		return gear.Picture(&e.Theme, &shown, -1, w, room)
	}
	// Units come first; the figures that follow are shown in them.
	was := k.Units
	f.Changed = func() {
		for _, x := range form.FieldsOf(pages) {
			if x.Units != nil && k.Units != was {
				x.Units(k.Units)
				if x.Usual != nil {
					x.Usual(k.Units)
				}
			}
		}
		e.Kit.Units, was = k.Units, k.Units
		ask.Fields = append(ask.Fields[:1:1], sizes[:count]...)
		follow()
	}
	k.Units = e.FirstUnits
	f.Changed()
	return f
}
