package session_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

const module = "fleece.example/tubside/"

// root is the module's top folder as seen from this package.
var root = filepath.Join("..")

// source is one parsed Go file. Files are read as text, not listed by the
// build: what only another platform compiles obeys the same arrows.
type source struct {
	path string // from the top folder, with slashes
	file *ast.File
	pos  *token.FileSet
}

func (s source) folder() string { return strings.SplitN(s.path, "/", 2)[0] }
func (s source) dir() string    { return path.Dir(s.path) }

// isTest: helpers that only tests use are tests too.
func (s source) isTest() bool {
	return strings.HasSuffix(s.path, "_test.go") || s.dir() == "session/long" || s.dir() == "session/must" || s.dir() == "session/sessiontest" || s.dir() == "tui/tuitest" || s.dir() == "cmd/tubside/sound/soundtest"
}

func (s source) imports() []string {
	var out []string
	for _, i := range s.file.Imports {
		p, _ := strconv.Unquote(i.Path.Value)
		out = append(out, p)
	}
	return out
}

func sources(t *testing.T) []source {
	t.Helper()
	var out []source
	must.Do(t, filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if e.IsDir() && path != root && (strings.HasPrefix(e.Name(), ".") || e.Name() == "testdata") {
			return fs.SkipDir
		}
		if e.IsDir() || !strings.HasSuffix(path, ".go") {
			return nil
		}
		pos := token.NewFileSet()
		file, err := parser.ParseFile(pos, path, nil, parser.SkipObjectResolution|parser.ParseComments)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		out = append(out, source{filepath.ToSlash(rel), file, pos})
		return err
	}))
	for _, folder := range []string{"session", "cooling"} {
		if !slices.ContainsFunc(out, func(s source) bool { return s.folder() == folder }) {
			t.Fatalf("no source of %s found from %s", folder, root)
		}
	}
	return out
}

// standard says that an import path is the standard library's: its first
// element has no dot.
func standard(path string) bool { return !strings.Contains(strings.SplitN(path, "/", 2)[0], ".") }

func within(path, folder string) bool {
	return path == module+folder || strings.HasPrefix(path, module+folder+"/")
}

// rooms are all packages and what of the module each may import. Those of session
// stand in layers: a room knows only rooms above it in this list.
var rooms = []struct {
	dir string
	may []string
}{
	{"cooling", nil},
	{"session/measure", nil},
	{"session/timetable", nil},
	{"session/yield", nil},
	{"session/lifecycle", nil},
	{"session/shed", []string{"cooling", "session/measure", "session/yield"}},
	{"session", []string{"cooling", "session/measure", "session/yield", "session/lifecycle", "session/shed"}},
	{"session/planner", []string{"cooling", "session/measure", "session/timetable", "session/shed", "session"}},
	{"session/coach", []string{"cooling", "session/measure", "session/lifecycle", "session/shed", "session", "session/planner"}},
	{"session/tag", []string{"session/measure", "session/shed", "session"}},
	{"session/ledger", []string{"cooling", "session/measure", "session/yield", "session/shed", "session", "session/tag"}},
	{"session/lookback", []string{"cooling", "session/measure", "session/shed", "session", "session/planner", "session/ledger"}},
	{"session/compare", []string{"cooling", "session/measure", "session/shed", "session", "session/planner", "session/ledger", "session/lookback"}},
	{"session/rehearse", []string{"cooling", "session..."}},
	{"store", []string{"session...", "store..."}},
	{"tui/early", nil},
	{"tui/theme", nil},
	{"tui/paint", []string{"tui/theme"}},
	{"tui/keep", []string{"session..."}},
	{"tui/draw", []string{"session/measure", "tui/theme"}},
	{"tui/chart", []string{"session", "session/measure", "tui/theme", "tui/paint", "tui/draw"}},
	{"tui/base", []string{"session...", "tui/early", "tui/theme", "tui/keep", "tui/draw"}},
	{"tui/form", []string{"session/measure", "session/shed", "tui/theme", "tui/paint", "tui/draw", "tui/base"}},
	{"tui/gear", []string{"cooling", "session...", "tui/theme", "tui/paint", "tui/keep", "tui/draw", "tui/chart", "tui/base", "tui/form"}},
	{"tui/ahead", []string{"session...", "tui/theme", "tui/keep", "tui/draw", "tui/chart", "tui/base", "tui/form", "tui/gear"}},
	{"tui/past", []string{"session...", "tui/theme", "tui/draw", "tui/chart", "tui/base", "tui/form", "tui/gear", "tui/ahead"}},
	{"tui/washday", []string{"cooling", "session...", "tui/theme", "tui/paint", "tui/draw", "tui/chart", "tui/base", "tui/form", "tui/gear", "tui/ahead", "tui/past"}},
	{"tui", []string{"session...", "tui..."}},
	{"cmd/tubside/machine", nil},
	{"cmd/tubside/child", []string{"session/measure"}},
	{"cmd/tubside/sound", []string{"session", "session/shed", "cmd/tubside/child"}},
	{"cmd/tubside/reach", []string{"session", "session/coach", "session/measure", "cmd/tubside/child"}},
	{"cmd/tubside/tags", []string{"session", "session/shed", "session/measure", "session/tag"}},
	{"cmd/tubside/exchange", []string{"session", "session/shed", "session/ledger", "session/lookback", "session/measure", "session/tag", "store", "cmd/tubside/tags"}},
	{"cmd/tubside/handout", nil},
	{"cmd/tubside/page", []string{"session", "session/shed", "session/ledger", "session/lookback", "session/measure"}},
	{"cmd/tubside", []string{"cooling", "session...", "store", "tui...", "cmd/tubside..."}},
}

