package form

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// Page is some fields that are asked together.
type Page struct {
	Title  string
	About  string        // why; where there is little room, only its first line
	Of     func() string // what it asks of, in large letters where there is room
	Fields []*Field
	Hide   func() bool  // nil: never
	Asks   bool         // it comes of what was typed before it: Ctrl+S stops there, since nobody has seen it
	Leave  func() error // when going on from it; a refusal stays on it
}

// FormScreen asks for something page by page. What was typed stays until it is
// accepted: a refusal shows its sentence and leaves every field as it is.
//
// Moving among the fields is done at once and in order, so that a key typed right
// after Enter never lands in the field before it.
type FormScreen struct {
	base.Frame
	Heading string
	Pages   []*Page
	Page    int
	Field   int
	started bool
	fresh   bool // just come to the field, or kept in it: the first key typed replaces what stands there
	// done is called when the last page is left forwards; a refusal stays in.
	done func() (tea.Cmd, error)
	// Esc is what leaving does instead of going back.
	Esc func() tea.Cmd
	// Below draws what the form is about, in so many cells and lines; nil: nothing.
	Below func(w, room int) []string
	// Changed is called after every key, for fields that follow others.
	Changed func()
	Wrong   error
	doubted map[string]bool // what was asked about: the same again is meant
	unread  time.Time       // before this the question has not been read
	Spans   []draw.Span     // of the fields in the matter, for clicks
	hand    draw.Span       // of the cursor or the chosen line, in the field in hand
	Top     int             // first line of the matter in sight
	Seen    int             // how many of its lines are
	over    int             // empty lines over it
}

// The keys of every form.
var (
	keyFormNext = base.Bind("Enter", "next", "enter")
	keyFormBack = base.Bind("Shift+Tab", "previous", "shift+tab", "up")
	keyFormAll  = base.Bind("Ctrl+S", "save all", "ctrl+s")
	keyFormHelp = base.Bind("F1", "help", "f1")
	KeyFormEsc  = base.Bind("Esc", "leave", "esc")
	// A choice on one line goes sideways, a list up and down; the foot says
	// which, and a list takes the others too.
	keyFormSide = base.Bind("Left Right", "change", "left", "right")
	keyFormList = base.Bind("Up Down", "change", "down", "up")
)

// NewForm is a form that done is called for at the end.
func NewForm(e *base.Env, title string, pages []*Page, done func() (tea.Cmd, error)) *FormScreen {
	f := &FormScreen{Heading: title, Pages: pages, done: done}
	f.Frame = base.Frame{E: e, Own: []key.Binding{keyFormNext, keyFormAll, KeyFormEsc, keyFormBack, base.Bind("Tab", "next field", "tab", "down")}}
	return f
}

func (f *FormScreen) Title() string { return f.Heading }

// Over opens the form over what it is about.
func (f *FormScreen) Over(below func(w, room int) []string) tea.Cmd {
	f.Below = below
	return base.Push(f)
}

// Init focuses the first field; a form that is come back to stays where it was.
func (f *FormScreen) Init() tea.Cmd {
	if !f.started {
		f.started = true
		f.Page, f.Field = f.NextPage(-1), 0
		f.Focus()
	}
	return nil
}

// small says that there is little room.
func (f *FormScreen) small() bool { return f.H <= 14 }

// Now is the field in hand.
func (f *FormScreen) Now() *Field { return f.Pages[f.Page].Fields[f.Field] }

// Typing says letters are text in the field; in a choice they are keys.
func (f *FormScreen) Typing() bool { return f.Now().Text }

// Focus puts the keys into the field; the foot says what Enter does there.
func (f *FormScreen) Focus() {
	x := f.Now()
	x.in.CursorEnd() // behind what stands there
	f.fresh = true
	f.Own[0], f.Help, f.Idle = keyFormNext, base.KeyHelp, nil
	if f.Field == len(f.Pages[f.Page].Fields)-1 && f.NextPage(f.Page) < 0 {
		f.Own[0] = base.Bind("Enter", "save", "enter")
		f.Idle = func() []string { return []string{keyFormAll.Help().Key} }
	}
	f.Own = slices.DeleteFunc(f.Own, func(b key.Binding) bool { return b.Help().Desc == keyFormSide.Help().Desc })
	switch {
	case x.Text:
		f.Help = keyFormHelp
	case x.inline:
		f.Own = append(f.Own[:3:3], append([]key.Binding{keyFormSide}, f.Own[3:]...)...)
	default:
		f.Own = append(f.Own[:3:3], append([]key.Binding{keyFormList}, f.Own[3:]...)...)
	}
}

