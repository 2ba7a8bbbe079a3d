package tui

import (
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/tuitest"
)

// between are windows that no picture is drawn for.
var between = [][2]int{{40, 16}, {40, 24}, {47, 13}, {61, 18}, {70, 22}, {76, 21}, {100, 30}, {160, 50}}

var update = flag.Bool("update", false, "write the golden pictures anew")

// shaded is a lane that is a line, where its bath may come down to its release temperature.
var shaded = regexp.MustCompile(`[━╍┄◆┃ ][░▒]+[^\n]* [A-Z]\d+\b`)

// headAlone is the head of a picture that has no room, right over the foot.
var headAlone = regexp.MustCompile(`(?m)^ (As planned so far|All on the rack by .*|Today's alarms|[A-Z]+\d+'s .* in .*) *\n.*\b(Enter|Esc)\b.*\z`)

// picture is the whole window without colours; of a screen that scrolls, every
// page of it.
func picture(a *App, w, h int, pages bool) string {
	a.Update(tea.WindowSizeMsg{Width: w, Height: h})
	view := func() string { return ansi.Strip(a.View()) }
	out := view()
	if !pages {
		return out
	}
	a.top().Update(tuitest.KeyOf("home"))
	out = view()
	for last := out; ; {
		a.top().Update(tuitest.KeyOf("pgdown"))
		next := view()
		if next == last {
			return out
		}
		out, last = out+"\n"+strings.Repeat("=", w)+"\n"+next, next
	}
}

// TestStorybook draws every screen in every state of the storybook, at every
// size, and holds it against its golden picture. Nothing that is held is cut.
func TestStorybook(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("draws a great deal and starts no goroutine")
	}
	types, titles := map[string]bool{}, map[string]bool{}
	files := map[string]bool{}
	for turn, x := range storybook() {
		for _, sz := range tuitest.Sizes {
			files[pictureName(x, sz)+".txt"] = true
		}
		t.Run(x.name, func(t *testing.T) {
			a := x.open(t)
			shown := fmt.Sprintf("%T", a.top())
			types[shown[strings.LastIndex(shown, ".")+1:]] = true
			titles[a.top().Title()] = true
			for _, sz := range between {
				if got := picture(a, sz[0], sz[1], x.pages); strings.Contains(got, draw.CutSign) {
					t.Errorf("%dx%d: what has to be read in full is cut:\n%s", sz[0], sz[1], got)
				}
			}
			for _, sz := range tuitest.Sizes {
				got := picture(a, sz[0], sz[1], x.pages)
				if head := headAlone.FindString(got); head != "" && !x.pages { // there the next page has it
					t.Errorf("%dx%d: nothing stands below %q", sz[0], sz[1], head)
				}
				if strings.Contains(got, draw.CutSign) {
					t.Errorf("%dx%d: what has to be read in full is cut:\n%s", sz[0], sz[1], got)
				}
				if sz[0] >= 80 && !strings.Contains(strings.Join(strings.Fields(got), " "), x.says) {
					t.Errorf("%dx%d: the state is not the one it is named for, %q is not there:\n%s", sz[0], sz[1], x.says, got)
				}
				if sz[0] >= 80 && strings.Contains(got, ", wax sets  ") && !strings.Contains(got, "likely range") {
					t.Errorf("%dx%d: what the curves have shaded is not said:\n%s", sz[0], sz[1], got)
				}
				if sz[0] >= 80 && shaded.MatchString(got) != strings.Contains(got, "░ wax may set ") {
					t.Errorf("%dx%d: what is shaded in lanes is not said:\n%s", sz[0], sz[1], got)
				}
				whole := strings.TrimRight(got, " \n")
				if err := footTwice(whole[strings.LastIndexByte(whole, '\n')+1:]); err != nil {
					t.Errorf("%dx%d: %v", sz[0], sz[1], err)
				}
				checkPicture(t, pictureName(x, sz), got)
			}
			lookAt(t, a, x, turn)
			if f, ok := a.top().(*form.FormScreen); ok && f.Wrong == nil { // nothing wrong was typed
				takesWhatItOpensWith(t, x.name, f)
			}
		})
	}
	if strings.Contains(flag.Lookup("test.run").Value.String(), "/") {
		return // not all have been drawn
	}
	for _, name := range screenTypes(t) {
		if !types[name] {
			t.Errorf("%s has no row in the storybook: add one", name)
		}
	}
	for form, title := range formTitles(t) {
		if !slices.ContainsFunc(sortedKeys(titles), title.MatchString) {
			t.Errorf("the form made at %s has no row in the storybook: add one", form)
		}
	}
	drawn := must.Get(os.ReadDir(filepath.Join("..", "testdata", "pictures"))).In(t)
	for _, f := range drawn {
		if !files[f.Name()] {
			t.Errorf("testdata/pictures/%s belongs to no row of the storybook: remove it", f.Name())
		}
	}
}