// outside are the modules of others that a folder may use; session and cooling use none,
// nor does what has to go on when a screen does not.
var outside = map[string][]string{
	"store": {"go.etcd.io/bbolt", "golang.org/x/sys/"}, "tui": {"github.com/charmbracelet/", "github.com/"}, "cmd": {"github.com/", "golang.org/x/"},
}

// TestArrows: who may import whom. Tests may use more.
func TestArrows(t *testing.T) {
	may := map[string][]string{}
	for i, r := range rooms {
		may[r.dir] = r.may
		for _, below := range rooms[i:] {
			if slices.Contains(r.may, below.dir) {
				t.Errorf("%s may import %s, which stands below it", r.dir, below.dir)
			}
		}
	}
	for _, s := range sources(t) {
		if s.isTest() {
			continue
		}
		dir := s.dir()
		allowed, ruled := may[dir]
		if !ruled {
			t.Errorf("%s is in a room without arrows: %s", s.path, s.dir())
			continue
		}
		for _, imported := range s.imports() {
			ours, mine := strings.CutPrefix(imported, module)
			ok := slices.ContainsFunc(allowed, func(a string) bool {
				tree, all := strings.CutSuffix(a, "...")
				return ours == tree || all && strings.HasPrefix(ours, tree+"/")
			})
			if !mine {
				ok = standard(imported) || dir != "tui/keep" && slices.ContainsFunc(outside[s.folder()], func(m string) bool { return strings.HasPrefix(imported, m) })
			}
			if !ok {
				t.Errorf("%s imports %s, against the arrows", s.path, imported)
			}
			if strings.HasPrefix(imported, "github.com/jfreymuth/pulse") && !(dir == "cmd/tubside/sound" && strings.HasSuffix(s.path, "_linux.go")) {
				t.Errorf("%s imports %s: only the sound helper may", s.path, imported)
			}
		}
	}
}

// Storage must not reach the screens through its tests either.
func TestStoreAndScreensNeverMeet(t *testing.T) {
	for _, s := range sources(t) {
		for _, path := range s.imports() {
			if s.folder() == "store" && within(path, "tui") || s.folder() == "tui" && within(path, "store") {
				t.Errorf("%s imports %s", s.path, path)
			}
			if s.folder() != "cmd" && within(path, "cmd") {
				t.Errorf("%s imports the program, %s", s.path, path)
			}
		}
	}
}

// impure lists the packages that would let the outside world into the pure
// core; a name under it that ends with a slash stands for all below it.
var impure = []string{
	"os", "os/", "net", "net/", "syscall", "bufio", "io/ioutil", "log", "log/", "math/rand", "math/rand/v2",
	"crypto/rand", "runtime", "runtime/", "plugin", "unsafe", "C", "sync", "sync/", "flag",
}

// clocks are the names in package time that ask what time it is or wait for it.
var clocks = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker", "Local", "LoadLocation"}