// NextPage is the next page that is not hidden, or -1.
func (f *FormScreen) NextPage(from int) int {
	for i := from + 1; i < len(f.Pages); i++ {
		if p := f.Pages[i]; p.Hide == nil || !p.Hide() {
			return i
		}
	}
	return -1
}

func (f *FormScreen) pageBefore(from int) int {
	for i := from - 1; i >= 0; i-- {
		if p := f.Pages[i]; p.Hide == nil || !p.Hide() {
			return i
		}
	}
	return -1
}

func (f *FormScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		if f.E.Heard(msg, f.Now().Text && !f.fresh) {
			return f, nil
		}
		return f, f.Key(msg)
	case tea.MouseMsg:
		if k, ok := f.Pressed(msg); ok {
			return f, f.Key(k)
		}
		if base.Clicked(msg) {
			f.clickField(msg.Y - base.TopLines)
		}
	}
	return f, nil
}

// Key does what a key says in the field in hand.
func (f *FormScreen) Key(k tea.KeyMsg) tea.Cmd {
	if k.Paste {
		f.give(k)
		return nil
	}
	x := f.Now()
	switch name := k.String(); {
	case name == "enter" || name == "ctrl+s":
		return f.goOn(name == "ctrl+s")
	case name == "esc":
		return f.leave()
	case name == "ctrl+c": // clicked in the foot
		return tea.Quit
	case name == "f1" || name == "?" && !x.Text:
		return base.Push(base.NewHelp(f.E, f.Own))
	case name == "tab" || name == "down" && (x.Text || x.inline):
		return f.next(false)
	case name == "shift+tab" || name == "up" && (x.Text || x.inline):
		f.prev()
	case name == " " && x.inline:
		f.give(tea.KeyMsg{Type: tea.KeyRight})
	default:
		f.give(k)
	}
	return nil
}

// goOn goes to the next field, or through all of them. What is asked about is not
// answered by a key that bounced or came before the question was read.
func (f *FormScreen) goOn(all bool) (cmd tea.Cmd) {
	if base.Unlikely(f.Wrong) && f.E.Now.Before(f.unread) {
		return nil
	}
	if all {
		cmd = f.finish()
	} else {
		cmd = f.next(true)
	}
	if base.Unlikely(f.Wrong) {
		f.unread = f.E.Now.Add(f.E.Real(base.ReadFirst))
	}
	return cmd
}

// give hands a key to the field.
func (f *FormScreen) give(k tea.KeyMsg) {
	f.Wrong, f.Asked = nil, base.Twice{}
	if behind := f.Field + 1; draw.IsText(k) && len(k.Runes) > 0 && unicode.IsDigit(k.Runes[0]) && !f.Now().Text && behind < len(f.Pages[f.Page].Fields) && f.Pages[f.Page].Fields[behind].figure {
		f.Field = behind // no list takes a figure
		f.Focus()
	}
	x := f.Now()
	if f.fresh && x.Text && draw.IsText(k) {
		x.in.SetValue("")
	}
	f.fresh = false
	x.key(k)
	if x.Live {
		_ = x.store() // what is wrong with it is said when it is left
	}
	if f.Changed != nil {
		f.Changed()
	}
	if !x.Text { // a choice may have brought further pages: Enter saves no more
		f.Focus()
	}
}

// Check leaves the field, which says what is wrong with it.
func (f *FormScreen) Check() bool {
	x := f.Now()
	if f.Wrong = x.store(); f.Wrong != nil && !f.insists() {
		f.fresh = true
		return false
	}
	if f.Changed != nil { // a text counts when its field is left
		f.Changed()
	}
	return true
}

