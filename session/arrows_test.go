package session_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
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
func (s source) isTest() bool   { return strings.HasSuffix(s.path, "_test.go") }

// leaves are the rooms of session that know nothing of the rest of it.
var leaves = []string{"measure", "timetable", "yield", "lifecycle"}

// room is the part of the program a file belongs to: its top folder, or for
// session, whose rooms obey different arrows, "session", "session/leaf" for one
// that the core itself may use, or "session/…" for any other room in it; "cmd/…"
// for a package below the program, "tui/keep" for the keeper of the day.
func (s source) room() string {
	parts := strings.Split(s.path, "/")
	switch {
	case parts[0] == "cmd" && len(parts) > 3: // a package of the program's own
		return "cmd/" + parts[2]
	case parts[0] == "tui" && parts[1] == "keep":
		return "tui/keep"
	case parts[0] != "session" || len(parts) == 2:
		return parts[0]
	case slices.Contains(leaves, parts[1]):
		return "session/leaf"
	}
	return "session/…"
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
	err := filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
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
		file, err := parser.ParseFile(pos, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		out = append(out, source{filepath.ToSlash(rel), file, pos})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
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

// The arrows between folders: who may import whom. Tests may use more, but
// never what would tie screens and storage together.
func TestArrows(t *testing.T) {
	type rule struct {
		inTests bool
		may     func(path string) bool
	}
	rules := map[string]rule{
		"cooling":      {may: standard},
		"session/leaf": {may: standard},
		"session": {may: func(p string) bool {
			return standard(p) || p == module+"cooling" || slices.Contains(leaves, strings.TrimPrefix(p, module+"session/"))
		}},
		"session/…": {may: func(p string) bool {
			return standard(p) || p == module+"cooling" || within(p, "session")
		}},
		"store": {may: func(p string) bool {
			return standard(p) || within(p, "session") || within(p, "store") || p == "go.etcd.io/bbolt" ||
				strings.HasPrefix(p, "go.etcd.io/bbolt/")
		}},
		"cmd/tags": {may: func(p string) bool { return !strings.HasPrefix(p, module) || within(p, "session") }},
		"cmd/exchange": {may: func(p string) bool {
			return !strings.HasPrefix(p, module) || within(p, "session") || within(p, "store") || within(p, "cmd/tubside/tags")
		}},
		"tui/keep": {inTests: true, may: func(p string) bool { return standard(p) || within(p, "session") }},
		"tui": {inTests: true, may: func(p string) bool {
			return !strings.HasPrefix(p, module) || within(p, "session") || within(p, "cooling") || within(p, "tui")
		}},
	}
	for _, s := range sources(t) {
		r, ruled := rules[s.room()]
		if !ruled || s.isTest() && !r.inTests {
			continue
		}
		for _, path := range s.imports() {
			if !r.may(path) {
				t.Errorf("%s imports %s, against the arrows", s.path, path)
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

// The rooms of the program know no more of the rest than they are for, and none
// of them the screens: what is wired together is wired in cmd/tubside.
func TestProgramRooms(t *testing.T) {
	const rooms = "cmd/tubside/"
	known := map[string][]string{
		"child":           {"session/measure"},
		"sound":           {"session", rooms + "child"},
		"sound/soundtest": {},
		"reach":           {"session", "session/measure", rooms + "child"},
		"tags":            {"session", "session/measure", "session/tagcode"},
		"exchange":        {"session", "session/measure", "session/tagcode", "store", rooms + "tags"},
	}
	for _, s := range sources(t) {
		room, inside := strings.CutPrefix(filepath.ToSlash(filepath.Dir(s.path)), rooms)
		if !inside || s.isTest() {
			continue
		}
		may, ruled := known[room]
		if !ruled {
			t.Errorf("%s is in a room without a rule: %s", s.path, room)
			continue
		}
		for _, path := range s.imports() {
			ours, mine := strings.CutPrefix(path, module)
			if mine && !slices.Contains(may, ours) {
				t.Errorf("%s imports %s, against the arrows", s.path, path)
			}
			if strings.HasPrefix(path, "github.com/jfreymuth/pulse") && !(room == "sound" && strings.HasSuffix(s.path, "_linux.go")) {
				t.Errorf("%s imports %s: only the helper may", s.path, path)
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
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
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
