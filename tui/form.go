package tui

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/huh"
)

// page is some fields that are asked together.
type page struct {
	title  string
	about  string // why; where there is little room, only its first line
	fields []*field
	hide   func() bool  // nil: never
	leave  func() error // when going on from it; a refusal stays on it
}

// formScreen asks for something page by page. What was typed stays until it is
// accepted: a refusal shows its sentence and leaves every field as it is.
//
// The fields are huh's; moving among them is done here, at once and in order,
// so that a key typed right after Enter never lands in the field before it.
type formScreen struct {
	frame
	title   string
	pages   []*page
	page    int
	field   int
	started bool
	fresh   bool // just come to the field, or kept in it: the first key typed replaces what stands there
	theme   *huh.Theme
	// done is called when the last page is left forwards; a refusal stays in.
	done func() (tea.Cmd, error)
	// esc is what leaving does instead of going back.
	esc func() tea.Cmd
	// changed is called after every key, for fields that follow others.
	changed func()
	wrong   error
	doubted map[string]bool // what was asked about: the same again is meant
	unread  time.Time       // before this the question has not been read
	spans   []span          // of the fields in the matter, for clicks
	top     int             // first line of the matter in sight
	seen    int             // how many of its lines are
}

var (
	keyFormNext = bind("Enter", "next", "enter")
	keyFormBack = bind("Shift+Tab", "field before", "shift+tab", "up")
	keyFormAll  = bind("Ctrl+S", "save all", "ctrl+s")
	keyFormHelp = bind("F1", "help", "f1")
	keyFormEsc  = bind("Esc", "leave", "esc")
	// A choice on one line goes sideways, a list up and down; the foot says
	// which, and a list takes the others too.
	keyFormSide = bind("Left Right", "other choice", "left", "right")
	keyFormList = bind("Up Down", "other choice", "down", "up")
)

func newForm(e *env, title string, pages []*page, done func() (tea.Cmd, error)) *formScreen {
	f := &formScreen{title: title, pages: pages, done: done, theme: formTheme(e.Theme)}
	f.frame = frame{e: e, keys: []key.Binding{keyFormNext, keyFormAll, keyFormEsc, keyFormBack, bind("Tab", "next field", "tab", "down")}}
	keymap := huh.NewDefaultKeyMap()
	keymap.Select.Filter.SetEnabled(false)
	for _, p := range pages {
		for _, x := range p.fields {
			x.WithTheme(f.theme)
			x.WithKeyMap(keymap)
		}
	}
	return f
}

func (f *formScreen) Title() string { return f.title }

// Init focuses the first field; a form that is come back to stays where it was.
func (f *formScreen) Init() tea.Cmd {
	if !f.started {
		f.started = true
		f.page, f.field = f.nextPage(-1), 0
		f.focus()
	}
	return nil
}

func (f *formScreen) SetSize(w, h int) {
	f.w, f.h = w, h
	for _, p := range f.pages {
		for _, x := range p.fields {
			x.WithWidth(max(10, min(w-4, 76)))
			x.Update(nil) // a list counts its lines anew
		}
	}
	if f.started {
		f.brief()
	}
}

// brief says why only of the field in hand, where there is little room.
func (f *formScreen) brief() {
	for i, x := range f.pages[f.page].fields {
		why := f.e.kit.Units.Spell(x.why)
		if f.small() && i != f.field {
			why = ""
		}
		x.line(why)
	}
}

// small says that there is little room.
func (f *formScreen) small() bool { return f.h <= 14 }

func (f *formScreen) now() *field { return f.pages[f.page].fields[f.field] }

// Typing says letters are text in the field; in a choice they are keys.
func (f *formScreen) Typing() bool { return f.now().text }