// next goes to the next field or page, and from the last with Enter to done.
func (f *FormScreen) next(mayFinish bool) tea.Cmd {
	if !f.Check() {
		return nil
	}
	f.Now().Answered = true
	p := f.Pages[f.Page]
	if f.Field < len(p.Fields)-1 {
		f.Field++
		f.Focus()
		return nil
	}
	if f.NextPage(f.Page) < 0 && !mayFinish {
		f.Focus()
		return nil
	}
	if !f.leavePage() {
		return nil
	}
	to := f.NextPage(f.Page) // leaving may have hidden or shown one
	if to < 0 {
		return f.accept()
	}
	f.Page, f.Field, f.Top = to, 0, 0
	f.Focus()
	return nil
}

func (f *FormScreen) prev() {
	f.leaveBack()
	if f.Field > 0 {
		f.Field--
	} else if to := f.pageBefore(f.Page); to >= 0 {
		f.Page, f.Top = to, 0
		f.Field = len(f.Pages[to].Fields) - 1
	}
	f.Focus()
}

// leaveBack leaves the field for one before it, right or wrong: what it is held
// to may be wrong there. It is asked again on the way forwards.
func (f *FormScreen) leaveBack() {
	f.Wrong = nil
	if f.Now().store() == nil && f.Changed != nil {
		f.Changed()
	}
}

// leavePage says whether the page may be left forwards. All fields are checked once
// more, because a limit may have changed since (units, or another field). The cursor
// goes to the first one that is wrong.
func (f *FormScreen) leavePage() bool {
	p, last := f.Pages[f.Page], f.Field
	for i := range p.Fields {
		f.Field = i
		if !f.Check() {
			wrong := f.Wrong
			f.Focus()
			f.Wrong = wrong
			return false
		}
	}
	f.Field = last
	if p.Leave != nil {
		f.Wrong = p.Leave()
	}
	if f.Wrong != nil && !f.insists() {
		f.Focus()
		return false
	}
	return true
}

// insists says that what is unlikely was given a second time, and takes it.
func (f *FormScreen) insists() bool {
	if !base.Unlikely(f.Wrong) {
		return false
	}
	// The sentence may count minutes; what was typed is what is insisted on.
	text := strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return -1
		}
		return r
	}, f.Wrong.Error())
	for _, x := range f.Pages[f.Page].Fields {
		text += fmt.Sprint("|", x.Value())
	}
	if !f.doubted[text] {
		if f.doubted == nil {
			f.doubted = map[string]bool{}
		}
		f.doubted[text] = true
		return false
	}
	f.Wrong = nil
	return true
}

// finish accepts every field as it stands, from wherever the person is, up to a page that asks.
func (f *FormScreen) finish() tea.Cmd {
	start := f.Page
	for i := start; i >= 0; i = f.NextPage(i) {
		from := 0
		switch {
		case i == start:
			from = f.Field
		case f.Pages[i].Asks:
			f.Page, f.Field, f.Top = i, 0, 0
			f.Focus()
			return nil
		}
		for j := from; j < len(f.Pages[i].Fields); j++ {
			f.Page, f.Field = i, j
			if !f.Check() {
				f.Top = 0
				return nil
			}
		}
		if !f.leavePage() {
			return nil
		}
		if f.NextPage(i) < 0 {
			break
		}
	}
	return f.accept()
}

func (f *FormScreen) accept() tea.Cmd {
	cmd, err := f.done()
	if f.Wrong = err; err != nil {
		f.Focus()
		return nil
	}
	return cmd
}

// leave goes away; with something typed it asks for a second Esc.
func (f *FormScreen) leave() tea.Cmd {
	if f.dirty() && !f.Again("leave", "Press Esc again to leave without saving; Ctrl+S saves") {
		return nil
	}
	if f.Esc != nil {
		return f.Esc()
	}
	return f.Back()
}

// dirty says that something differs from when the form came up.
func (f *FormScreen) dirty() bool {
	return slices.ContainsFunc(FieldsOf(f.Pages), (*Field).dirty)
}