func TestCoreIsPure(t *testing.T) {
	for _, s := range sources(t) {
		if s.isTest() || s.folder() != "session" && s.folder() != "cooling" {
			continue
		}
		timeName := ""
		for _, i := range s.file.Imports {
			path, _ := strconv.Unquote(i.Path.Value)
			for _, bad := range impure {
				if path == bad || strings.HasSuffix(bad, "/") && strings.HasPrefix(path, bad) {
					t.Errorf("%s imports %s: the core does no I/O and keeps no secrets", s.path, path)
				}
			}
			if path == "time" {
				timeName = "time"
				if i.Name != nil {
					timeName = i.Name.Name
				}
			}
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.SelectorExpr:
				x, ok := n.X.(*ast.Ident)
				if ok && timeName != "" && x.Name == timeName && slices.Contains(clocks, n.Sel.Name) {
					t.Errorf("%s: time.%s: now is always an argument", s.pos.Position(n.Pos()), n.Sel.Name)
				}
				if n.Sel.Name == "Local" || n.Sel.Name == "Print" || n.Sel.Name == "Println" || n.Sel.Name == "Printf" {
					t.Errorf("%s: .%s reaches outside", s.pos.Position(n.Pos()), n.Sel.Name)
				}
			case *ast.CallExpr:
				if f, ok := n.Fun.(*ast.Ident); ok && (f.Name == "print" || f.Name == "println") {
					t.Errorf("%s: %s reaches outside", s.pos.Position(n.Pos()), f.Name)
				}
			case *ast.GoStmt:
				t.Errorf("%s: a goroutine in the core", s.pos.Position(n.Pos()))
			}
			return true
		})
	}
}

// TestNoBackslashSaid: %q writes what a person typed with backslashes, and sentences
// are for people. The record's JSON is none.
func TestNoBackslashSaid(t *testing.T) {
	for _, s := range sources(t) {
		if s.isTest() || s.path == "cmd/tubside/exchange/write.go" {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING && strings.Contains(l.Value, "%q") {
				t.Errorf("%s: %s", s.pos.Position(l.Pos()), l.Value)
			}
			return true
		})
	}
}

// The top level is small on purpose; hidden files stand beside it.
func TestTopLevel(t *testing.T) {
	agreed := []string{"cmd", "tui", "session", "cooling", "store", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md"}
	entries := must.Get(os.ReadDir(root)).In(t)
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(agreed, e.Name()) && !ignored(t, e.Name()) {
			t.Errorf("%s does not belong at the top level: %s", e.Name(), strings.Join(agreed, " "))
		}
	}
}

// ignored says that .gitignore names it: a built program may lie about.
func ignored(t *testing.T, name string) bool {
	t.Helper()
	list, err := os.ReadFile(filepath.Join(root, ".gitignore"))
	if err != nil {
		return false
	}
	for _, line := range strings.Fields(string(list)) {
		if ok, _ := filepath.Match(strings.Trim(line, "/"), name); ok {
			return true
		}
	}
	return false
}

// No code asks which kind a step is: it asks the table.
func TestKindsAreAskedForFacts(t *testing.T) {
	var names []string
	for _, k := range []string{"Presoak", "Wash", "Rinse", "Spin", "Rack"} {
		names = append(names, `(\w+\.)?`+k+`\b`)
	}
	asks := regexp.MustCompile(`([!=]= |\bcase .*\b)(` + strings.Join(names, "|") + `)`)
	must.Do(t, filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.HasSuffix(filepath.Dir(path), "test") {
			return err
		}
		raw, err := os.ReadFile(path)
		for i, l := range strings.Split(string(raw), "\n") {
			if code, _, _ := strings.Cut(l, "//"); asks.MatchString(code) {
				t.Errorf("%s:%d asks for one kind of step: %s", path, i+1, strings.TrimSpace(l))
			}
		}
		return err
	}))
}

// An error that a test must not have is looked at by In alone.
func TestMustSaysInWhichTest(t *testing.T) {
	for _, s := range sources(t) {
		ast.Inspect(s.file, func(n ast.Node) bool {
			if x, ok := n.(*ast.ExprStmt); ok {
				if call, ok := x.X.(*ast.CallExpr); ok {
					if f, ok := call.Fun.(*ast.SelectorExpr); ok && strings.HasPrefix(f.Sel.Name, "Get") {
						if of, ok := f.X.(*ast.Ident); ok && of.Name == "must" {
							t.Errorf("%s: must.%s without In looks at no error", s.pos.Position(n.Pos()), f.Sel.Name)
						}
					}
				}
			}
			return true
		})
	}
}