// focus puts the keys into the field; the foot says what Enter does there.
func (f *formScreen) focus() {
	x := f.now()
	x.Focus()
	if x.text {
		x.Update(tea.KeyMsg{Type: tea.KeyEnd}) // behind what stands there
	}
	f.brief()
	f.setFresh(true)
	f.keys[0], f.help = keyFormNext, keyHelp
	if f.field == len(f.pages[f.page].fields)-1 && f.nextPage(f.page) < 0 {
		f.keys[0] = bind("Enter", "save", "enter")
	}
	f.keys = slices.DeleteFunc(f.keys, func(b key.Binding) bool { return b.Help().Desc == keyFormSide.Help().Desc })
	switch {
	case x.text:
		f.help = keyFormHelp
	case x.inline:
		f.keys = slices.Insert(f.keys, 3, keyFormSide)
	default:
		f.keys = slices.Insert(f.keys, 3, keyFormList)
	}
}

// setFresh shows in reverse what the first key typed replaces.
func (f *formScreen) setFresh(fresh bool) {
	f.fresh = fresh
	f.theme.Focused.TextInput.Text = f.e.Theme.Chosen.Reverse(fresh)
}

// nextPage is the next page that is not hidden, or -1.
func (f *formScreen) nextPage(from int) int {
	for i := from + 1; i < len(f.pages); i++ {
		if p := f.pages[i]; p.hide == nil || !p.hide() {
			return i
		}
	}
	return -1
}

func (f *formScreen) pageBefore(from int) int {
	for i := from - 1; i >= 0; i-- {
		if p := f.pages[i]; p.hide == nil || !p.hide() {
			return i
		}
	}
	return -1
}

func (f *formScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return f, f.key(msg)
	case tea.MouseMsg:
		if k, ok := f.pressed(msg); ok {
			return f, f.key(k)
		}
		if clicked(msg) {
			f.clickField(msg.Y - topLines)
		}
	}
	return f, nil
}

func (f *formScreen) key(k tea.KeyMsg) tea.Cmd {
	if k.Paste {
		f.give(k)
		return nil
	}
	x := f.now()
	switch name := k.String(); {
	case name == "enter" || name == "ctrl+s":
		return f.goOn(name == "ctrl+s")
	case name == "esc":
		return f.leave()
	case name == "ctrl+c": // clicked in the foot
		return tea.Quit
	case name == "f1" || name == "?" && !x.text:
		return push(newHelp(f.e, f.keys))
	case name == "tab" || name == "down" && (x.text || x.inline):
		return f.next(false)
	case name == "shift+tab" || name == "up" && (x.text || x.inline):
		f.prev()
	case name == " " && x.inline:
		f.give(tea.KeyMsg{Type: tea.KeyRight})
	case !x.text && !x.inline && name == "left":
		f.give(tea.KeyMsg{Type: tea.KeyUp})
	case !x.text && !x.inline && name == "right":
		f.give(tea.KeyMsg{Type: tea.KeyDown})
	default:
		f.give(k)
	}
	return nil
}

// goOn goes to the next field, or through all of them. What is asked about is not
// answered by a key that bounced or came before the question was read.
func (f *formScreen) goOn(all bool) (cmd tea.Cmd) {
	if unlikely(f.wrong) && f.e.now.Before(f.unread) {
		return nil
	}
	if all {
		cmd = f.finish()
	} else {
		cmd = f.next(true)
	}
	if unlikely(f.wrong) {
		f.unread = f.e.now.Add(f.e.real(readFirst))
	}
	return cmd
}

// give hands a key to the field.
func (f *formScreen) give(k tea.KeyMsg) {
	f.wrong, f.asked = nil, ""
	x := f.now()
	if f.fresh && x.text && isText(k) {
		x.clear()
	}
	f.setFresh(false)
	x.Update(k)
	if name := k.String(); !x.text && (name == "end" || name == "G") {
		x.Update(tea.KeyMsg{Type: tea.KeyCtrlD}) // the end alone moves the mark, not the choice
	}
	if f.changed != nil {
		f.changed()
	}
}