// takesWhatItOpensWith leaves every field of a form that has a text as it stands: what nobody typed is not refused.
func takesWhatItOpensWith(t *testing.T, name string, f *form.FormScreen) {
	t.Helper()
	for i, p := range f.Pages {
		for j, x := range p.Fields {
			f.Page, f.Field = i, j
			if (p.Hide == nil || !p.Hide()) && x.Value() != "" && !f.Check() {
				t.Errorf("%s opens with %q as %q, and refuses it: %v", name, x.Value(), x.Label, f.Wrong)
			}
		}
	}
}

func pictureName(x tale, sz [2]int) string { return fmt.Sprintf("%s-%dx%d", x.name, sz[0], sz[1]) }

func sortedKeys(m map[string]bool) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// checkPicture compares with testdata/pictures, or writes it with -update.
func checkPicture(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("..", "testdata", "pictures", name+".txt")
	if *update {
		must.Do(t, os.MkdirAll(filepath.Dir(file), 0o755))
		must.Do(t, os.WriteFile(file, []byte(got+"\n"), 0o644))
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v: draw the pictures with go test ./tui -update", err)
	}
	if got+"\n" != string(want) {
		t.Errorf("%s has changed; look, and if it is meant: go test ./tui -update\n%s", name, got)
	}
}

// sources are the files of this package that are not tests.
func sources(t *testing.T) (*token.FileSet, map[string]*ast.File) {
	t.Helper()
	fset, files := token.NewFileSet(), map[string]*ast.File{}
	names := must.Get(filepath.Glob("*.go")).In(t)
	inRooms := must.Get(filepath.Glob("*/*.go")).In(t)
	for _, name := range append(names, inRooms...) {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f := must.Get(parser.ParseFile(fset, name, nil, 0)).In(t)
		files[name] = f
	}
	return fset, files
}

// screenTypes are the types that draw a screen: they have a title and a view of
// their own.
func screenTypes(t *testing.T) []string {
	has := map[string]map[string]bool{}
	_, files := sources(t)
	for _, f := range files {
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Recv == nil {
				continue
			}
			star, ok := fn.Recv.List[0].Type.(*ast.StarExpr)
			if !ok {
				continue
			}
			name := star.X.(*ast.Ident).Name
			if has[name] == nil {
				has[name] = map[string]bool{}
			}
			has[name][fn.Name.Name] = true
		}
	}
	var out []string
	for name, methods := range has {
		if methods["View"] && methods["Title"] && methods["Update"] {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	if len(out) < 10 {
		t.Fatalf("only %d screens found: %v", len(out), out)
	}
	return out
}

// formTitles are the places where a form is made, with what its title looks
// like; a title that is handed in matches any.
func formTitles(t *testing.T) map[string]*regexp.Regexp {
	fset, files := sources(t)
	out := map[string]*regexp.Regexp{}
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) < 2 {
				return true
			}
			made := ""
			switch fn := call.Fun.(type) {
			case *ast.Ident:
				made = fn.Name
			case *ast.SelectorExpr:
				made = fn.Sel.Name
			}
			if strings.EqualFold(made, "newForm") {
				out[fset.Position(call.Pos()).String()] = regexp.MustCompile("^" + titlePattern(call.Args[1]) + "$")
			}
			return true
		})
	}
	if len(out) < 10 {
		t.Fatalf("only %d forms found", len(out))
	}
	return out
}

// titlePattern is an expression of text as a pattern: what is not written there
// in so many words may be anything.
func titlePattern(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.BasicLit:
		text, err := strconv.Unquote(e.Value)
		if err == nil {
			return regexp.QuoteMeta(text)
		}
	case *ast.BinaryExpr:
		return titlePattern(e.X) + titlePattern(e.Y)
	case *ast.CallExpr: // fmt.Sprintf
		if fn, ok := e.Fun.(*ast.SelectorExpr); ok && fn.Sel.Name == "Sprintf" {
			return regexp.MustCompile(`%[a-z]`).ReplaceAllString(titlePattern(e.Args[0]), ".*")
		}
	}
	return ".*"
}

// TestOneWayToCut: only fit.go cuts a line, so that whoever draws one has to say
// there whether it may be shortened; and no text brings a sign of its own.
func TestOneWayToCut(t *testing.T) {
	fset, files := sources(t)
	for name, f := range files {
		if filepath.Base(name) == "fit.go" {
			continue
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.BasicLit:
				if strings.Contains(n.Value, draw.ShortSign) || strings.Contains(n.Value, draw.CutSign) {
					t.Errorf("%s: %s has the sign of a cut", fset.Position(n.Pos()), n.Value)
				}
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && (x.Name == "ansi" && strings.HasPrefix(n.Sel.Name, "Truncate") || n.Sel.Name == "MaxWidth") {
					t.Errorf("%s cuts a line: fit and short do that", fset.Position(n.Pos()))
				}
			}
			return true
		})
	}
}