// check leaves the field, which makes it say what is wrong with it.
func (f *formScreen) check() bool {
	x := f.now()
	x.Blur()
	if f.wrong = x.Error(); f.wrong != nil && !f.insists() {
		x.Focus()
		f.setFresh(true)
		return false
	}
	if f.changed != nil { // a text counts when its field is left
		f.changed()
	}
	return true
}

// next goes to the next field or page, and from the last with Enter to done.
func (f *formScreen) next(mayFinish bool) tea.Cmd {
	if !f.check() {
		return nil
	}
	p := f.pages[f.page]
	if f.field < len(p.fields)-1 {
		f.field++
		f.focus()
		return nil
	}
	if f.nextPage(f.page) < 0 && !mayFinish {
		f.focus()
		return nil
	}
	if !f.leavePage() {
		return nil
	}
	to := f.nextPage(f.page) // leaving may have hidden or shown one
	if to < 0 {
		return f.accept()
	}
	f.page, f.field, f.top = to, 0, 0
	f.focus()
	return nil
}

func (f *formScreen) prev() {
	f.leaveBack()
	if f.field > 0 {
		f.field--
	} else if to := f.pageBefore(f.page); to >= 0 {
		f.page, f.top = to, 0
		f.field = len(f.pages[to].fields) - 1
	}
	f.focus()
}

// leaveBack leaves the field for one before it, right or wrong: what it is held
// to may be wrong there. It is asked again on the way forwards.
func (f *formScreen) leaveBack() {
	x := f.now()
	x.Blur()
	f.wrong = nil
	if x.Error() == nil && f.changed != nil {
		f.changed()
	}
}

// leavePage says whether the page may be left forwards. All fields are checked once
// more, because a limit may have changed since (units, or another field). The cursor
// goes to the first one that is wrong.
func (f *formScreen) leavePage() bool {
	p, last := f.pages[f.page], f.field
	for i := range p.fields {
		f.field = i
		if !f.check() {
			wrong := f.wrong
			f.focus()
			f.wrong = wrong
			return false
		}
	}
	f.field = last
	if p.leave != nil {
		f.wrong = p.leave()
	}
	if f.wrong != nil && !f.insists() {
		f.focus()
		return false
	}
	return true
}

// insists says that what is unlikely was given a second time, and takes it.
func (f *formScreen) insists() bool {
	if !unlikely(f.wrong) {
		return false
	}
	// The sentence may count minutes; what was typed is what is insisted on.
	text := strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return -1
		}
		return r
	}, f.wrong.Error())
	for _, x := range f.pages[f.page].fields {
		text += fmt.Sprint("|", x.GetValue())
	}
	if !f.doubted[text] {
		if f.doubted == nil {
			f.doubted = map[string]bool{}
		}
		f.doubted[text] = true
		return false
	}
	f.wrong = nil
	return true
}

// finish accepts every field as it stands, from wherever the person is.
func (f *formScreen) finish() tea.Cmd {
	for i := f.page; i >= 0; i = f.nextPage(i) {
		from := 0
		if i == f.page {
			from = f.field
		}
		for j := from; j < len(f.pages[i].fields); j++ {
			f.page, f.field = i, j
			if !f.check() {
				f.top = 0
				return nil
			}
		}
		if !f.leavePage() {
			return nil
		}
		if f.nextPage(i) < 0 {
			break
		}
	}
	return f.accept()
}

func (f *formScreen) accept() tea.Cmd {
	cmd, err := f.done()
	if f.wrong = err; err != nil {
		f.focus()
		return nil
	}
	return cmd
}

// leave goes away; with something typed it asks for a second Esc.
func (f *formScreen) leave() tea.Cmd {
	if f.dirty() && !f.again("leave", "Esc again leaves and drops what you typed; Ctrl+S keeps it") {
		return nil
	}
	if f.esc != nil {
		return f.esc()
	}
	return f.back()
}

// dirty says that something differs from when the form came up.
func (f *formScreen) dirty() bool {
	for _, p := range f.pages {
		for _, x := range p.fields {
			if x.dirty() {
				return true
			}
		}
	}
	return false
}
